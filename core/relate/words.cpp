// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "core/relate/cells.h"

namespace moundwork::relate {

std::string plain_name(const Quantity& quantity) {
  std::string name = split_unit(quantity.key).name;
  std::replace(name.begin(), name.end(), '_', ' ');
  constexpr std::string_view over_weight = " bw";
  if (name.ends_with(over_weight))
    name.replace(name.size() - over_weight.size(), over_weight.size(), " per body weight");
  return name;
}

std::string rounded(double value, double resolution) {
  if (!std::isfinite(value)) return "unknown";
  const double size = std::isfinite(resolution) && resolution > 0.0 ? resolution : std::abs(value);
  const int decimals =
      size > 0.0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(size))), 0, 12) : 0;
  std::string text = fmt::format("{:.{}f}", value, decimals);
  // A value that rounds to zero has no sign.
  if (text.front() == '-' && text.find_first_of("123456789") == std::string::npos) text.erase(0, 1);
  return text;
}

std::string with_unit(double value, double resolution, const std::string& unit) {
  const std::string number = rounded(value, resolution);
  return unit.empty() || unit == "1" ? number : number + " " + unit;
}

std::string step_with_unit(double step, const std::string& unit) {
  return unit.empty() || unit == "1" ? fmt::format("{:g}", step)
                                     : fmt::format("{:g} {}", step, unit);
}

double round_step(double spread) {
  if (!(spread > 0.0) || !std::isfinite(spread)) return 1.0;
  const double decade = std::pow(10.0, std::floor(std::log10(spread)));
  double best = decade;
  for (const double candidate : {decade, 2.0 * decade, 5.0 * decade, 10.0 * decade})
    if (std::abs(std::log(candidate / spread)) < std::abs(std::log(best / spread)))
      best = candidate;
  return best;
}

std::string count_of(int count, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string percent(double level) { return fmt::format("{:.10g} %", 100.0 * level); }

std::string interval(double low, double high, double level, double resolution) {
  return fmt::format("{} interval {} to {}", percent(level), rounded(low, resolution),
                     rounded(high, resolution));
}

std::string p_words(double p) {
  if (std::isnan(p)) return "p unknown";
  if (p < 0.001) return "p < 0.001";
  return fmt::format("p = {:.{}f}", p, p < 0.1 ? 3 : 2);
}

std::string capitalised(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

}  // namespace moundwork::relate
