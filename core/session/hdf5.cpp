// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/hdf5.h"

#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>

#include <array>
#include <cerrno>

#include "core/base/plain_file.h"
#include "core/session/file_lock.h"

namespace moundwork::session::hdf5 {
namespace {

// As many numbers as an attribute may hold: far above any of ours, far below any harm.
constexpr hssize_t most_in_attribute = 1 << 16;
// Of a file that is being written, a description may be met half new. Between attempts the library
// sleeps twice as long each time, from 1 ns: so many take half a second, its own hundred for ever.
constexpr unsigned read_attempts = 29;

const H5::DataSpace& scalar() {
  static const H5::DataSpace space(H5S_SCALAR);
  return space;
}

std::size_t count_in(const H5::Attribute& attribute, const char* name) {
  const hssize_t count = attribute.getSpace().getSimpleExtentNpoints();
  if (count < 0 || count > most_in_attribute)
    throw H5::AttributeIException("count_in", std::string(name) + " has too many values");
  return static_cast<std::size_t>(count);
}

H5::Attribute attribute_of(const H5::H5Object& object, const char* name) {
  if (!object.attrExists(name))
    throw H5::AttributeIException("attribute_of", std::string("its '") + name + "' is missing");
  return object.openAttribute(name);
}

// Null where it has none.
int* place_of_descriptor(const H5::H5File& file) noexcept {
  void* handle = nullptr;
  if (H5Fget_vfd_handle(file.getId(), H5P_DEFAULT, &handle) < 0) return nullptr;
  return static_cast<int*>(handle);
}

}  // namespace

void write(H5::H5Object& object, const char* name, double value) {
  object.createAttribute(name, H5::PredType::IEEE_F64LE, scalar())
      .write(H5::PredType::NATIVE_DOUBLE, &value);
}

void write(H5::H5Object& object, const char* name, std::int64_t value) {
  object.createAttribute(name, H5::PredType::STD_I64LE, scalar())
      .write(H5::PredType::NATIVE_INT64, &value);
}

void write(H5::H5Object& object, const char* name, const std::string& text) {
  const H5::StrType type = text_type(text.size() + 1);
  object.createAttribute(name, type, scalar()).write(type, text);
}

void write(H5::H5Object& object, const char* name, const std::vector<double>& values,
           std::vector<hsize_t> shape) {
  const H5::DataSpace space(static_cast<int>(shape.size()), shape.data());
  object.createAttribute(name, H5::PredType::IEEE_F64LE, space)
      .write(H5::PredType::NATIVE_DOUBLE, values.data());
}

void write(H5::H5Object& object, const char* name, const std::vector<std::string>& texts) {
  std::size_t longest = 1;
  for (const auto& text : texts) longest = std::max(longest, text.size() + 1);
  std::vector<char> cells(longest * texts.size(), '\0');
  for (std::size_t i = 0; i < texts.size(); ++i)
    std::memcpy(cells.data() + i * longest, texts[i].data(), texts[i].size());
  const hsize_t count = texts.size();
  const H5::StrType type = text_type(longest);
  object.createAttribute(name, type, H5::DataSpace(1, &count)).write(type, cells.data());
}

double read_number(const H5::H5Object& object, const char* name) {
  double value = 0.0;
  const H5::Attribute attribute = attribute_of(object, name);
  if (attribute.getSpace().getSimpleExtentNpoints() != 1)
    throw H5::AttributeIException("read_number", std::string(name) + " is not one number");
  require_plain(attribute.getDataType());
  attribute.read(H5::PredType::NATIVE_DOUBLE, &value);
  return value;
}

std::int64_t read_integer(const H5::H5Object& object, const char* name) {
  std::int64_t value = 0;
  const H5::Attribute attribute = attribute_of(object, name);
  if (attribute.getSpace().getSimpleExtentNpoints() != 1)
    throw H5::AttributeIException("read_integer", std::string(name) + " is not one number");
  require_plain(attribute.getDataType());
  attribute.read(H5::PredType::NATIVE_INT64, &value);
  return value;
}

std::string read_text(const H5::H5Object& object, const char* name) {
  const H5::Attribute attribute = attribute_of(object, name);
  if (attribute.getTypeClass() != H5T_STRING)
    throw H5::AttributeIException("read_text", std::string(name) + " is not text");
  const auto require_short = [name](std::size_t bytes) {
    if (bytes > longest_text)
      throw H5::AttributeIException("read_text", std::string(name) + " is a text of " +
                                                     std::to_string(bytes) +
                                                     " bytes, longer than any session's");
  };
  require_short(attribute.getInMemDataSize());
  std::string text;
  attribute.read(attribute.getStrType(), text);
  require_short(text.size());  // of one whose length is not part of its description
  return text.c_str();         // up to the terminator
}

std::vector<double> read_numbers(const H5::H5Object& object, const char* name) {
  const H5::Attribute attribute = attribute_of(object, name);
  require_plain(attribute.getDataType());
  std::vector<double> values(count_in(attribute, name));
  if (!values.empty()) attribute.read(H5::PredType::NATIVE_DOUBLE, values.data());
  return values;
}

std::vector<std::string> read_texts(const H5::H5Object& object, const char* name) {
  const H5::Attribute attribute = attribute_of(object, name);
  if (attribute.getTypeClass() != H5T_STRING)
    throw H5::AttributeIException("read_texts", std::string(name) + " is not text");
  const std::size_t count = count_in(attribute, name);
  const std::size_t width = attribute.getStrType().getSize();
  std::vector<char> cells(width * count, '\0');
  if (count > 0) attribute.read(text_type(width), cells.data());
  std::vector<std::string> texts;
  for (std::size_t i = 0; i < count; ++i) {
    const char* cell = cells.data() + i * width;
    texts.emplace_back(cell, strnlen(cell, width));
  }
  return texts;
}

H5::StrType text_type(std::size_t size) {
  H5::StrType type(H5::PredType::C_S1, size);
  type.setCset(H5T_CSET_UTF8);
  type.setStrpad(H5T_STR_NULLTERM);
  return type;
}

H5::DataSet make_table(H5::Group& group, const char* name, const H5::DataType& type,
                       hsize_t rows_per_chunk, int deflate) {
  const hsize_t none = 0;
  const hsize_t unlimited = H5S_UNLIMITED;
  H5::DSetCreatPropList properties;
  properties.setChunk(1, &rows_per_chunk);
  if (deflate > 0) properties.setDeflate(deflate);
  return group.createDataSet(name, type, H5::DataSpace(1, &none, &unlimited), properties);
}

void append_rows(H5::DataSet& table, const H5::DataType& type, const void* rows, hsize_t count) {
  if (count == 0) return;
  const hsize_t before = row_count(table);
  const hsize_t after = before + count;
  table.extend(&after);
  H5::DataSpace target = table.getSpace();
  target.selectHyperslab(H5S_SELECT_SET, &count, &before);
  table.write(rows, type, H5::DataSpace(1, &count), target);
}

hsize_t row_count(const H5::DataSet& table) {
  hsize_t rows = 0;
  const H5::DataSpace space = table.getSpace();
  if (space.getSimpleExtentNdims() != 1)
    throw H5::DataSetIException("row_count", "a table has more than one dimension");
  space.getSimpleExtentDims(&rows);
  return rows;
}

hsize_t rows_held(const H5::DataSet& table) {
  const hsize_t rows = row_count(table);
  const bool packed = table.getCreatePlist().getNfilters() > 0;
  const hsize_t bytes = table.getStorageSize() * (packed ? tightest_packing : 1);
  if (rows > bytes / table.getDataType().getSize())
    throw H5::DataSetIException("rows_held", "a table claims more rows than the file holds");
  return rows;
}

void require_plain(const H5::DataType& type) {
  const H5T_class_t kind = type.getClass();
  if (kind == H5T_COMPOUND) {
    const H5::CompType row(type.getId());
    for (int i = 0; i < row.getNmembers(); ++i) {
      const auto member = static_cast<unsigned>(i);
      require_plain(row.getMemberDataType(member));
    }
    return;
  }
  if (kind == H5T_STRING && H5Tis_variable_str(type.getId()) == 0) return;
  static const std::array numbers{
      H5::PredType::STD_I8LE,   H5::PredType::STD_I16LE,  H5::PredType::STD_I32LE,
      H5::PredType::STD_I64LE,  H5::PredType::STD_U8LE,   H5::PredType::STD_U16LE,
      H5::PredType::STD_U32LE,  H5::PredType::STD_U64LE,  H5::PredType::STD_I8BE,
      H5::PredType::STD_I16BE,  H5::PredType::STD_I32BE,  H5::PredType::STD_I64BE,
      H5::PredType::STD_U8BE,   H5::PredType::STD_U16BE,  H5::PredType::STD_U32BE,
      H5::PredType::STD_U64BE,  H5::PredType::IEEE_F32LE, H5::PredType::IEEE_F64LE,
      H5::PredType::IEEE_F32BE, H5::PredType::IEEE_F64BE};
  for (const H5::PredType& number : numbers)
    if (type == number) return;
  throw H5::DataTypeIException("require_plain", "the description of its values is damaged");
}

H5::FileAccPropList writer_access(bool clear_state) {
  H5::FileAccPropList access;
  access.setLibverBounds(H5F_LIBVER_LATEST, H5F_LIBVER_LATEST);
  if (clear_state) {
    // The property HDF5's own flag-clearing tool sets; the C++ API has no word for it.
    bool clear = true;
    H5Pset(access.getId(), "clear_status_flags", &clear);
  }
  return access;
}

Result<void> readable(const std::filesystem::path& path) {
  // Or opening a pipe would wait as well.
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC);
  if (descriptor < 0)
    return fail(path.string(), std::string("cannot be opened: ") + std::strerror(errno),
                "check that you may read it");
  ::close(descriptor);
  return refuse_endless(path);
}

