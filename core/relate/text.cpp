// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/sentence.h"
#include "core/relate/words.h"

namespace moundwork::relate {
namespace {

using Line = std::vector<std::string>;

// First column to the left, numbers to the right, two blanks between. Widths count code points, for
// column names may hold any letter.
std::size_t width_of(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xc0) != 0x80;
  }));
}

std::string table(const std::vector<Line>& lines) {
  std::vector<std::size_t> widths;
  for (const auto& line : lines) {
    widths.resize(std::max(widths.size(), line.size()));
    for (std::size_t i = 0; i < line.size(); ++i)
      widths[i] = std::max(widths[i], width_of(line[i]));
  }
  std::string text;
  for (const auto& line : lines) {
    std::string row;
    for (std::size_t i = 0; i < line.size(); ++i) {
      const std::string blanks(widths[i] - width_of(line[i]), ' ');
      row += i == 0 ? line[i] + blanks : "  " + blanks + line[i];
    }
    row.erase(row.find_last_not_of(' ') + 1);
    text += row + "\n";
  }
  return text;
}

std::string list(const std::string& title, const std::vector<std::string>& lines) {
  if (lines.empty()) return {};
  std::string text = "\n" + title + "\n";
  for (const auto& line : lines) text += "  " + line + "\n";
  return text;
}

std::string short_p(double p) {
  if (std::isnan(p)) return "-";
  return p < 0.001 ? "<0.001" : fmt::format("{:.3f}", p);
}

std::string number(double value, const char* format) {
  return std::isfinite(value) ? fmt::format(fmt::runtime(format), value) : "-";
}

std::string three_digits(double value) {
  return std::isfinite(value) ? rounded(value, 0.1 * std::abs(value)) : "-";
}

std::string range(double low, double high) {
  return std::isfinite(low) ? fmt::format("{:.2f} to {:.2f}", low, high) : "-";
}

std::string plus_minus(const stats::Estimate& estimate) {
  if (!std::isfinite(estimate.value)) return "-";
  return rounded(estimate.value, estimate.u) + " (" + rounded(estimate.u, estimate.u) + ")";
}

std::string label(const Quantity& quantity) {
  const std::string name = plain_name(quantity);
  return quantity.unit.empty() || quantity.unit == "1" ? name : name + ", " + quantity.unit;
}

std::string several_athletes(const Report& report, const Settings& settings) {
  const std::string level = percent(settings.level);
  std::vector<Line> within{{"Within athletes", "pitches", "athletes", "r", level, "resampled", "p",
                            "adjusted p", "slope (u)", "plain r"}};
  std::vector<Line> between{{"Between athletes", "r", level, "resampled", "at equal size", level,
                             "p", "adjusted p", "slope (u)"}};
  if (report.has_mass) {
    between.front().push_back("r at equal mass");
    between.front().push_back(level);
  }
  between.front().push_back("SD of athletes");
  between.front().push_back("SD left");

  for (const auto& r : report.relations) {
    if (!r.tested) continue;
    const auto& rm = tested_within(r);
    const std::string name = label(r.quantity);
    Line inside{name,
                std::to_string(r.pitches),
                std::to_string(r.athletes),
                number(rm.r, "{:.2f}"),
                range(rm.low, rm.high),
                range(r.resampled.within_r.low, r.resampled.within_r.high),
                short_p(rm.p),
                short_p(r.adjusted_p),
                plus_minus(r.within_slope),
                number(r.repeated_measures.r, "{:.2f}")};
    within.push_back(std::move(inside));
    Line line{name,
              number(r.between.r, "{:.2f}"),
              range(r.between.low, r.between.high),
              range(r.resampled.between_r.low, r.resampled.between_r.high),
              number(r.equal_size.correlation.r, "{:.2f}"),
              range(r.equal_size.correlation.low, r.equal_size.correlation.high),
              short_p(r.equal_size.correlation.p),
              short_p(r.equal_size_adjusted_p),
              plus_minus(r.equal_size.slope)};
    if (report.has_mass) {
      line.push_back(number(r.between_for_mass.r, "{:.2f}"));
      line.push_back(range(r.between_for_mass.low, r.between_for_mass.high));
    }
    line.push_back(r.mixed_model ? three_digits(r.mixed_model->model.sd_group) : "-");
    line.push_back(r.mixed_model ? three_digits(r.mixed_model->model.sd_residual) : "-");
    between.push_back(std::move(line));
  }
  return table(within) + "\n" + table(between);
}

