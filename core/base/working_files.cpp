// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/working_files.h"

#include <unistd.h>

#include <atomic>
#include <mutex>
#include <string>

namespace moundwork {
namespace {

// Never freed and never changed but for `half`: a signal may come at any moment, and the handler
// may take no lock.
struct Noted {
  const std::string path;
  Noted* const before;
  std::atomic<bool> half{true};
};

std::atomic<Noted*> last{nullptr};
static_assert(std::atomic<Noted*>::is_always_lock_free);

std::mutex& writing() {
  static std::mutex mutex;
  return mutex;
}

Noted* find(const std::string& path) {
  Noted* one = last;
  while (one != nullptr && one->path != path) one = one->before;
  return one;
}

}  // namespace

void note_working(const std::filesystem::path& path) {
  const std::lock_guard held(writing());
  if (Noted* known = find(path.native()))
    known->half = true;
  else
    last = new Noted{path.native(), last};
}

void forget_working(const std::filesystem::path& path) {
  const std::lock_guard held(writing());
  if (Noted* known = find(path.native())) known->half = false;
}

void remove_working() noexcept {
  // A folder was noted before what is in it, and one that holds something stays.
  for (Noted* one = last; one != nullptr; one = one->before)
    if (one->half && ::unlink(one->path.c_str()) != 0) (void)::rmdir(one->path.c_str());
}

}  // namespace moundwork
