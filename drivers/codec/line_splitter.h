// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <string>
#include <string_view>

namespace moundwork::drivers {

enum class LineState {
  whole,
  opening,  ///< the first after opening: its beginning may be missing
  too_long  ///< only its beginning is given
};

/// Cuts a stream into lines ended by LF, CR or CR LF. Empty lines are not passed on.
class LineSplitter {
 public:
  explicit LineSplitter(std::size_t longest) : longest_(longest) {}

  void push(std::span<const std::uint8_t> bytes,
            const std::function<void(std::string_view text, LineState state)>& line);
  void reset();
  /// The stream was silent for a while: what comes next begins a line.
  void idle() { opening_ = opening_ && !pending_.empty(); }

 private:
  std::size_t longest_;
  std::string pending_;
  bool too_long_ = false;
  bool opening_ = true;
};

}  // namespace moundwork::drivers
