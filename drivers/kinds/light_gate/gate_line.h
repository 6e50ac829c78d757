// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/base/result.h"
#include "drivers/codec/event_codec.h"
#include "drivers/codec/line_pattern.h"
#include "drivers/codec/line_splitter.h"

namespace moundwork::drivers {

/// What a light gate's line tells; NaN where the pattern has no such field.
struct GateCrossing {
  double count, ticks;
};

/// How a light gate prints a crossing, with the fields (line_pattern.h) {count} and {ticks}, whole
/// numbers of at most 2^53.
class GateLinePattern {
 public:
  [[nodiscard]] static Result<GateLinePattern> make(const std::string& pattern);
  /// Whether lines tell the device's counter.
  [[nodiscard]] bool has_ticks() const;
  /// Nothing if the line does not fit.
  [[nodiscard]] std::optional<GateCrossing> match(std::string_view line) const;

 private:
  explicit GateLinePattern(LinePattern pattern) : pattern_(std::move(pattern)) {}
  LinePattern pattern_;
};

/// Crossings out of a stream of bytes. A line that does not fit is counted and is no crossing; nor
/// is the first after opening, whose beginning may be missing.
class GateCodec : public EventCodec {
 public:
  explicit GateCodec(GateLinePattern pattern);
  void push(std::span<const std::uint8_t> bytes, const Sink& sink) override;
  void reset() override { splitter_.reset(); }
  void idle() override { splitter_.idle(); }
  [[nodiscard]] EventCounts counts() const override { return counts_; }

 private:
  GateLinePattern pattern_;
  LineSplitter splitter_;
  EventCounts counts_;
};

}  // namespace moundwork::drivers
