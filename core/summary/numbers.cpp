// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/numbers.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/definitions/catalogue.h"
#include "core/definitions/shown_unit.h"
#include "core/relate/change.h"
#include "core/relate/repeat.h"
#include "core/relate/shown.h"
#include "core/stats/distributions.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

using definitions::Quantity;

// Values of one quantity over the counted throws, in the shown unit.
struct Values {
  std::vector<double> each;
  double mean = std::numeric_limits<double>::quiet_NaN();
  double u = std::numeric_limits<double>::quiet_NaN();  ///< root mean square of the throws'
};

Values values_of(const Source& source, std::string_view key, double factor) {
  Values values;
  double sum = 0.0;
  double squares = 0.0;
  for (const auto& one : source.counted.throws) {
    const Measured measured = value_of(one.quantities, key);
    if (!measured.known()) continue;
    values.each.push_back(factor * measured.value);
    sum += factor * measured.value;
    squares += factor * factor * measured.u * measured.u;
  }
  const auto n = static_cast<double>(values.each.size());
  if (values.each.empty()) return values;
  values.mean = sum / n;
  // Calibration, foot line and release bias are common to all throws of a session and do not
  // average out; taking all of u as common is the most that it can be.
  values.u = std::sqrt(squares / n);
  return values;
}

std::string speed_words(const Source& source) {
  if (source.session.known_ball_speed && !source.session.radar)
    return sentence("How fast the ball left the hand, as given with the recording.");
  return sentence(
      "How fast the ball left the hand, by radar, corrected for its angle and for the air.");
}

std::string heel_toe_words(double percent) {
  if (percent < 20.0)
    return sentence(
        "Where the weight stood on the back foot as it pushed hardest: 0 is the heel, 100 the toe. "
        "Here on the heel.");
  if (percent < 40.0)
    return sentence(
        "Where the weight stood on the back foot as it pushed hardest: 0 is the heel, 100 the toe. "
        "Here toward the heel.");
  if (percent > 80.0)
    return sentence(
        "Where the weight stood on the back foot as it pushed hardest: 0 is the heel, 100 the toe. "
        "Here on the toe.");
  if (percent > 60.0)
    return sentence(
        "Where the weight stood on the back foot as it pushed hardest: 0 is the heel, 100 the toe. "
        "Here toward the toe.");
  return sentence(
      "Where the weight stood on the back foot as it pushed hardest: 0 is the heel, 100 the toe. "
      "Here near the middle.");
}

std::string timing_words(double milliseconds) {
  const std::string size = plain_text(std::abs(milliseconds), 0);
  if (size == "0")
    return sentence(
        "When the lead foot braked hardest, against the ball's release (minus is before): at "
        "release.");
  return milliseconds < 0.0
             ? sentence(
                   "When the lead foot braked hardest, against the ball's release (minus is "
                   "before): {size} ms before it.",
                   "size"_is(size))
             : sentence(
                   "When the lead foot braked hardest, against the ball's release (minus is "
                   "before): {size} ms after it.",
                   "size"_is(size));
}

struct Spec {
  Quantity quantity;
  Template<true> name;
};
constexpr std::array<Spec, 5> specs{{{Quantity::ball_speed, "Ball speed"},
                                     {Quantity::heel_toe_at_drive_peak, "Heel to toe at the drive"},
                                     {Quantity::drive_impulse_per_mass, "Back-foot drive"},
                                     {Quantity::braking_impulse_per_mass, "Lead-foot braking"},
                                     {Quantity::braking_timing, "Hardest braking"}}};

std::string meaning_of(Quantity quantity, const Source& source, double mean) {
  switch (quantity) {
    case Quantity::ball_speed:
      return speed_words(source);
    case Quantity::heel_toe_at_drive_peak:
      return heel_toe_words(mean);
    case Quantity::drive_impulse_per_mass:
      return sentence(
          "The back foot's push toward home until the lead foot lands, for each kilogram of body: "
          "the speed this push alone gives the body.");
    case Quantity::braking_impulse_per_mass:
      return sentence(
          "The lead foot's push against the motion, from landing to release, in the same measure: "
          "speed it takes from the body.");
    case Quantity::braking_timing:
      return timing_words(mean);
    default:
      return std::string(definitions::entry(quantity).definition);
  }
}