std::string one_athlete(const Report& report, const Settings& settings) {
  const std::string level = percent(settings.level);
  std::vector<Line> lines{{"Within this athlete", "pitches", "r", level, "p", "adjusted p",
                           "slope (u)", "could show r", "Pearson r", level, "Spearman", level}};
  for (const auto& r : report.relations) {
    if (!r.tested) continue;
    const stats::Correlation& tested = tested_within(r);
    lines.push_back({label(r.quantity), std::to_string(r.pitches), number(tested.r, "{:.2f}"),
                     range(tested.low, tested.high), short_p(tested.p), short_p(r.adjusted_p),
                     plus_minus(r.within_slope), number(r.smallest_r, "{:.2f}"),
                     number(r.pearson.r, "{:.2f}"), range(r.pearson.low, r.pearson.high),
                     number(r.spearman.r, "{:.2f}"), range(r.spearman.low, r.spearman.high)});
  }
  return table(lines);
}

// Beside those tested: to look at, without a p that would invite a verdict.
std::string looked_at(const Report& report) {
  std::vector<Line> lines{{"To look at, not tested", "pitches", "r within", "r between"}};
  for (const auto& r : report.relations)
    if (!r.tested)
      lines.push_back({label(r.quantity), std::to_string(r.pitches),
                       number(tested_within(r).r, "{:.2f}"),
                       number(std::isfinite(r.equal_size.correlation.r) ? r.equal_size.correlation.r
                                                                        : r.between.r,
                              "{:.2f}")});
  return lines.size() > 1 ? "\n" + table(lines) : std::string();
}

// Above this the correction is a twentieth at most; every one is in the JSON.
constexpr double reliable_enough = 0.95;

// The plain slope beside what it would be without the error of measurement.
std::string uncertain_inputs(const Report& report) {
  std::vector<Line> lines{
      {"Measured with error", "reliability", "plain slope (u)", "without the error (u)"}};
  int reliable = 0;
  for (const auto& r : report.relations) {
    const auto add = [&](const stats::Attenuation& a, const std::string& where) {
      if (!std::isfinite(a.reliability)) return;
      if (a.reliability >= reliable_enough)
        ++reliable;
      else
        // Below zero where the uncertainty is stated larger than all that was seen to vary.
        lines.push_back({label(r.quantity) + where,
                         a.reliability > 0.0 ? fmt::format("{:.2f}", a.reliability) : "-",
                         plus_minus(a.plain), plus_minus(a.corrected)});
    };
    add(r.attenuation, report.athletes > 1 ? ", within" : "");
    add(r.attenuation_between, ", between");
  }
  std::string text = lines.size() > 1 ? "\n" + table(lines) : std::string{};
  if (reliable > 0)
    text +=
        fmt::format("\nMeasured well enough that their slopes change by a twentieth at most: {}\n",
                    count_of(reliable, "slope", "slopes"));
  return text;
}

bool any_shown(const Relation& r) {
  const auto shown = [](Verdict v) { return v == Verdict::shown || v == Verdict::shown_here; };
  return shown(r.within_verdict) || shown(r.between_verdict);
}

// With many quantities the lines that matter would drown in those that tell nothing: these are
// counted and named in one.
constexpr std::size_t most_lines = 8;

