// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/hdf5_lock.h"

#include <H5Cpp.h>

namespace moundwork::session::hdf5 {

std::unique_lock<std::recursive_mutex> hold_library() {
  static std::recursive_mutex library;
  std::unique_lock held(library);
  // Its failures become our sentences. Said to every thread: where the library is built with locks,
  // each has its own word on whether failures are printed.
  H5::Exception::dontPrint();
  return held;
}

}  // namespace moundwork::session::hdf5
