// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/shown_rates.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/session/flagged.h"

namespace moundwork::session {
namespace {

// A plain crystal is within 0.01 % and so is a computer's clock (common practice); a sound card's
// may be within 0.1 %.
constexpr double most_disagreement = 2e-3;
constexpr double crystal = 3e-4;
constexpr double broken = 0.05;  // no rate by which anybody could time a throw
// One-way delays of serial lines and USB differ by up to 20 ms (common practice), s.
constexpr double most_delay = 0.02;
constexpr double least_piece = 2.0;  // s, of the recording
constexpr std::size_t least_pieces = 3;
constexpr std::size_t most_pieces = 30;

std::optional<double> median(std::vector<double> values) {
  if (values.empty()) return std::nullopt;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

struct Point {
  double ticks, arrival;
};

// From one block to the next.
struct Step {
  double ticks, rows;
};

// The ticks of a sample by all steps but those over a gap or a reset: what rounds a single block's
// count does not add up.
std::optional<double> usual_ticks_per_sample(const std::vector<Step>& steps) {
  std::vector<double> each;
  each.reserve(steps.size());
  for (const Step& step : steps) each.push_back(step.ticks / step.rows);
  const auto usual = median(std::move(each));
  if (!usual || !(*usual > 0.0)) return std::nullopt;
  Step whole{};
  for (const Step& step : steps)
    if (std::abs(step.ticks - *usual * step.rows) < 0.5 * *usual) {
      whole.ticks += step.ticks;
      whole.rows += step.rows;
    }
  return whole.rows > 0.0 ? whole.ticks / whole.rows : *usual;
}

// Of each piece of the recording the arrival that was delayed least against the stated rate: late
// ones tell of the computer, not of the clock.
std::vector<Point> earliest(const std::vector<Point>& points, double tick_rate) {
  const double span = points.back().arrival - points.front().arrival;
  const auto pieces = std::min(most_pieces, static_cast<std::size_t>(span / least_piece));
  std::vector<Point> found;
  if (pieces < least_pieces) return found;
  std::size_t next = 0;
  for (std::size_t piece = 1; piece <= pieces; ++piece) {
    const double end =
        points.front().arrival + span * static_cast<double>(piece) / static_cast<double>(pieces);
    std::optional<Point> best;
    const auto delay = [&](const Point& one) { return one.arrival - one.ticks / tick_rate; };
    for (; next < points.size() && (points[next].arrival <= end || piece == pieces); ++next)
      if (!best || delay(points[next]) < delay(*best)) best = points[next];
    if (best) found.push_back(*best);
  }
  return found;
}

}  // namespace

ShownRates shown_rates(const Device& device, std::span<const Block> blocks, Eigen::Index rows) {
  ShownRates shown;
  shown.device = device.name;
  shown.stated_tick_rate = device.tick_rate;
  shown.stated_sample_rate = device.sample_rate;
  if (device.counts_session_time || blocks.size() < 2) return shown;
  std::vector<Point> points;
  std::vector<Step> steps;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    const auto ticks = static_cast<double>(static_cast<std::int64_t>(blocks[i].ticks));
    if (!std::isfinite(seconds(blocks[i].arrival))) return shown;
    points.push_back({ticks, seconds(blocks[i].arrival)});
    const std::int64_t end = i + 1 < blocks.size() ? blocks[i + 1].first_sample : rows;
    const auto count = static_cast<double>(end - blocks[i].first_sample);
    if (i + 1 < blocks.size() && count > 0.0)
      steps.push_back(
          {static_cast<double>(static_cast<std::int64_t>(blocks[i + 1].ticks)) - ticks, count});
  }
  if (const auto usual = usual_ticks_per_sample(steps)) shown.ticks_per_sample = *usual;
  const double stated_step = device.tick_rate / device.sample_rate;
  shown.samples_disagree = std::abs(shown.ticks_per_sample / stated_step - 1.0) > most_disagreement;

  const std::vector<Point> kept = earliest(points, device.tick_rate);
  std::vector<double> rates;
  for (std::size_t i = 1; i < kept.size(); ++i)
    if (kept[i].arrival > kept[i - 1].arrival)
      rates.push_back((kept[i].ticks - kept[i - 1].ticks) /
                      (kept[i].arrival - kept[i - 1].arrival));
  // One piece to the next says nothing where only a pause lies between.
  if (rates.size() + 1 < least_pieces) return shown;
  const auto rate = median(std::move(rates));
  if (!rate || !(*rate > 0.0)) return shown;
  shown.tick_rate = *rate;
  const double span = kept.back().arrival - kept.front().arrival;
  const double off = std::abs(*rate / device.tick_rate - 1.0);
  shown.ticks_disagree = off > most_disagreement + most_delay / span;
  shown.beyond_crystal = off > crystal + most_delay / span && off < broken;
  return shown;
}

std::optional<ResultFlag> clock_doubt(const ShownRates& shown) {
  using definitions::Flag;
  const auto doubt = [&](Flag flag, double found, double stated) {
    return flagged(flag, fmt::arg("device", shown.device), fmt::arg("found", found),
                   fmt::arg("stated", stated), fmt::arg("off", 100.0 * (found / stated - 1.0)));
  };
  if (shown.ticks_disagree)
    return doubt(Flag::counter_disagrees, shown.tick_rate, shown.stated_tick_rate);
  if (shown.samples_disagree)
    return doubt(Flag::samples_disagree, shown.stated_tick_rate / shown.ticks_per_sample,
                 shown.stated_sample_rate);
  return std::nullopt;
}

}  // namespace moundwork::session