std::vector<std::string> lines_to_say(const Report& report) {
  std::vector<std::string> lines;
  std::vector<std::string> open;
  const auto tested =
      static_cast<std::size_t>(std::count_if(report.relations.begin(), report.relations.end(),
                                             [](const Relation& r) { return r.tested; }));
  for (const auto& r : report.relations)
    if (!r.tested)
      continue;
    else if (tested <= most_lines || any_shown(r))
      lines.push_back(r.says);
    else
      open.push_back(plain_name(r.quantity));
  if (!open.empty())
    lines.push_back(
        fmt::format("Nothing shown for {}: {}; the intervals above say what is still "
                    "open, and the JSON has a line for each.",
                    count_of(static_cast<int>(open.size()), "other quantity", "other quantities"),
                    fmt::join(open, ", ")));
  return lines;
}

std::vector<std::string> drift_lines(const Report& report, const Settings& settings) {
  std::vector<std::string> lines;
  int level = 0;
  for (const auto& trend : report.trends) {
    const bool shown = trend.per_pitch.p <= 1.0 - settings.level;
    if (shown || report.trends.size() <= most_lines)
      lines.push_back(trend.says + ".");
    else
      ++level;
  }
  if (level > 0)
    lines.push_back(
        fmt::format("No trend shown for {}; of {} looked at, about {:.1f} would show one "
                    "by luck.",
                    level, report.trends.size(),
                    (1.0 - settings.level) * static_cast<double>(report.trends.size())));
  return lines;
}

}  // namespace

std::string to_text(const Report& report, const Settings& settings) {
  const std::string unit =
      report.ball_speed.unit.empty() ? "" : " (" + report.ball_speed.unit + ")";
  std::string text =
      fmt::format("Ball speed{} against {}: {} of {}", unit,
                  count_of(static_cast<int>(report.relations.size()), "quantity", "quantities"),
                  count_of(report.rows - report.rows_left_out, "pitch", "pitches"),
                  count_of(report.athletes, "athlete", "athletes"));
  if (report.rows_left_out > 0)
    text += fmt::format("; {} without ball speed or athlete left out",
                        count_of(report.rows_left_out, "row", "rows"));
  text += fmt::format(
      "\n{} within athletes, {} between; p is adjusted for that many (false-discovery rate)\n\n",
      count_of(report.tests_within, "test", "tests"), report.tests_between);
  text += report.athletes > 1 ? several_athletes(report, settings) : one_athlete(report, settings);
  text += looked_at(report);
  text += uncertain_inputs(report);

  std::vector<std::string> notes = report.notes;
  for (const auto& relation : report.relations) {
    const std::string name = plain_name(relation.quantity);
    const int missing = relation.left_out - report.rows_left_out;
    if (missing > 0)
      notes.push_back(fmt::format("{}: {} without a value left out", name,
                                  count_of(missing, "pitch", "pitches")));
    if (report.athletes > 1 && !relation.no_mixed_model.empty() &&
        relation.within_verdict != Verdict::undefined)
      notes.push_back(fmt::format("{}: no mixed model, for {}", name, relation.no_mixed_model));
    for (const auto& note : relation.notes) notes.push_back(fmt::format("{}: {}", name, note));
  }
  text += list("What may be said", lines_to_say(report));
  text += list("Over the session", drift_lines(report, settings));
  return typed_minus(text + list("Notes", notes));
}

namespace {

std::string cue_order_words(const CueReport& report) {
  const auto& d = report.effects.front().difference;
  const auto with = "with"_is(d.marked_pieces);
  const auto without = "without"_is(d.other_pieces);
  if (report.drawn)
    return report.in_runs
               ? sentence(
                     "The order was drawn by chance, in runs: {with} with the cue, {without} "
                     "without.",
                     with, without)
               : sentence(
                     "The order was drawn by chance, pitch by pitch: {with} with the cue, "
                     "{without} without.",
                     with, without);
  return report.in_runs
             ? sentence(
                   "Nobody drew the order by chance; the cue came in runs, which are taken "
                   "whole: {with} with it, {without} without.",
                   with, without)
             : sentence(
                   "Nobody drew the order by chance; pitches are taken one by one: {with} with "
                   "the cue, {without} without.",
                   with, without);
}

}  // namespace