H5::H5File open_to_read(const std::filesystem::path& path) {
  try {
    return {path.string(), H5F_ACC_RDONLY};
  } catch (const H5::FileIException&) {
    // Marked as being written: single-writer mode lets a reader in.
  }
  try {
    H5::FileAccPropList access;
    if (H5Pset_metadata_read_attempts(access.getId(), read_attempts) < 0)
      throw H5::PropListIException("open_to_read", "attempts cannot be limited");
    return {path.string(), H5F_ACC_RDONLY | H5F_ACC_SWMR_READ, H5::FileCreatPropList::DEFAULT,
            access};
  } catch (const H5::FileIException&) {
    // Or killed between opening and entering that mode, when nothing had been written yet.
  }
  if (const auto lock = FileLock::acquire(path))
    H5::H5File(path.string(), H5F_ACC_RDWR, H5::FileCreatPropList::DEFAULT, writer_access(true))
        .close();
  return {path.string(), H5F_ACC_RDONLY};
}

void begin_single_writer(H5::H5File& file) {
  if (H5Fstart_swmr_write(file.getId()) < 0)
    throw H5::FileIException("begin_single_writer", "single-writer mode is not available");
}

void flush(H5::DataSet& table) {
  if (H5Dflush(table.getId()) < 0)
    throw H5::DataSetIException("flush", "a table's rows could not be written");
}

