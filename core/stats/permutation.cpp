// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/permutation.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <numeric>
#include <stdexcept>
#include <utility>

#include "core/base/random.h"

namespace moundwork::stats {
namespace {

constexpr double no_bound = std::numeric_limits<double>::infinity();

// Rows that share a mark.
struct Piece {
  double y = 0.0;  // sum
  double rows = 0.0;
  char mark = 0;
};

// A stratum with both kinds, y about its own mean so that the mark's own centring drops out.
struct Stratum {
  std::vector<Piece> pieces;
  double rows = 0.0;
  double marked = 0.0;   // rows
  double largest = 0.0;  // of y without its sign
  [[nodiscard]] double share() const { return marked / rows; }
};

std::vector<Stratum> informative_strata(const Eigen::VectorXd& y, const std::vector<bool>& marked,
                                        const Groups& groups, const Groups& pieces) {
  std::vector<Stratum> all(static_cast<std::size_t>(groups.count));
  const Eigen::VectorXd centred = within_groups(y, groups);
  std::map<std::pair<int, int>, std::size_t> places;  // in its stratum, of a piece
  for (std::size_t row = 0; row < marked.size(); ++row) {
    auto& stratum = all[static_cast<std::size_t>(groups.of_row[row])];
    const auto [place, fresh] =
        places.try_emplace({groups.of_row[row], pieces.of_row[row]}, stratum.pieces.size());
    const char mark = marked[row] ? 1 : 0;
    if (fresh) stratum.pieces.push_back({0.0, 0.0, mark});
    auto& piece = stratum.pieces[place->second];
    if (piece.mark != mark) throw std::invalid_argument("a piece holds marked rows and others");
    const double value = centred[static_cast<Eigen::Index>(row)];
    piece.y += value;
    piece.rows += 1.0;
    stratum.rows += 1.0;
    stratum.marked += mark;
    stratum.largest = std::max(stratum.largest, std::abs(value));
  }
  std::vector<Stratum> kept;
  for (auto& stratum : all)
    if (stratum.marked > 0.0 && stratum.marked < stratum.rows) kept.push_back(std::move(stratum));
  return kept;
}

double marked_pieces(const Stratum& stratum) {
  return static_cast<double>(std::count_if(stratum.pieces.begin(), stratum.pieces.end(),
                                           [](const Piece& piece) { return piece.mark != 0; }));
}

double permutation_count(const std::vector<Stratum>& strata) {
  double log_count = 0.0;
  for (const auto& stratum : strata) {
    const auto n = static_cast<double>(stratum.pieces.size());
    const double m = marked_pieces(stratum);
    log_count += std::lgamma(n + 1.0) - std::lgamma(m + 1.0) - std::lgamma(n - m + 1.0);
  }
  return log_count > 700.0 ? no_bound : std::round(std::exp(log_count));
}

std::vector<char> marks_of(const Stratum& stratum) {
  std::vector<char> marks;
  marks.reserve(stratum.pieces.size());
  for (const Piece& piece : stratum.pieces) marks.push_back(piece.mark);
  return marks;
}

// Sums over strata under one arrangement of the marks.
struct Sums {
  double y = 0.0;        // of y where marked
  double overlap = 0.0;  // of the observed mark about its share, where marked
  double square = 0.0;   // of the arrangement's own mark about its share

