// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/cue.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "core/base/sentence.h"
#include "core/relate/cue_order.h"
#include "core/relate/series.h"
#include "core/relate/words.h"
#include "core/stats/distributions.h"
#include "core/stats/multiplicity.h"

namespace moundwork::relate {
namespace {

struct Tagged {
  Rows rows;
  std::vector<bool> marked;
};

// How the cues came to the pitches, for every row of the pitches.
struct Given {
  std::vector<std::string> cue;      // that counts: as drawn where it was drawn, else as tagged
  std::vector<std::string> stratum;  // within which cues are permuted
  std::vector<std::string> piece;    // of the stratum: rows that keep one cue
  std::vector<bool> drawn;
};

const Pitch& pitch_at(const Pitches& pitches, int row) {
  return pitches.rows[static_cast<std::size_t>(row)];
}

// An order that was drawn and not kept to says nothing of what was given.
constexpr double most_departed = 0.2;  // of an order's pitches

// Orders of the sessions whose tags say something else than was drawn for too many pitches.
struct Departed {
  std::set<std::string> orders;
  int pitches = 0;  // of the orders that were kept to
};

std::string order_label(const Pitch& pitch) {
  return fmt::format("{}\x1f{}\x1f{}", pitch.athlete, pitch.session, pitch.drawn->order);
}

// Cues that nobody drew may have gone with a pitch type, so like is compared with like.
std::string block_label(const Pitch& pitch) {
  return fmt::format("tagged\x1f{}\x1f{}\x1f{}\x1f{}\x1f{}\x1f{}", pitch.athlete, pitch.session,
                     pitch.block, pitch.pitch_type, pitch.delivery, pitch.ball);
}

Departed departed_orders(const Pitches& pitches) {
  std::map<std::string, std::pair<int, int>> counts;  // pitches, and those tagged otherwise
  for (const auto& pitch : pitches.rows) {
    if (!pitch.drawn) continue;
    auto& [all, otherwise] = counts[order_label(pitch)];
    ++all;
    otherwise += pitch.cue == pitch.drawn->cue ? 0 : 1;
  }
  Departed departed;
  for (const auto& [order, count] : counts) {
    if (count.second > most_departed * count.first)
      departed.orders.insert(order);
    else
      departed.pitches += count.second;
  }
  return departed;
}

Given given_cues(const Pitches& pitches, const Departed& departed) {
  Given given;
  for (std::size_t row = 0; row < pitches.rows.size(); ++row) {
    const auto& pitch = pitches.rows[row];
    const bool drawn = pitch.drawn && !departed.orders.contains(order_label(pitch));
    given.drawn.push_back(drawn);
    given.cue.push_back(drawn ? pitch.drawn->cue : pitch.cue);
    given.stratum.push_back(drawn ? "drawn\x1f" + order_label(pitch) : block_label(pitch));
    given.piece.push_back(fmt::format("{}", drawn ? pitch.drawn->run : static_cast<int>(row)));
  }
  return given;
}

// Rows with the cue or with none; other cues belong to neither side.
Tagged tagged_rows(const Given& given, const std::string& cue, const Rows& rows) {
  Tagged tagged;
  for (const int row : rows) {
    const auto& own = given.cue[static_cast<std::size_t>(row)];
    const bool marked = !own.empty() && (cue.empty() || own == cue);
    if (!marked && !own.empty()) continue;
    tagged.rows.push_back(row);
    tagged.marked.push_back(marked);
  }
  return tagged;
}

stats::Groups grouped(const std::vector<std::string>& labels, const Rows& rows) {
  std::vector<std::string> own;
  own.reserve(rows.size());
  for (const int row : rows) own.push_back(labels[static_cast<std::size_t>(row)]);
  return stats::group_by(own);
}

// Places in `tagged` of each stratum's pitches as they were thrown; as they stand without numbers.
std::vector<std::vector<std::size_t>> as_thrown(const Pitches& pitches, const Tagged& tagged,
                                                const stats::Groups& strata) {
  std::vector<std::vector<std::size_t>> places(static_cast<std::size_t>(strata.count));
  for (std::size_t i = 0; i < tagged.rows.size(); ++i)
    places[static_cast<std::size_t>(strata.of_row[i])].push_back(i);
  const Eigen::VectorXd number = numbers(pitches, tagged.rows);
  if (!number.allFinite()) return places;
  for (auto& stratum : places)
    std::stable_sort(stratum.begin(), stratum.end(), [&](std::size_t a, std::size_t b) {
      return number[static_cast<Eigen::Index>(a)] < number[static_cast<Eigen::Index>(b)];
    });
  return places;
}

// So many of a kind in a row, on average, are runs. Shorter ones lie against each other often
// enough that neighbours' likeness does not make a difference between the kinds.
constexpr double least_run = 3.0;

// Pitches whose cues nobody drew are one piece each or, where they came in runs, a run each.
// Returns whether anything is permuted in runs.
bool set_pieces(Given& given, const Pitches& pitches, const Tagged& tagged) {
  const auto strata = grouped(given.stratum, tagged.rows);
  bool in_runs = false;
  int runs = 0;
  int thrown = 0;
  std::vector<std::pair<int, std::string>> run_of_row;
  for (const auto& places : as_thrown(pitches, tagged, strata)) {
    const int first = tagged.rows[places.front()];
    if (given.drawn[static_cast<std::size_t>(first)]) {
      in_runs = in_runs || pitch_at(pitches, first).drawn->run_length > 1;
      continue;
    }
    std::vector<std::pair<int, std::string>> own;
    const int before = runs;
    for (std::size_t i = 0; i < places.size(); ++i) {
      if (i == 0 || tagged.marked[places[i]] != tagged.marked[places[i - 1]]) ++runs;
      own.emplace_back(tagged.rows[places[i]], fmt::format("run {}", runs));
    }
    if (runs == before + 1) {
      runs = before;  // one kind only: tells nothing of how cues came
      continue;
    }
    thrown += static_cast<int>(places.size());
    run_of_row.insert(run_of_row.end(), own.begin(), own.end());
  }
  if (runs == 0 || thrown < least_run * runs) return in_runs;
  for (auto& [row, run] : run_of_row) given.piece[static_cast<std::size_t>(row)] = std::move(run);
  return true;
}

// Lag-one autocorrelation of what the strata and the cue leave, neighbours within a stratum.
double neighbour_correlation(const Pitches& pitches, const Tagged& tagged,
                             const stats::Groups& strata, const Eigen::VectorXd& y, double effect) {
  if (!std::isfinite(effect)) return std::numeric_limits<double>::quiet_NaN();
  Eigen::VectorXd left = y;
  for (std::size_t i = 0; i < tagged.marked.size(); ++i)
    if (tagged.marked[i]) left[static_cast<Eigen::Index>(i)] -= effect;
  left = stats::within_groups(left, strata);
  double products = 0.0;
  for (const auto& places : as_thrown(pitches, tagged, strata))
    for (std::size_t i = 1; i < places.size(); ++i)
      products += left[static_cast<Eigen::Index>(places[i - 1])] *
                  left[static_cast<Eigen::Index>(places[i])];
  return products / left.squaredNorm();
}

// Beyond twice the standard error 1 / sqrt(n) of a lag-one autocorrelation (Bartlett 1946).
bool alike(const CueEffect& effect) {
  const double n = effect.difference.marked + effect.difference.others;
  return effect.neighbour_correlation > 2.0 / std::sqrt(n);
}

// Zero, not rounding, when nothing changes within a stratum.
double spread_within(const Eigen::VectorXd& y, const stats::Groups& strata) {
  const double df = static_cast<double>(y.size() - strata.count);
  if (!(df > 0.0)) return std::numeric_limits<double>::quiet_NaN();
  const Eigen::VectorXd within = stats::within_groups(y, strata);
  const bool constant = within.cwiseAbs().maxCoeff() <= 1e-12 * y.cwiseAbs().maxCoeff();
  return constant ? 0.0 : within.norm() / std::sqrt(df);
}

// Pitches a side for a difference of half a standard deviation (Cohen's medium size) by the normal
// approximation 2 ((z(1 - alpha/2) + z(power)) / 0.5)^2.
constexpr double medium_difference = 0.5;

double needed_a_side(const Settings& settings) {
  const auto power = settings.power_setting();
  const double reach =
      (stats::normal_quantile(1.0 - 0.5 * power.alpha) + stats::normal_quantile(power.power)) /
      medium_difference;
  return std::ceil(2.0 * reach * reach);
}

std::string say(const CueEffect& effect, const CueReport& report, double spread,
                const Settings& settings) {
  const auto& d = effect.difference;
  const auto name = "name"_is(plain_name(effect.quantity));
  const auto cue =
      "cue"_is(report.cue == "any" ? sentence("a cue")
                                   : sentence("the cue \"{cue}\"", "cue"_is(report.cue)));
  if (spread == 0.0)
    return sentence(
        "With {cue}, nothing can be told about {name}: it does not change within a block.", cue,
        name);
  if (effect.verdict == Verdict::undefined)
    return sentence(
        "With {cue}, nothing can be told about {name}: no block has pitches both with it and "
        "without.",
        cue, name);
  const bool bounded = std::isfinite(d.low) && std::isfinite(d.high);
  const double resolution = spoken(bounded ? 0.5 * (d.high - d.low) : std::abs(d.effect));
  const auto limits = "limits"_is(bounded ? interval(d.low, d.high, settings.level, resolution)
                                          : sentence("so few pitches set no {level} interval",
                                                     "level"_is(percent(settings.level))));
  const auto difference = "difference"_is(difference_words(d.effect, resolution, effect.quantity));
  const auto count = "count"_is(sentence_for(d.marked, "{with} pitch with it, {without} without",
                                             "{with} pitches with it, {without} without",
                                             "with"_is(d.marked), "without"_is(d.others)));
  switch (effect.verdict) {
    case Verdict::shown:
      return sentence("With {cue}, {name} was {difference} ({limits}, {count}).", cue, name,
                      difference, limits, count);
    case Verdict::little:
      return sentence("With {cue}, {name} hardly differed: {difference} ({limits}, {count}).", cue,
                      name, difference, limits, count);
    default:
      break;
  }
  if (!effect.reason.empty())
    return sentence(
        "With {cue}, cannot tell whether {name} differs: {difference} ({limits}, {count}); "
        "{reason}.",
        cue, name, difference, limits, count, "reason"_is(effect.reason));
  const double needed = needed_a_side(settings);
  if (std::min(d.marked, d.others) >= needed)
    return sentence(
        "With {cue}, cannot tell whether {name} differs: {difference} ({limits}, "
        "{count}).",
        cue, name, difference, limits, count);
  return sentence(
      "With {cue}, cannot tell whether {name} differs: {difference} ({limits}, {count}); about "
      "{needed} pitches of each kind would do for a difference of {worth}.",
      cue, name, difference, limits, count, "needed"_is(plain_text(needed, 0)),
      "worth"_is(difference_size(medium_difference * spread, medium_difference * spread,
                                 effect.quantity)));
}

Verdict judge(const CueEffect& effect, double spread, const Settings& settings) {
  const auto& d = effect.difference;
  if (!std::isfinite(d.effect) || spread == 0.0) return Verdict::undefined;
  if (!effect.reason.empty()) return Verdict::cannot_tell;
  if (effect.adjusted_p <= settings.false_discovery) return Verdict::shown;
  const double worth = medium_difference * spread;
  return d.low > -worth && d.high < worth ? Verdict::little : Verdict::cannot_tell;
}

// Why nothing may be said of a difference, however large; empty where it may.
std::string reservation(const CueEffect& effect, const CueReport& report) {
  const auto& d = effect.difference;
  if (!std::isfinite(d.effect)) return {};
  // A drift over a session is the same for all who throw in it: without a draw, the runs of other
  // sessions do not help.
  const int sessions = report.drawn ? 1 : d.strata;
  if (report.in_runs && std::min(d.marked_pieces, d.other_pieces) < fewest_runs * sessions)
    return report.drawn
               ? sentence(
                     "in runs, at least {fewest} of each kind are needed, and there were "
                     "{with} with it and {without} without",
                     "fewest"_is(fewest_runs), "with"_is(d.marked_pieces),
                     "without"_is(d.other_pieces))
               : sentence(
                     "in runs, at least {fewest} of each kind are needed in a session, and "
                     "in {sessions} there were {with} with it and {without} without",
                     "fewest"_is(fewest_runs), "sessions"_is(d.strata), "with"_is(d.marked_pieces),
                     "without"_is(d.other_pieces));
  if (!report.drawn && alike(effect))
    return sentence(
        "neighbouring pitches are alike (correlation {r}) and the order of cues was "
        "not drawn by chance",
        "r"_is(plain_text(effect.neighbour_correlation, 2)));
  return {};
}

void note_departed(CueReport& report, const Departed& departed) {
  if (departed.pitches > 0)
    report.notes.push_back(sentence_for(
        departed.pitches,
        "{count} pitch is tagged otherwise than was drawn and counts as drawn, for only what was "
        "drawn came by chance",
        "{count} pitches are tagged otherwise than was drawn and count as drawn, for only what was "
        "drawn came by chance",
        "count"_is(departed.pitches)));
  if (!departed.orders.empty())
    report.notes.push_back(sentence_for(
        static_cast<long>(departed.orders.size()),
        "{count} drawn order of cues was not kept to, so tags count there as if nothing had been "
        "drawn",
        "{count} drawn orders of cues were not kept to, so tags count there as if nothing had been "
        "drawn",
        "count"_is(departed.orders.size())));
}

// A cue given only late in a block cannot be told from what a session does by itself.
void note_order(CueReport& report, const Pitches& pitches, const Tagged& tagged,
                const stats::Groups& strata) {
  const Eigen::VectorXd number = numbers(pitches, tagged.rows);
  if (!number.allFinite()) {
    report.notes.push_back(
        "without pitch numbers, a drift over the session cannot be told from the cue");
    return;
  }
  int both = 0;
  int apart = 0;
  for (int stratum = 0; stratum < strata.count; ++stratum) {
    double marked_low = std::numeric_limits<double>::infinity();
    double marked_high = -marked_low;
    double other_low = marked_low;
    double other_high = -marked_low;
    for (std::size_t i = 0; i < tagged.rows.size(); ++i) {
      if (strata.of_row[i] != stratum) continue;
      const double n = number[static_cast<Eigen::Index>(i)];
      auto& low = tagged.marked[i] ? marked_low : other_low;
      auto& high = tagged.marked[i] ? marked_high : other_high;
      low = std::min(low, n);
      high = std::max(high, n);
    }
    if (marked_high < marked_low || other_high < other_low) continue;
    ++both;
    apart += marked_low > other_high || other_low > marked_high ? 1 : 0;
  }
  if (both > 0 && apart == both)
    report.notes.push_back(
        "in every block the pitches with the cue came all before or all after the others, so a "
        "drift over the session cannot be told from the cue; alternate them");
}

// Of the strata that are compared.
bool all_drawn(const Given& given, const Tagged& tagged) {
  const auto strata = grouped(given.stratum, tagged.rows);
  std::vector<std::array<bool, 2>> kinds(static_cast<std::size_t>(strata.count));
  for (std::size_t i = 0; i < tagged.rows.size(); ++i)
    kinds[static_cast<std::size_t>(strata.of_row[i])][tagged.marked[i] ? 1 : 0] = true;
  bool compared = false;
  for (std::size_t i = 0; i < tagged.rows.size(); ++i) {
    const auto& both = kinds[static_cast<std::size_t>(strata.of_row[i])];
    if (!both[0] || !both[1]) continue;
    compared = true;
    if (!given.drawn[static_cast<std::size_t>(tagged.rows[i])]) return false;
  }
  return compared;
}

// The likeness itself is no fault of a drawn order; a reader should know of it all the same.
void note_alike(CueReport& report) {
  const CueEffect* most = nullptr;
  int count = 0;
  for (const auto& effect : report.effects) {
    if (!alike(effect)) continue;
    ++count;
    if (most == nullptr || effect.neighbour_correlation > most->neighbour_correlation)
      most = &effect;
  }
  if (most == nullptr) return;
  const auto name = "name"_is(plain_name(most->quantity));
  const auto r = "r"_is(plain_text(most->neighbour_correlation, 2));
  report.notes.push_back(
      sentence_for(count, "neighbouring pitches are alike in {name} (correlation {r})",
                   "neighbouring pitches are alike in {count} quantities, most in {name} "
                   "(correlation {r})",
                   name, r, "count"_is(count)));
}

Result<std::vector<int>> target_indices(const Pitches& pitches,
                                        const std::vector<std::string>& targets) {
  std::vector<int> indices{-1};
  if (targets.empty())
    for (int i = 0; i < static_cast<int>(pitches.quantities.size()); ++i)
      if (pitches.quantities[static_cast<std::size_t>(i)].tested) indices.push_back(i);
  for (const auto& target : targets) {
    const auto found = std::find_if(pitches.quantities.begin(), pitches.quantities.end(),
                                    [&](const Quantity& q) { return q.key == target; });
    if (found == pitches.quantities.end())
      return fail("target of the cue", fmt::format("'{}' is not one of the quantities", target),
                  "name it among the quantities too");
    indices.push_back(static_cast<int>(found - pitches.quantities.begin()));
  }
  return indices;
}

}  // namespace

Result<CueReport> test_cue(const Pitches& pitches, const std::string& cue,
                           const std::vector<std::string>& targets, const Settings& settings) {
  const auto indices = target_indices(pitches, targets);
  if (!indices) return tl::unexpected(indices.error());
  const Departed departed = departed_orders(pitches);
  Given given = given_cues(pitches, departed);
  const Tagged all = tagged_rows(given, cue, rows_of_athletes(pitches));
  const auto with = std::count(all.marked.begin(), all.marked.end(), true);
  if (with == 0)
    return fail("cue test",
                cue.empty() ? "no pitch has a cue" : fmt::format("no pitch has the cue '{}'", cue));
  if (with == static_cast<std::ptrdiff_t>(all.marked.size()))
    return fail("cue test", "every pitch has a cue, so there is nothing to compare with",
                "record pitches without it in the same block");

  CueReport report;
  report.cue = cue.empty() ? "any" : cue;
  report.in_runs = set_pieces(given, pitches, all);
  report.drawn = all_drawn(given, all);
  note_departed(report, departed);
  if (!report.drawn) note_order(report, pitches, all, grouped(given.stratum, all.rows));
  std::vector<double> spreads;
  std::vector<double> p;
  for (const int index : *indices) {
    CueEffect effect;
    effect.quantity = quantity_of(pitches, index);
    const Tagged tagged =
        tagged_rows(given, cue, rows_with(pitches, rows_of_athletes(pitches), index));
    const auto strata = grouped(given.stratum, tagged.rows);
    const Eigen::VectorXd y = values(pitches, tagged.rows, index);
    effect.difference =
        stats::stratified_effect(y, tagged.marked, strata, grouped(given.piece, tagged.rows),
                                 settings.level, settings.permutation);
    spreads.push_back(spread_within(y, strata));
    effect.neighbour_correlation =
        neighbour_correlation(pitches, tagged, strata, y, effect.difference.effect);
    effect.reason = reservation(effect, report);
    p.push_back(effect.difference.p);
    report.effects.push_back(std::move(effect));
  }
  note_alike(report);
  const auto adjusted = stats::benjamini_hochberg(p);
  for (std::size_t i = 0; i < report.effects.size(); ++i) {
    auto& effect = report.effects[i];
    effect.adjusted_p = adjusted[i];
    report.tests += std::isnan(adjusted[i]) ? 0 : 1;
    effect.verdict = judge(effect, spreads[i], settings);
    effect.says = say(effect, report, spreads[i], settings);
  }
  const int left_out = report.effects.front().difference.left_out;
  if (left_out > 0)
    report.notes.push_back(fmt::format("{} in blocks with one kind only are left out",
                                       count_of(left_out, "pitch", "pitches")));
  report.carry_over = sentence(
      "Whether a cue carries over to the pitch after it cannot be tested: nothing in these pitches "
      "tells it from the cue itself.");
  return report;
}

}  // namespace moundwork::relate
