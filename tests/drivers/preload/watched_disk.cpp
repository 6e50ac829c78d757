// SPDX-License-Identifier: GPL-3.0-or-later
// Test-only preload library: notes in order what a program asks of the disk, and can make the disk
// slow to answer or faulty.
#include <dlfcn.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <mutex>
#include <string>
#include <thread>

namespace {

std::atomic<int> answer_ms{0}, fault{0};
std::mutex mutex;
std::string asked;  // a line each

template <class Function>
Function next(const char* name) {
  return reinterpret_cast<Function>(dlsym(RTLD_NEXT, name));
}

void note(const std::string& line) {
  const std::lock_guard lock(mutex);
  asked += line + '\n';
}

std::string path_of(int descriptor) {
  std::array<char, 4096> path{};
  const std::string link = "/proc/self/fd/" + std::to_string(descriptor);
  return readlink(link.c_str(), path.data(), path.size() - 1) < 0 ? "" : path.data();
}

int force(int descriptor, int (*real)(int)) {
  std::this_thread::sleep_for(std::chrono::milliseconds(answer_ms));
  if (fault != 0) {
    errno = fault;
    return -1;
  }
  const int done = real(descriptor);
  note("force " + path_of(descriptor));
  return done;
}

}  // namespace

extern "C" {

void moundwork_slow_disk(int milliseconds) { answer_ms = milliseconds; }
void moundwork_failing_disk(int error) { fault = error; }

/// What was asked since the last call.
const char* moundwork_asked_of_disk() {
  thread_local std::string told;
  const std::lock_guard lock(mutex);
  told.swap(asked);
  asked.clear();
  return told.c_str();
}

int fsync(int descriptor) {
  static const auto real = next<int (*)(int)>("fsync");
  return force(descriptor, real);
}

int fdatasync(int descriptor) {
  static const auto real = next<int (*)(int)>("fdatasync");
  return force(descriptor, real);
}

ssize_t pwrite(int descriptor, const void* bytes, size_t size, off_t place) {
  static const auto real = next<ssize_t (*)(int, const void*, size_t, off_t)>("pwrite");
  note("write " + path_of(descriptor) + ' ' + std::to_string(place));
  return real(descriptor, bytes, size, place);
}

int rename(const char* from, const char* to) noexcept {
  static const auto real = next<int (*)(const char*, const char*)>("rename");
  note(std::string("rename ") + from + " " + to);
  return real(from, to);
}
}