  void add(const Sums& other) {
    y += other.y;
    overlap += other.overlap;
    square += other.square;
  }
};

Sums sums_of(const Stratum& stratum, const std::vector<char>& arrangement) {
  Sums sums;
  double marked = 0.0;
  const double share = stratum.share();
  for (std::size_t i = 0; i < arrangement.size(); ++i) {
    if (!arrangement[i]) continue;
    const Piece& piece = stratum.pieces[i];
    sums.y += piece.y;
    sums.overlap += piece.rows * (static_cast<double>(piece.mark) - share);
    marked += piece.rows;
  }
  sums.square = marked * (1.0 - marked / stratum.rows);
  return sums;
}

// Effect and overlap of one permutation, both over its own sum of squares of the centred mark.
struct Shuffled {
  double effect = 0.0;   // a
  double overlap = 0.0;  // b, 1 for the marks as they are
};

std::vector<Sums> every_arrangement(const std::vector<Stratum>& strata) {
  std::vector<Sums> all{Sums{}};
  for (const auto& stratum : strata) {
    std::vector<Sums> next;
    auto arrangement = marks_of(stratum);
    std::sort(arrangement.begin(), arrangement.end());
    do {
      const Sums sums = sums_of(stratum, arrangement);
      for (const auto& before : all) {
        next.push_back(before);
        next.back().add(sums);
      }
    } while (std::next_permutation(arrangement.begin(), arrangement.end()));
    all = std::move(next);
  }
  return all;
}

std::vector<Sums> drawn_arrangements(const std::vector<Stratum>& strata,
                                     const PermutationSettings& settings) {
  Random random(settings.seed, 0);
  std::vector<std::vector<char>> as_they_are;
  for (const auto& stratum : strata) as_they_are.push_back(marks_of(stratum));
  std::vector<Sums> all;
  all.reserve(static_cast<std::size_t>(settings.permutations) + 1);
  const auto add = [&](bool shuffle) {
    Sums total;
    for (std::size_t s = 0; s < strata.size(); ++s) {
      auto arrangement = as_they_are[s];
      if (shuffle)
        for (std::size_t i = arrangement.size(); i > 1; --i)
          std::swap(
              arrangement[i - 1],
              arrangement[static_cast<std::size_t>(random.integer(0, static_cast<int>(i) - 1))]);
      total.add(sums_of(strata[s], arrangement));
    }
    all.push_back(total);
  };
  add(false);
  for (int i = 0; i < settings.permutations; ++i) add(true);
  return all;
}

// The shifts d' for which this permutation's effect on y - d' mark is at least as large as what is
// left of the observed one: |a - b d'| >= |d - d'|, between the roots of the two equal signs.
std::pair<double, double> accepted_shifts(const Shuffled& shuffled, double effect) {
  constexpr double rounding = 1e-12;
  const double a = shuffled.effect;
  const double b = shuffled.overlap;
  const double minus = 1.0 - b > rounding ? (effect - a) / (1.0 - b) : -no_bound;
  const double plus = 1.0 + b > rounding ? (effect + a) / (1.0 + b) : no_bound;
  if (std::isinf(minus) || std::isinf(plus)) return {-no_bound, no_bound};
  return std::minmax(minus, plus);
}

}  // namespace

StratifiedEffect stratified_effect(const Eigen::VectorXd& y, const std::vector<bool>& marked,
                                   const Groups& groups, double level,
                                   const PermutationSettings& settings) {
  Groups rows;
  rows.count = static_cast<int>(marked.size());
  rows.of_row.resize(marked.size());
  std::iota(rows.of_row.begin(), rows.of_row.end(), 0);
  return stratified_effect(y, marked, groups, rows, level, settings);
}

StratifiedEffect stratified_effect(const Eigen::VectorXd& y, const std::vector<bool>& marked,
                                   const Groups& groups, const Groups& pieces, double level,
                                   const PermutationSettings& settings) {
  if (y.size() != static_cast<Eigen::Index>(marked.size()) || groups.rows() != y.size() ||
      pieces.rows() != y.size())
    throw std::invalid_argument("one mark, one stratum and one piece for each y are needed");
  StratifiedEffect result;
  const auto strata = informative_strata(y, marked, groups, pieces);
  Sums observed;
  double size = 0.0;
  double scale = 0.0;
  for (const auto& stratum : strata) {
    result.marked += static_cast<int>(stratum.marked);
    result.others += static_cast<int>(stratum.rows - stratum.marked);
    const int pieces_with = static_cast<int>(marked_pieces(stratum));
    result.marked_pieces += pieces_with;
    result.other_pieces += static_cast<int>(stratum.pieces.size()) - pieces_with;
    observed.add(sums_of(stratum, marks_of(stratum)));
    size += stratum.rows;
    scale = std::max(scale, stratum.largest);
  }
  result.strata = static_cast<int>(strata.size());
  result.left_out = static_cast<int>(y.size()) - result.marked - result.others;
  if (strata.empty()) return result;

  result.exact = permutation_count(strata) <= settings.most_exact;
  const auto arrangements =
      result.exact ? every_arrangement(strata) : drawn_arrangements(strata, settings);
  result.effect = observed.y / observed.square;
  result.permutations = static_cast<int>(arrangements.size());

  // Equal arrangements must compare equal though their sums were added in another order.
  const double tie = 1e-12 * scale * size / observed.square;
  double as_large = 0.0;
  std::vector<double> lows;
  std::vector<double> highs;
  for (const auto& sums : arrangements) {
    const Shuffled shuffled{sums.y / sums.square, sums.overlap / sums.square};
    as_large += std::abs(shuffled.effect) >= std::abs(result.effect) - tie ? 1.0 : 0.0;
    const auto [low, high] = accepted_shifts(shuffled, result.effect);
    lows.push_back(low);
    highs.push_back(high);
  }
  const double total = result.permutations;
  result.p = as_large / total;
  std::sort(lows.begin(), lows.end());
  std::sort(highs.begin(), highs.end(), std::greater<>());
  // p(shift) is the share of ends at or beyond the shift, so the interval ends where that share
  // falls to 1 - level.
  const auto place =
      std::min(static_cast<std::size_t>(std::floor((1.0 - level) * total + 1e-9)), lows.size() - 1);
  result.low = lows[place];
  result.high = highs[place];
  return result;
}

}  // namespace moundwork::stats
