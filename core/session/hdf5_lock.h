// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <mutex>

namespace moundwork::session::hdf5 {

/// HDF5 keeps state for the whole process and is built without locks here, so one thread at a time
/// may be inside it, whatever its file; its C++ objects' ends count too. Held around every use. The
/// thread that holds it may take it again.
[[nodiscard]] std::unique_lock<std::recursive_mutex> hold_library();

}  // namespace moundwork::session::hdf5
