// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/definitions/catalogue.h"
#include "core/session/edit.h"
#include "core/session/results.h"
#include "core/session/session.h"

/// What the index takes from a session file and its companion. No database here.
namespace moundwork::index {

struct ThrowEntry {
  int number = 0;
  double contact = 0.0;  ///< session time of lead contact, s
  bool excluded = false;
  std::string why;    ///< of the exclusion
  std::string flags;  ///< keys, a space between
  std::array<Measured, definitions::quantity_count> quantities;
};

struct SessionEntry {
  std::filesystem::path path;
  std::uintmax_t bytes = 0;  ///< of the session file and its companion
  std::string id, started, origin, surface;
  std::string day;  ///< 2026-07-04, in the session's own zone
  session::Athlete athlete;
  std::string made, software;  ///< of the analysis that counts; empty if there is none
  std::vector<ThrowEntry> throws;
  std::vector<session::Edit> edits;

  /// Tells athletes apart: the id, or the name where there is none; empty where neither is known.
  [[nodiscard]] std::string identity() const;
  /// The latest of analysis and edits, ISO 8601: of two copies the one with the later counts.
  [[nodiscard]] std::string changed() const;
};

/// Fails on a file that is no session, a session without an identity, and damaged results.
[[nodiscard]] Result<SessionEntry> read_entry(const std::filesystem::path& path);

/// One quantity over a session's throws that count.
struct MeanEntry {
  definitions::Quantity quantity{};
  int n = 0;
  double mean = 0.0;
  double sd = 0.0;  ///< between throws; NaN for one throw
  /// Root mean square of the throws' standard uncertainties. Most of it is shared by the throws of
  /// a session (calibration, foot line), so it does not shrink with their number.
  double u = 0.0;
  double lowest = 0.0, highest = 0.0;
};
[[nodiscard]] std::vector<MeanEntry> means_of(const std::vector<ThrowEntry>& throws);

}  // namespace moundwork::index
