// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/sharing.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <string>

#include "core/base/force_folder.h"
#include "core/base/lab_file.h"

namespace moundwork {
namespace {

namespace fs = std::filesystem;

constexpr mode_t mode_bits = S_ISUID | S_ISGID | S_ISVTX | S_IRWXU | S_IRWXG | S_IRWXO;

mode_t file_mode(Sharing sharing) {
  return sharing == Sharing::group ? S_IRUSR | S_IWUSR | S_IRGRP | S_IWGRP : S_IRUSR | S_IWUSR;
}

mode_t folder_mode(Sharing sharing) {
  return sharing == Sharing::group ? S_ISGID | S_IRWXU | S_IRWXG : S_IRWXU;
}

// Sets one mode; counts, or says why not.
void set_mode(const fs::path& path, Sharing sharing, SharingSet& done) {
  struct stat found {};
  if (::lstat(path.c_str(), &found) != 0) return;
  if (!S_ISREG(found.st_mode) && !S_ISDIR(found.st_mode)) return;
  const mode_t wanted = S_ISDIR(found.st_mode) ? folder_mode(sharing) : file_mode(sharing);
  if ((found.st_mode & mode_bits) == wanted)
    ++done.right;
  else if (::chmod(path.c_str(), wanted) == 0)
    ++done.changed;
  else
    done.problems.push_back({path.string(),
                             std::string("its mode cannot be set: ") + std::strerror(errno),
                             "let the account that owns it run this command too"});
}

}  // namespace

std::string_view word_for(Sharing sharing) { return sharing == Sharing::group ? "group" : "owner"; }

Sharing sharing_at(const fs::path& path) {
  const auto lab = lab_folder_of(path);
  if (!lab) return Sharing::owner;
  const auto settled = read_lab_file(*lab);
  return settled ? settled->sharing : Sharing::owner;
}

int open_for_writing(const fs::path& path, int flags) {
  const Sharing sharing = sharing_at(path);
  const int descriptor = ::open(path.c_str(), flags | O_CREAT | O_CLOEXEC, S_IRUSR | S_IWUSR);
  if (descriptor < 0) return descriptor;
  struct stat found {};
  if (::fstat(descriptor, &found) == 0 && S_ISREG(found.st_mode) && found.st_uid == ::geteuid() &&
      (found.st_mode & mode_bits) != file_mode(sharing))
    // Where the file system has no modes, who mounted it has settled who may read.
    (void)!::fchmod(descriptor, file_mode(sharing));
  return descriptor;
}

Result<void> append_to_file(const fs::path& path, std::string_view text) {
  const int descriptor = open_for_writing(path, O_WRONLY | O_APPEND);
  bool written = descriptor >= 0;
  while (written && !text.empty()) {
    const ssize_t count = ::write(descriptor, text.data(), text.size());
    if (count < 0 && errno == EINTR) continue;
    written = count > 0;
    if (written) text.remove_prefix(static_cast<std::size_t>(count));
  }
  const int error = errno;
  if (descriptor >= 0 && ::close(descriptor) != 0) written = false;
  if (written) return {};
  return fail(path.string(), std::string("cannot be written: ") + std::strerror(error),
              "check that the folder may be written to and the disk has room");
}

std::vector<fs::path> make_folders(const fs::path& folder, std::error_code& error) {
  std::vector<fs::path> missing, made;
  error.clear();
  std::error_code status;
  for (fs::path one = folder; !one.empty() && !fs::exists(one, status); one = one.parent_path()) {
    if (one.has_filename()) missing.push_back(one);
    if (one == one.parent_path()) break;
  }
  for (auto one = missing.rbegin(); one != missing.rend(); ++one) {
    const Sharing sharing = sharing_at(*one);
    if (::mkdir(one->c_str(), S_IRWXU) != 0) {
      // Another program may have made it in between.
      if (errno == EEXIST) continue;
      error = std::error_code(errno, std::generic_category());
      return made;
    }
    made.push_back(*one);
    (void)!::chmod(one->c_str(), folder_mode(sharing));
    force_folder(*one);
  }
  if (!fs::is_directory(folder, status)) error = std::make_error_code(std::errc::not_a_directory);
  return made;
}

Result<SharingSet> set_sharing(const fs::path& lab, Sharing sharing) {
  std::error_code error;
  if (!fs::is_directory(lab, error))
    return fail(lab.string(), "is no folder", "name the lab's folder");
  if (auto kept = set_in_lab_file(lab, "sharing", std::string(word_for(sharing))); !kept)
    return tl::make_unexpected(kept.error());
  SharingSet done;
  set_mode(lab, sharing, done);
  for (fs::recursive_directory_iterator
           file(lab, fs::directory_options::skip_permission_denied, error),
       end;
       !error && file != end; file.increment(error))
    set_mode(file->path(), sharing, done);
  if (error)
    done.problems.push_back({lab.string(), "cannot be looked through: " + error.message(), {}});
  return done;
}

}  // namespace moundwork
