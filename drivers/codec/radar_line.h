// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"
#include "drivers/codec/kept_line.h"
#include "drivers/codec/line_pattern.h"
#include "drivers/codec/line_splitter.h"

namespace moundwork::drivers {

/// How a radar prints its readings, since every make prints its own line.
struct RadarLineSettings {
  /// With the fields (line_pattern.h) {speed} a number, {unit} a unit's symbol, {direction} one of
  /// the words below.
  std::string pattern = "{speed}";
  std::string unit;                 ///< of the speed where the pattern has no {unit}, e.g. "mph"
  std::vector<std::string> toward;  ///< words for a target coming toward the radar
  std::vector<std::string> away;    ///< words for a target going away
  /// True if the radar stands behind the pitcher, so that a ball going home goes away from it.
  bool behind_pitcher = false;
};

struct RadarValue {
  double speed = 0.0;  ///< m/s
  int direction = 0;   ///< +1 toward home, -1 back, 0 not told
};

/// A compiled pattern: reading a line takes time in proportion to its length.
class RadarLinePattern {
 public:
  [[nodiscard]] static Result<RadarLinePattern> make(const RadarLineSettings& settings);

  /// Nothing if the line does not fit, or its speed is negative or not finite, or its unit or
  /// direction is unknown.
  [[nodiscard]] std::optional<RadarValue> match(std::string_view line) const;

 private:
  RadarLinePattern() = default;
  /// Takes a word for the direction: +1 home, -1 back; nothing where there is none.
  [[nodiscard]] std::optional<int> direction(std::string_view& rest) const;

  LinePattern pattern_;
  double factor_ = 1.0;  // m/s per unit where the pattern has no unit
  std::vector<std::string> home_, back_;
};

struct RadarLine {
  std::string_view text;            ///< as sent, without its end; valid during the call
  std::optional<RadarValue> value;  ///< absent: the line does not fit the pattern
};

struct RadarLineCounts {
  std::uint64_t bytes = 0;
  std::uint64_t readings = 0;
  std::uint64_t other_lines = 0;  ///< that do not fit the pattern
};

/// Readings out of a stream of bytes.
class RadarLineCodec {
 public:
  explicit RadarLineCodec(RadarLinePattern pattern);
  void push(std::span<const std::uint8_t> bytes, const std::function<void(const RadarLine&)>& sink);
  void reset() { splitter_.reset(); }
  /// The radar was silent for a while: what comes next begins a line, even the first after opening.
  void idle() { splitter_.idle(); }
  [[nodiscard]] const RadarLineCounts& counts() const { return counts_; }

 private:
  RadarLinePattern pattern_;
  LineSplitter splitter_;
  RadarLineCounts counts_;
};

}  // namespace moundwork::drivers