void flush(H5::H5File& file) {
  if (H5Fflush(file.getId(), H5F_SCOPE_GLOBAL) < 0)
    throw H5::FileIException("flush", "not all could be written");
}

void make_room(const H5::H5File& file, hsize_t margin) {
  const int* descriptor = place_of_descriptor(file);
  if (descriptor == nullptr) return;
  // Where a file system cannot set room aside, the library's own writing will tell.
  const auto size = static_cast<off_t>(file.getFileSize() + margin);
  const int problem = ::posix_fallocate(*descriptor, 0, size);
  if (problem != ENOSPC && problem != EDQUOT && problem != EFBIG) return;
  errno = problem;
  throw H5::FileIException("make_room", std::strerror(problem));
}

int descriptor_of(const H5::H5File& file) noexcept {
  const int* descriptor = place_of_descriptor(file);
  return descriptor == nullptr ? -1 : *descriptor;
}

void redirect_to_nowhere(const H5::H5File& file, std::string_view begin) noexcept {
  int* descriptor = place_of_descriptor(file);
  if (descriptor == nullptr) return;
  const int nowhere = ::memfd_create("given up", MFD_CLOEXEC);
  if (nowhere < 0) return;
  (void)!::pwrite(nowhere, begin.data(), begin.size(), 0);
  ::dup3(nowhere, *descriptor, O_CLOEXEC);
  ::close(nowhere);
}

Failure write_failure(const std::string& path, const char* doing, const H5::Exception& exception) {
  switch (errno) {
    case ENOSPC:
    case EDQUOT:
    case EFBIG:
      return fail(path, std::string(doing) + ": " + std::strerror(errno),
                  "make room on the disk, then do it again");
    case EIO:
    case EROFS:
      return fail(path, std::string(doing) + ": " + std::strerror(errno), "look at the disk");
    default:
      return failure(path, doing, exception);
  }
}

Failure failure(const std::string& path, const char* doing, const H5::Exception& exception) {
  // The library keeps its list of what went wrong for each thread, and loses it with the thread.
  H5Eclear2(H5E_DEFAULT);
  return fail(path, std::string(doing) + " (" + exception.getDetailMsg() + ")");
}

}  // namespace moundwork::session::hdf5
