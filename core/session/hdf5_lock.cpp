// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/hdf5_lock.h"

namespace moundwork::session::hdf5 {

std::unique_lock<std::recursive_mutex> hold_library() {
  static std::recursive_mutex library;
  return std::unique_lock(library);
}

}  // namespace moundwork::session::hdf5