std::string to_text(const CueReport& report, const Settings& settings) {
  std::vector<Line> lines{
      {report.cue == "any" ? "With a cue, against without" : "With the cue \"" + report.cue + "\"",
       "with", "without", "blocks", "difference", percent(settings.level), "p", "adjusted p",
       "neighbours"}};
  std::vector<std::string> says;
  for (const auto& effect : report.effects) {
    const auto& d = effect.difference;
    const double resolution = std::isfinite(d.high - d.low) ? 0.5 * (d.high - d.low) : d.effect;
    lines.push_back({label(effect.quantity), std::to_string(d.marked), std::to_string(d.others),
                     std::to_string(d.strata), rounded(d.effect, resolution),
                     std::isfinite(d.high - d.low)
                         ? rounded(d.low, resolution) + " to " + rounded(d.high, resolution)
                         : "-",
                     short_p(d.p), short_p(effect.adjusted_p),
                     std::isfinite(effect.neighbour_correlation)
                         ? plain_text(effect.neighbour_correlation, 2)
                         : "-"});
    says.push_back(effect.says);
  }
  return typed_minus(table(lines) + list("What may be said", says) +
                     list("How the cues came", {cue_order_words(report), report.carry_over}) +
                     list("Notes", report.notes));
}

std::string to_text(const std::vector<Repeatability>& report, const Settings& settings) {
  std::vector<Line> pitches{{"From pitch to pitch", "athletes", "ICC(1,1)", percent(settings.level),
                             "typical error", "SEM", "minimal detectable change"}};
  std::vector<Line> sessions{{"From session to session", "athletes", "sessions", "ICC(2,1)",
                              "ICC(3,1)", "of all: (2,k)", "typical error",
                              "minimal detectable change"}};
  std::vector<std::string> says;
  for (const auto& r : report) {
    pitches.push_back(
        {label(r.quantity), std::to_string(r.athletes), number(r.pitches.single.value, "{:.2f}"),
         range(r.pitches.single.low, r.pitches.single.high), three_digits(r.pitches.typical_error),
         three_digits(r.pitch_sem), three_digits(r.pitch_mdc)});
    if (r.session_icc)
      sessions.push_back({label(r.quantity), std::to_string(r.retested), std::to_string(r.sessions),
                          number(r.session_icc->two_one.value, "{:.2f}"),
                          number(r.session_icc->three_one.value, "{:.2f}"),
                          number(r.session_icc->two_k.value, "{:.2f}"),
                          three_digits(r.session_typical_error), three_digits(r.session_mdc)});
    says.push_back(r.says);
  }
  std::string text = table(pitches);
  if (sessions.size() > 1) text += "\n" + table(sessions);
  return typed_minus(text + list("What may be said", says));
}

std::string to_text(const ChangeReport& report) {
  std::vector<Line> lines{{"Athlete", "quantity", "from", "to", "difference", "limit", "it is"}};
  std::vector<std::string> says;
  std::string grew;
  for (const auto& change : report.changes) {
    const double resolution = std::isfinite(change.limit) ? change.limit : change.mean_from / 100.0;
    const std::string name = label(change.quantity);
    lines.push_back({change.athlete,
                     change.pitch_type.empty() ? name : name + ", " + change.pitch_type,
                     rounded(change.mean_from, resolution) + " (" + change.from + ")",
                     rounded(change.mean_to, resolution) + " (" + change.to + ")",
                     rounded(change.difference, resolution), rounded(change.limit, resolution),
                     std::string(name_of(change.word))});
    says.push_back(change.says);
    if (change.growth && grew != change.athlete) {
      grew = change.athlete;
      says.push_back(change.athlete + ": " + change.growth->says);
    }
  }
  return typed_minus(table(lines) + list("What may be said", says) + list("Notes", report.notes));
}

}  // namespace moundwork::relate
