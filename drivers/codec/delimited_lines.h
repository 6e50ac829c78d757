// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

#include "drivers/codec/line_splitter.h"
#include "drivers/codec/sample_codec.h"

namespace moundwork::drivers {

/// How one line holds one row of samples.
struct LineFormat {
  char delimiter = ',';        ///< ' ' takes any run of blanks
  int fields = 0;              ///< a line with another number of fields is malformed
  std::vector<int> channels;   ///< fields of the channels, from 0, in channel order
  std::optional<int> counter;  ///< field of the device's counter
  int counter_bits = 32;       ///< the counter wraps at 2^bits, 1 to 63
  bool integers = true;        ///< samples are whole numbers of 32 bits, else decimal
};

/// Lines of numbers, a dot as decimal mark whatever the locale. Without a counter field a line that
/// cannot be read still counts as a lost row, but lines that never came cannot be seen.
class DelimitedLinesCodec : public SampleCodec {
 public:
  /// Throws std::invalid_argument on a format that contradicts itself.
  explicit DelimitedLinesCodec(LineFormat format);
  void push(std::span<const std::uint8_t> bytes, const Sink& sink) override;
  void reset() override;
  [[nodiscard]] const CodecCounts& counts() const override { return counts_; }
  [[nodiscard]] int counter_bits() const override {
    return format_.counter ? format_.counter_bits : 63;
  }

 private:
  void take_line(std::string_view text, LineState state, const Sink& sink);
  [[nodiscard]] bool parse(std::string_view text);

  LineFormat format_;
  LineSplitter splitter_;
  std::vector<int> channel_of_field_;  // -1: not used
  std::vector<double> values_;
  std::uint64_t count_ = 0;
  std::int64_t lost_ = 0;
  CodecCounts counts_;
};

}  // namespace moundwork::drivers