std::string missing_words(Quantity quantity, const Source& source) {
  if (source.counted.throws.empty()) return sentence("No throw counts.");
  if (quantity == Quantity::ball_speed && !source.session.radar)
    return sentence("There was no radar, and no speed was given.");
  if (quantity == Quantity::heel_toe_at_drive_peak && !source.session.foot_line)
    return sentence("Heel and toe of the back foot were not located.");
  return sentence("No counted throw shows it.");
}

Number number_of(const Spec& spec, const Source& source, const Context& context) {
  const auto& entry = definitions::entry(spec.quantity);
  const definitions::ShownUnit shown =
      definitions::shown_unit(entry.key, entry.unit, {context.speed_unit});
  const Values values = values_of(source, entry.key, shown.factor);
  Number number;
  number.name = sentence(spec.name);
  number.unit = shown.unit;
  number.throws = static_cast<int>(values.each.size());
  if (values.each.empty()) {
    number.meaning = missing_words(spec.quantity, source);
    return number;
  }
  const double half = stats::normal_quantile(0.975) * values.u;
  number.shown = values.mean;
  number.value = number_text(values.mean, half);
  if (std::isfinite(half) && half > 0.0) number.plus_minus = number_text(half, half);
  if (values.each.size() > 1) {
    const auto [least, greatest] = std::minmax_element(values.each.begin(), values.each.end());
    number.range = sentence("{least} to {greatest}", "least"_is(number_text(*least, half)),
                            "greatest"_is(number_text(*greatest, half)));
  }
  number.meaning = meaning_of(spec.quantity, source, values.mean);
  return number;
}

// Nobody is told to come last: most numbers have no better end, and a child takes it for a mark.
std::string place_text(const Place& place) {
  const auto others = "others"_is(place.others);
  if (place.others >= least_for_percentile) {
    const auto [from, to] = place.percentile_interval();
    const auto low = "low"_is(plain_text(from, 0));
    const auto high = "high"_is(plain_text(to, 0));
    if (place.below == 0)
      return sentence("percentile {low} to {high} of {others}", low, high, others);
    return sentence("percentile {percentile} ({low} to {high}) of {others}",
                    "percentile"_is(plain_text(place.percentile(), 0)), low, high, others);
  }
  if (place.below == place.others) return sentence("higher than all {others}", others);
  if (place.below == 0) return sentence("beside {others} others", others);
  return sentence("higher than {below} of {others}", "below"_is(place.below), others);
}

void add_place(const Spec& spec, const Context& context, Number& number) {
  if (!context.group || number.value.empty()) return;
  const auto& entry = definitions::entry(spec.quantity);
  const auto found = context.group->means.find(std::string(entry.key));
  if (found == context.group->means.end() || static_cast<int>(found->second.size()) < least_others)
    return;
  const double factor = definitions::shown_unit(entry.key, entry.unit, {context.speed_unit}).factor;
  for (const double other : found->second) number.others.push_back(factor * other);
  number.place = place_text(place_of(number.shown, number.others));
}

// What the limits rest on, and of which throws they are; empty where there is none.
std::string limit_words(const relate::ChangeReport& report) {
  const relate::Change* with_days = nullptr;
  const relate::Change* without = nullptr;
  for (const auto& change : report.changes) {
    if (change.source == relate::LimitSource::retest) with_days = &change;
    if (change.source == relate::LimitSource::pitches) without = &change;
  }
  if (without != nullptr)
    return sentence(
        "Limits come from the throws' scatter and the measurement: too few athletes were measured "
        "again to tell what days differ by.");
  if (with_days != nullptr)
    return sentence(
        "Limits come from the throws' scatter, the measurement and {count} other athletes measured "
        "again.",
        "count"_is(with_days->retested));
  return {};
}

