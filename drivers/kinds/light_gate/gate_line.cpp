// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/kinds/light_gate/gate_line.h"

#include <array>
#include <charconv>
#include <limits>
#include <utility>

#include "drivers/codec/kept_line.h"

namespace moundwork::drivers {
namespace {

enum Field : std::size_t { count_field, ticks_field };
constexpr std::array<std::string_view, 2> fields{"count", "ticks"};

constexpr std::size_t longest_line = 256;
// Whole numbers up to here are the same as doubles.
constexpr std::uint64_t greatest = std::uint64_t{1} << 53U;

bool take_number(std::string_view& rest, double& number) {
  std::uint64_t whole = 0;
  const auto [end, status] = std::from_chars(rest.data(), rest.data() + rest.size(), whole);
  if (status != std::errc{} || whole > greatest) return false;
  rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
  number = static_cast<double>(whole);
  return true;
}

}  // namespace

Result<GateLinePattern> GateLinePattern::make(const std::string& pattern) {
  const std::string where = "light gate pattern '" + pattern + "'";
  if (pattern.find_first_not_of(" \t") == std::string::npos)
    return fail(where, "is empty", "write what it prints at a crossing, such as \"G {count}\"");
  auto made = LinePattern::make(pattern, fields, where);
  if (!made) return tl::make_unexpected(made.error());
  return GateLinePattern(std::move(*made));
}

bool GateLinePattern::has_ticks() const { return pattern_.has(ticks_field); }

std::optional<GateCrossing> GateLinePattern::match(std::string_view line) const {
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  GateCrossing crossing{none, none};
  const bool fits = pattern_.match(line, [&](std::size_t field, std::string_view& rest) {
    return take_number(rest, field == count_field ? crossing.count : crossing.ticks);
  });
  return fits ? std::optional(crossing) : std::nullopt;
}

GateCodec::GateCodec(GateLinePattern pattern)
    : pattern_(std::move(pattern)), splitter_(longest_line) {}

void GateCodec::push(std::span<const std::uint8_t> bytes, const Sink& sink) {
  splitter_.push(bytes, [&](std::string_view text, LineState state) {
    const auto crossing = state == LineState::whole ? pattern_.match(text) : std::nullopt;
    ++(crossing ? counts_.events : counts_.other_lines);
    if (crossing) sink({SessionTime{}, {crossing->count, crossing->ticks}, kept_line(text)});
  });
}

}  // namespace moundwork::drivers
