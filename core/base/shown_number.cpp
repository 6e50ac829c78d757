// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/shown_number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/sentence.h"

namespace moundwork {
namespace {

constexpr std::string_view true_minus = "−";

bool is_zero(std::string_view number) {
  return number.find_first_of("123456789") == std::string_view::npos;
}

// A tie goes up, as people round: 37.25 is 37.3, though as a binary number it may lie just below.
double half_up(double value, int decimals) {
  constexpr double exact = 1e15;  // beyond it no tie is left to see
  const double scale = std::pow(10.0, decimals);
  const double scaled = value * scale;
  // As much as a typed decimal and its product may lie below the tie that they mean.
  const double slack = 4.0 * std::numeric_limits<double>::epsilon() * scaled;
  return scaled < exact ? std::floor(scaled + 0.5 + slack) / scale : value;
}

}  // namespace

std::string not_known() { return sentence("not known"); }

std::string plain_text(double value, int decimals) {
  if (!std::isfinite(value)) return not_known();
  std::string text = fmt::format("{:.{}f}", half_up(std::abs(value), decimals), decimals);
  return value < 0.0 && !is_zero(text) ? std::string(true_minus) + text : text;
}

std::string rounded(double value, double resolution) {
  const double size = std::isfinite(resolution) && resolution > 0.0 ? resolution : std::abs(value);
  constexpr int most = 12;
  return plain_text(value,
                    std::isfinite(size) && size > 0.0
                        ? std::clamp(1 - static_cast<int>(std::floor(std::log10(size))), 0, most)
                        : 0);
}

std::string number_text(double value, double uncertainty) {
  constexpr double usual = 0.01;  // of the value, where nothing better is known
  const bool known = std::isfinite(uncertainty) && uncertainty > 0.0;
  return rounded(value, spoken(known ? uncertainty : usual * std::abs(value)));
}

std::string signed_text(double value, double uncertainty) {
  std::string text = number_text(value, uncertainty);
  return value > 0.0 && !is_zero(text) ? "+" + text : text;
}

std::string measured_text(const Measured& measured) {
  if (!measured.known()) return not_known();
  std::string value = number_text(measured.value, measured.u);
  if (!std::isfinite(measured.u)) return value;
  return sentence("{value} ± {u}", "value"_is(value), "u"_is(number_text(measured.u, measured.u)));
}

std::string with_unit(const std::string& number, std::string_view unit) {
  if (unit.empty() || unit == "1") return number;
  if (unit == "°") return fmt::format("{}°", number);
  return fmt::format("{} {}", number, unit);
}

std::string typed_minus(std::string text) {
  for (std::size_t at = text.find(true_minus); at != std::string::npos;
       at = text.find(true_minus, at))
    text.replace(at, true_minus.size(), "-");
  return text;
}

}  // namespace moundwork
