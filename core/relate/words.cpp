// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/words.h"

#include <fmt/format.h>

#include <cctype>
#include <cmath>

#include "core/base/sentence.h"
#include "core/definitions/catalogue.h"
#include "core/definitions/key_name.h"
#include "core/definitions/shown_unit.h"
#include "core/relate/cells.h"

namespace moundwork::relate {
namespace {

// A position from heel (0) to toe (100), of which "more" says nothing to a coach.
bool is_position(const Quantity& quantity) {
  const auto known = definitions::find_quantity(quantity.key);
  return known == definitions::Quantity::heel_toe_at_drive_peak ||
         known == definitions::Quantity::heel_toe_load_mean ||
         known == definitions::Quantity::heel_toe_drive_mean;
}

// When something happens, which is not more or less but sooner or later.
bool is_moment(const Quantity& quantity) {
  return definitions::find_quantity(quantity.key) == definitions::Quantity::braking_timing;
}

}  // namespace

std::string plain_name(const Quantity& quantity) {
  const bool known = definitions::find_quantity(quantity.key).has_value();
  return definitions::key_name(known ? quantity.key : split_unit(quantity.key).name);
}

std::string amount(double value, double resolution, const Quantity& quantity) {
  return with_unit(rounded(value, resolution), quantity.unit);
}

std::string difference_size(double value, double resolution, const Quantity& quantity) {
  return with_unit(rounded(std::abs(value), resolution),
                   definitions::difference_unit(quantity.key, quantity.unit));
}

std::string difference_words(double difference, double resolution, const Quantity& quantity) {
  if (rounded(difference, resolution).find_first_of("123456789") == std::string::npos)
    return sentence("no difference");
  const std::string size = difference_size(difference, resolution, quantity);
  if (is_position(quantity))
    return difference < 0.0 ? sentence("{size} nearer the heel", "size"_is(size))
                            : sentence("{size} nearer the toe", "size"_is(size));
  if (is_moment(quantity))
    return difference < 0.0 ? sentence("{size} earlier", "size"_is(size))
                            : sentence("{size} later", "size"_is(size));
  return difference < 0.0 ? sentence("{size} less", "size"_is(size))
                          : sentence("{size} more", "size"_is(size));
}

std::string as_it_is(double value, std::string_view unit) {
  if (!std::isfinite(value)) return not_known();
  std::string text = rounded(value, 1e-4 * std::abs(value));
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.ends_with('.')) text.pop_back();
  }
  return with_unit(text, unit);
}

std::string more_of(double step, const Quantity& quantity) {
  const std::string size =
      as_it_is(step, definitions::difference_unit(quantity.key, quantity.unit));
  if (is_moment(quantity))
    return sentence("{name} {size} later", "name"_is(plain_name(quantity)), "size"_is(size));
  return is_position(quantity)
             ? sentence("{name} {size} nearer the toe", "name"_is(plain_name(quantity)),
                        "size"_is(size))
             : sentence("{size} more {name}", "size"_is(size), "name"_is(plain_name(quantity)));
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

std::string counted_pitches(int count) {
  return sentence_for(count, "{count} pitch", "{count} pitches", "count"_is(count));
}

std::string counted_athletes(int count) {
  return sentence_for(count, "{count} athlete", "{count} athletes", "count"_is(count));
}

std::string percent(double level) {
  return sentence("{number} %", "number"_is(fmt::format("{:.4g}", 100.0 * level)));
}

std::string interval(double low, double high, double level, double resolution) {
  return sentence("{level} interval {low} to {high}", "level"_is(percent(level)),
                  "low"_is(rounded(low, resolution)), "high"_is(rounded(high, resolution)));
}

std::string p_words(double p) {
  if (std::isnan(p)) return sentence("p not known");
  if (p < 0.001) return sentence("p < 0.001");
  return sentence("p = {p}", "p"_is(plain_text(p, p < 0.1 ? 3 : 2)));
}

std::string capitalised(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

}  // namespace moundwork::relate
