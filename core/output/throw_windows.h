// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/foot/session_plate.h"
#include "core/session/reader.h"
#include "core/session/results.h"

namespace moundwork::output {

struct PlatesOfThrow {
  foot::PlateWindow back, lead;
};

/// What both plates recorded around a session's throws, as the analysis cuts it out: lab frame,
/// tared, full rate, not filtered. Reads the session through once to find where it was unloaded.
class ThrowWindows {
 public:
  /// The reader must outlive the windows.
  [[nodiscard]] static Result<ThrowWindows> make(const session::Reader& reader,
                                                 const definitions::Settings& settings,
                                                 const Progress& progress = {});
  /// `contact`: session time, s.
  [[nodiscard]] Result<PlatesOfThrow> around(double contact) const;

 private:
  ThrowWindows(const session::Reader& reader, const definitions::Settings& settings)
      : reader_(&reader), settings_(settings) {}

  const session::Reader* reader_;
  definitions::Settings settings_;
  std::vector<foot::SessionPlate> plates_;  // back, lead
};

}  // namespace moundwork::output
