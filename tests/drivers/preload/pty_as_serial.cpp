// SPDX-License-Identifier: GPL-3.0-or-later
// Test-only preload library: lets libserialport take a pseudo-terminal for a serial port. It wants
// an entry under /sys/class/tty and the modem-control lines, which a pseudo-terminal has not.
#include <dlfcn.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cstdarg>
#include <cstring>

namespace {

constexpr const char* entry = "/sys/class/tty/pts/";
constexpr const char* target = "../../devices/platform/serial8250/tty/ttyS0";

bool is_pty_entry(const char* path) { return std::strncmp(path, entry, std::strlen(entry)) == 0; }

template <class Function>
Function next(const char* name) {
  return reinterpret_cast<Function>(dlsym(RTLD_NEXT, name));
}

}  // namespace

extern "C" {

int moundwork_pty_as_serial() { return 1; }

// Debian 12's libserialport was built against the older name of lstat.
int __lxstat(int version, const char* path, struct stat* status) noexcept {
  static const auto real = next<int (*)(int, const char*, struct stat*)>("__lxstat");
  if (!is_pty_entry(path)) return real(version, path, status);
  std::memset(status, 0, sizeof *status);
  status->st_mode = S_IFLNK | 0777;
  return 0;
}

ssize_t readlink(const char* path, char* into, size_t size) noexcept {
  static const auto real = next<ssize_t (*)(const char*, char*, size_t)>("readlink");
  if (!is_pty_entry(path)) return real(path, into, size);
  const size_t length = std::min(size, std::strlen(target));
  std::memcpy(into, target, length);
  return static_cast<ssize_t>(length);
}

int ioctl(int descriptor, unsigned long request, ...) noexcept {
  va_list list;
  va_start(list, request);
  void* argument = va_arg(list, void*);
  va_end(list);
  static const auto real = next<int (*)(int, unsigned long, void*)>("ioctl");
  if (isatty(descriptor) == 1) {
    if (request == TIOCMGET) {
      *static_cast<int*>(argument) = 0;
      return 0;
    }
    if (request == TIOCMBIS || request == TIOCMBIC || request == TIOCMSET) return 0;
  }
  return real(descriptor, request, argument);
}

}  // extern "C"