Change change_from(const relate::Change& change) {
  Change result;
  result.real = change.real;
  result.beyond_scatter = change.word == relate::ChangeWord::beyond_scatter;
  if (change.word == relate::ChangeWord::not_alike) return {"", sentence("other pitch types")};
  if (!std::isfinite(change.difference)) return {"", sentence("not measured both times")};
  // A digit more than the limit's first tells on which side of it a difference lies.
  const double digits = 0.1 * change.limit;
  result.difference = signed_text(change.difference, digits);
  const auto limit = "limit"_is(number_text(change.limit, digits));
  switch (change.word) {
    case relate::ChangeWord::beyond_days:
      result.verdict = sentence("beyond what days differ by (limit {limit})", limit);
      break;
    case relate::ChangeWord::beyond_scatter:
      result.verdict = sentence("beyond scatter and measurement (limit {limit})", limit);
      break;
    case relate::ChangeWord::within:
      result.verdict = sentence("may be chance (limit {limit})", limit);
      break;
    default:
      result.verdict = sentence("too few throws to tell");
  }
  return result;
}

// This session and all others that may be compared: none of this athlete's own after it.
std::vector<relate::AnalysedSession> compared(const Source& source, const Context& context) {
  std::vector<relate::AnalysedSession> sessions{source.analysed};
  for (const auto& session : context.sessions) {
    const bool own = identity_of(session.athlete) == identity_of(source.analysed.athlete);
    if (own && session.started >= source.analysed.started) continue;
    const bool there = std::any_of(sessions.begin(), sessions.end(),
                                   [&](const auto& other) { return other.id == session.id; });
    if (!there) sessions.push_back(session);
  }
  return sessions;
}

void add_changes(const Source& source, const Context& context, Summary& summary) {
  const std::string& athlete = identity_of(source.analysed.athlete);
  std::vector<std::string> keys;
  for (const Spec& spec : specs)
    if (spec.quantity != Quantity::ball_speed)
      keys.emplace_back(definitions::entry(spec.quantity).key);
  const auto sessions = compared(source, context);
  auto pitches = relate::pitches_from_sessions(sessions, keys);
  const std::string none =
      sentence("No earlier session of this athlete was given to compare with.");
  if (!pitches) {
    summary.change_note = none;
    return;
  }
  relate::show_units(*pitches, {context.speed_unit});
  const auto labels = relate::sessions_of(*pitches, athlete);
  if (labels.size() < 2) {
    summary.change_note = none;
    return;
  }
  relate::ChangeRequest request;
  request.from = labels[labels.size() - 2];
  request.to = labels.back();
  request.athletes = {athlete};
  request.main_type = true;
  const auto report = relate::find_changes(*pitches, request, relate::Settings{});
  if (!report) {
    summary.change_note = none;
    return;
  }
  int throws_then = 0;
  for (const auto& change : report->changes) {
    throws_then = std::max(throws_then, change.pitches_from);
    for (std::size_t i = 0; i < specs.size(); ++i)
      if (definitions::entry(specs[i].quantity).key == change.quantity.key)
        summary.numbers[i].change = change_from(change);
  }
  const relate::Change& any = report->changes.front();
  const auto day = "day"_is(date_only(*request.from));
  const auto throws = "throws"_is(count_of_throws(throws_then));
  if (any.word == relate::ChangeWord::not_alike)
    summary.change_note = sentence(
        "Change since {day} is not judged, for the throws of both days have no pitch type in "
        "common.",
        day);
  else if (!any.pitch_type.empty())
    summary.change_note = sentence("Change is since {day} ({throws}), of {type} throws alone.", day,
                                   throws, "type"_is(any.pitch_type));
  else
    summary.change_note = sentence("Change is since {day} ({throws}).", day, throws);
  if (const std::string limits = limit_words(*report); !limits.empty())
    summary.change_note += ' ' + limits;
  if (any.growth) summary.change_note += ' ' + any.growth->says;
}

}  // namespace

void add_numbers(const Source& source, const Context& context, Summary& summary) {
  for (const Spec& spec : specs) {
    Number number = number_of(spec, source, context);
    add_place(spec, context, number);
    summary.numbers.push_back(std::move(number));
  }
  add_changes(source, context, summary);
  summary.group_note = group_words(context.group);
  summary.uncertainty_note =
      source.counted.throws.size() == 1
          ? sentence("Of the one throw; ± is the 95 % uncertainty of measurement.")
          : sentence(
                "Means of the counted throws. ± is the 95 % uncertainty of measurement, taken "
                "as common to all throws; the range is the least and the greatest throw.");
}

}  // namespace moundwork::summary
