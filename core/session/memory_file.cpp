// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/memory_file.h"

#include <cstdlib>
#include <cstring>

#include "core/session/hdf5.h"

namespace moundwork::session::hdf5 {
namespace {

constexpr std::size_t growth = 4096;  // bytes

}  // namespace

struct MemoryFile::Ground {
  static void* take(size_t size, H5FD_file_image_op_t /*unused*/, void* owner) {
    static_cast<MemoryFile*>(owner)->size_ = size;
    return std::malloc(size);
  }
  static void* take_more(void* bytes, size_t size, H5FD_file_image_op_t /*unused*/, void* owner) {
    static_cast<MemoryFile*>(owner)->size_ = size;
    return std::realloc(bytes, size);
  }
  static void* copy(void* to, const void* from, size_t size, H5FD_file_image_op_t /*unused*/,
                    void* /*unused*/) {
    return std::memcpy(to, from, size);
  }
  // The bytes of a file that is closed. (The image that the library gives of an open one cannot be
  // opened in the newest format: HDF5 1.10 clears the mark of an open file in it and leaves the
  // checksum as it was.)
  static herr_t give_back(void* bytes, H5FD_file_image_op_t when, void* owner) {
    auto* own = static_cast<MemoryFile*>(owner);
    if (when == H5FD_FILE_IMAGE_OP_FILE_CLOSE && bytes != nullptr)
      own->closed_.assign(static_cast<const char*>(bytes), own->size_);
    std::free(bytes);
    return 0;
  }
  // The owner outlives the file.
  static void* copy_owner(void* owner) { return owner; }
  static herr_t end_owner(void* /*unused*/) { return 0; }
};

MemoryFile::MemoryFile(std::string_view bytes, bool newest, const H5::FileCreatPropList& made) {
  H5::FileAccPropList access = newest ? writer_access(false) : H5::FileAccPropList();
  access.setCore(growth, false);
  H5FD_file_image_callbacks_t callbacks{
      Ground::take,      Ground::copy, Ground::take_more, Ground::give_back, Ground::copy_owner,
      Ground::end_owner, this};
  if (H5Pset_file_image_callbacks(access.getId(), &callbacks) < 0)
    throw H5::PropListIException("MemoryFile", "memory cannot be given");
  // The library takes a copy and does not change these.
  if (!bytes.empty() &&
      H5Pset_file_image(access.getId(), const_cast<char*>(bytes.data()), bytes.size()) < 0)
    throw H5::PropListIException("MemoryFile", "there is no memory");
  file_ = H5::H5File("in memory", bytes.empty() ? H5F_ACC_TRUNC : H5F_ACC_RDWR, made, access);
}

std::string MemoryFile::close() {
  flush(file_);
  file_.close();
  if (closed_.empty()) throw H5::FileIException("MemoryFile::close", "something in it is open");
  return std::move(closed_);
}

}  // namespace moundwork::session::hdf5
