// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/foot/session_plate.h"
#include "core/session/reader.h"
#include "core/session/results.h"

namespace moundwork::output {

/// One plate around a throw.
struct PlateAround {
  session::PlateRole role = session::PlateRole::back;
  std::string ordinal;  ///< what stands before "plate"
  foot::PlateWindow window;
};

/// The back foot's plates, then the lead foot's.
struct PlatesOfThrow {
  std::vector<PlateAround> plates;

  /// A foot's plates as one. Fails where they did not record at the same time.
  [[nodiscard]] Result<foot::PlateWindow> foot(session::PlateRole role) const;
};

/// What every foot's plates recorded around a session's throws, as the analysis cuts it out: lab
/// frame, tared, full rate, not filtered. Reads the session through once to find where it was
/// unloaded.
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
  std::vector<foot::SessionPlate> plates_;  // as PlatesOfThrow
};

}  // namespace moundwork::output
