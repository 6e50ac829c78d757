// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <mutex>

namespace moundwork::session::hdf5 {

/// HDF5 keeps state for the whole process, may be built without locks, and promises nothing of its
/// C++ objects between threads: so one thread at a time is inside it, whatever its file; the ends
/// of its C++ objects count too. Held around every use. The thread that holds it may take it again.
[[nodiscard]] std::unique_lock<std::recursive_mutex> hold_library();

}  // namespace moundwork::session::hdf5
