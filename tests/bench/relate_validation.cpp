// SPDX-License-Identifier: GPL-3.0-or-later
// How often the intervals of `relate` hold the truth, and how often its findings are false, on
// simulated athletes whose truth is known. Prints the table that docs/relate.md shows.
#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <functional>
#include <string>

#include "core/base/random.h"
#include "core/relate/relation.h"
#include "core/stats/correlation.h"
#include "core/stats/errors_in_variables.h"
#include "core/stats/mixed_model.h"
#include "core/stats/permutation.h"
#include "core/stats/relation_bootstrap.h"
#include "core/stats/reliability.h"
#include "core/stats/slope_by_group.h"

namespace {

using namespace moundwork;

constexpr double level = 0.95;

struct Data {
  Eigen::VectorXd x;
  Eigen::VectorXd y;
  stats::Groups groups;
};

struct Design {
  int athletes = 20;
  int fewest = 5;  // pitches an athlete, uniform from fewest to most
  int most = 5;
  double within_slope = 0.5;
  double slope_sd = 0.0;  // of athletes' own slopes about it
  double between_slope = 0.5;
  double residual = 1.0;
  double x_within = 1.0;
  double x_between = 1.0;
  double y_between = 1.0;
};

Data simulate(const Design& design, Random& random) {
  Data data;
  std::vector<double> x;
  std::vector<double> y;
  for (int athlete = 0; athlete < design.athletes; ++athlete) {
    const double centre = random.normal(0.0, design.x_between);
    const double own = random.normal(0.0, design.y_between);
    const double slope = random.normal(design.within_slope, design.slope_sd);
    const int pitches = random.integer(design.fewest, design.most);
    for (int i = 0; i < pitches; ++i) {
      const double deviation = random.normal(0.0, design.x_within);
      x.push_back(centre + deviation);
      y.push_back(design.between_slope * centre + own + slope * deviation +
                  random.normal(0.0, design.residual));
      data.groups.of_row.push_back(athlete);
    }
  }
  data.groups.count = design.athletes;
  data.x = Eigen::Map<Eigen::VectorXd>(x.data(), static_cast<Eigen::Index>(x.size()));
  data.y = Eigen::Map<Eigen::VectorXd>(y.data(), static_cast<Eigen::Index>(y.size()));
  return data;
}

// Repeated-measures correlation of the whole population of such athletes.
double population_r(const Design& d) {
  const double xx = d.x_within * d.x_within;
  const double yy =
      (d.within_slope * d.within_slope + d.slope_sd * d.slope_sd) * xx + d.residual * d.residual;
  return d.within_slope * d.x_within / std::sqrt(yy);
}

struct Ends {
  double low;
  double high;
};

class Table {
 public:
  explicit Table(int runs) : runs_(runs) {}

  void interval(const std::string& name, double truth,
                const std::function<Ends(Random&)>& one_run) {
    int held = 0;
    int undefined = 0;
    for (int run = 0; run < runs_; ++run) {
      Random random(table_seed, static_cast<std::uint64_t>(run));
      const Ends ends = one_run(random);
      if (!(ends.low <= ends.high))
        ++undefined;
      else if (ends.low <= truth && truth <= ends.high)
        ++held;
    }
    fmt::print("| {} | {:.1f} |{}\n", name, 100.0 * held / (runs_ - undefined),
               undefined > 0 ? fmt::format(" ({} runs without an interval)", undefined) : "");
    std::fflush(stdout);
  }

  void share(const std::string& name, const std::function<double(Random&, int)>& one_run) {
    double sum = 0.0;
    for (int run = 0; run < runs_; ++run) {
      Random random(table_seed, static_cast<std::uint64_t>(run));
      sum += one_run(random, run);
    }
    fmt::print("| {} | {:.1f} |\n", name, 100.0 * sum / runs_);
    std::fflush(stdout);
  }

 private:
  static constexpr std::uint64_t table_seed = 20260501;
  int runs_;
};

void correlations(Table& table) {
  for (const int n : {12, 24, 60})
    for (const double rho : {0.0, 0.5}) {
      const auto pair = [=](Random& random, Eigen::VectorXd& x, Eigen::VectorXd& y) {
        x.resize(n);
        y.resize(n);
        for (int i = 0; i < n; ++i) {
          x[i] = random.normal();
          y[i] = rho * x[i] + std::sqrt(1.0 - rho * rho) * random.normal();
        }
      };
      table.interval(fmt::format("Pearson, one athlete, {} pitches, r {}", n, rho), rho,
                     [&](Random& random) {
                       Eigen::VectorXd x, y;
                       pair(random, x, y);
                       const auto c = stats::pearson(x, y, level);
                       return Ends{c.low, c.high};
                     });
      // Spearman's rho of a normal pair: (6 / pi) asin(r / 2) (Pearson 1907).
      const double truth = 6.0 / 3.14159265358979323846 * std::asin(rho / 2.0);
      table.interval(fmt::format("Spearman, one athlete, {} pitches, r {}", n, rho), truth,
                     [&](Random& random) {
                       Eigen::VectorXd x, y;
                       pair(random, x, y);
                       const auto c = stats::spearman(x, y, level);
                       return Ends{c.low, c.high};
                     });
    }
}

void several_athletes(Table& table) {
  for (const int athletes : {5, 10, 20, 50}) {
    Design design;
    design.athletes = athletes;
    design.fewest = 3;
    design.most = 8;
    const std::string who = fmt::format("{} athletes, 3 to 8 pitches", athletes);
    table.interval("repeated-measures r (Fisher), " + who, population_r(design),
                   [&](Random& random) {
                     const auto d = simulate(design, random);
                     const auto c = stats::repeated_measures(d.x, d.y, d.groups, level);
                     return Ends{c.low, c.high};
                   });
    const auto slope = [&](bool within) {
      return [&design, within](Random& random) {
        const auto d = simulate(design, random);
        const auto fit = stats::fit_within_between(d.x, d.y, d.groups, level);
        const auto& e = within ? fit->within : fit->between;
        return Ends{e.low, e.high};
      };
    };
    table.interval("mixed model, within slope (t), " + who, 0.5, slope(true));
    // The mean of a few pitches stands for an athlete's own level, whose slope is the same 0.5
    // here, so nothing is weakened.
    table.interval("mixed model, between slope (t), " + who, 0.5, slope(false));
  }
}

void resampling(Table& table) {
  for (const bool differing : {false, true})
    for (const int athletes : {8, 12, 20, 50}) {
      Design design;
      design.athletes = athletes;
      design.fewest = 6;
      design.most = 12;
      design.slope_sd = differing ? 0.5 : 0.0;
      const std::string who =
          fmt::format("{} athletes{}", athletes, differing ? " with slopes of their own" : "");
      const auto resampled = [&](auto member) {
        return [&design, member](Random& random) {
          const auto d = simulate(design, random);
          stats::ResampleSettings settings;
          settings.resamples = 1000;
          settings.threads = 1;
          const auto i =
              stats::bootstrap_relations(d.x, d.y, d.groups, level, settings).front().*member;
          return Ends{i.low, i.high};
        };
      };
      table.interval("repeated-measures r (Fisher), " + who, population_r(design),
                     [&](Random& random) {
                       const auto d = simulate(design, random);
                       const auto c = stats::repeated_measures(d.x, d.y, d.groups, level);
                       return Ends{c.low, c.high};
                     });
      table.interval("repeated-measures r (resampled), " + who, population_r(design),
                     resampled(&stats::RelationIntervals::within_r));
      table.interval("within slope (resampled), " + who, 0.5,
                     resampled(&stats::RelationIntervals::within_slope));
      table.interval("within slope (one common line), " + who, 0.5, [&](Random& random) {
        const auto d = simulate(design, random);
        const auto fit = stats::fit_within_between(d.x, d.y, d.groups, level);
        return Ends{fit->within.low, fit->within.high};
      });
      table.interval("within slope (athletes left out in turn), " + who, 0.5, [&](Random& random) {
        const auto d = simulate(design, random);
        const auto e = stats::slope_by_group(d.x, d.y, d.groups, level);
        return Ends{e.low, e.high};
      });
      if (differing) continue;
      // Means of six to twelve pitches; the truth is that of the means themselves, by simulation of
      // a thousand times the athletes.
      Design large = design;
      large.athletes = 200000;
      Random random(77, 0);
      const auto d = simulate(large, random);
      const double truth = stats::pearson(stats::group_means(d.x, d.groups),
                                          stats::group_means(d.y, d.groups), level)
                               .r;
      table.interval("between r (resampled), " + who, truth,
                     resampled(&stats::RelationIntervals::between_r));
    }
}

void errors_in_x(Table& table) {
  Design design;
  design.fewest = design.most = 10;
  constexpr double error = 0.7;
  for (const bool corrected : {false, true})
    table.interval(fmt::format("slope with x measured to 0.7 of its spread, 20 athletes, {}",
                               corrected ? "corrected" : "plain"),
                   0.5, [&](Random& random) {
                     auto d = simulate(design, random);
                     for (double& x : d.x) x += random.normal(0.0, error);
                     const auto a = stats::errors_in_x(
                         stats::within_groups(d.x, d.groups), stats::within_groups(d.y, d.groups),
                         static_cast<double>(d.x.size() - d.groups.count), error * error, level);
                     const auto& e = corrected ? a.corrected : a.plain;
                     return Ends{e.low, e.high};
                   });
}

struct Cued {
  Eigen::VectorXd y;
  std::vector<bool> marked;
  stats::Groups strata;
};

// Four blocks of ten pitches with five cued at random; skewed scatter, since nothing normal is
// assumed.
Cued cued(Random& random, double effect) {
  Cued data;
  data.y.resize(40);
  data.strata.count = 4;
  for (int block = 0; block < 4; ++block) {
    const double own = random.normal(0.0, 2.0);
    int left = 5;
    for (int i = 0; i < 10; ++i) {
      const bool marked = random.uniform() < static_cast<double>(left) / (10 - i);
      left -= marked ? 1 : 0;
      data.marked.push_back(marked);
      data.strata.of_row.push_back(block);
      data.y[10 * block + i] = own + random.exponential(1.0) + (marked ? effect : 0.0);
    }
  }
  return data;
}

void cues(Table& table) {
  stats::PermutationSettings settings;
  settings.permutations = 1999;
  table.interval(
      "cue, 20 pitches with and 20 without in 4 blocks, skewed", 0.5, [&](Random& random) {
        const auto d = cued(random, 0.5);
        const auto e = stats::stratified_effect(d.y, d.marked, d.strata, level, settings);
        return Ends{e.low, e.high};
      });
}

void reliability(Table& table) {
  // Athletes 2, sessions 1, residual 1 (SD): ICC(1,1) and (2,1) are 4 / 6, (3,1) 4 / 5.
  const auto icc = [](auto member) {
    return [member](Random& random) {
      Eigen::MatrixXd t(12, 3);
      const Eigen::Vector3d session(random.normal(), random.normal(), random.normal());
      for (Eigen::Index i = 0; i < 12; ++i) {
        const double athlete = random.normal(0.0, 2.0);
        for (Eigen::Index j = 0; j < 3; ++j) t(i, j) = athlete + session[j] + random.normal();
      }
      const auto one = stats::intraclass_correlations(t, level).*member;
      return Ends{one.low, one.high};
    };
  };
  table.interval("ICC(2,1), 12 athletes, 3 sessions", 4.0 / 6.0, icc(&stats::IccTable::two_one));
  table.interval("ICC(3,1), 12 athletes, 3 sessions", 4.0 / 5.0, icc(&stats::IccTable::three_one));
  table.interval("ICC(1,1), 12 athletes, 3 to 8 pitches", 0.8, [](Random& random) {
    Design design;
    design.athletes = 12;
    design.fewest = 3;
    design.most = 8;
    design.within_slope = design.between_slope = 0.0;
    design.y_between = 2.0;
    const auto d = simulate(design, random);
    const auto r = stats::repeated_pitch_icc(d.y, d.groups, level);
    return Ends{r.single.low, r.single.high};
  });
}

// Thirty quantities, of which `real` go with ball speed inside athletes (r about 0.3).
relate::Pitches lab(Random& random, int real) {
  relate::Pitches pitches;
  for (int q = 0; q < 30; ++q) pitches.quantities.push_back({fmt::format("q{}", q), ""});
  for (int athlete = 0; athlete < 20; ++athlete) {
    const double level_of_athlete = random.normal(38.0, 2.0);
    std::vector<double> centres;
    for (int q = 0; q < 30; ++q) centres.push_back(random.normal());
    for (int i = 0; i < 8; ++i) {
      relate::Pitch pitch;
      pitch.athlete = std::to_string(athlete);
      pitch.ball_speed.value = level_of_athlete + random.normal();
      for (std::size_t q = 0; q < 30; ++q) {
        const double x = random.normal();
        pitch.quantities.push_back({centres[q] + x, 0.0});
        if (static_cast<int>(q) < real) pitch.ball_speed.value += 0.4 * x;
      }
      pitches.rows.push_back(std::move(pitch));
    }
  }
  return pitches;
}

void findings(Table& table) {
  relate::Settings settings;
  settings.resample.resamples = 500;
  const auto count = [&](Random& random, int real) {
    const auto report = relate::relate(lab(random, real), settings);
    int shown = 0;
    int false_ones = 0;
    int plain = 0;
    for (std::size_t q = 0; q < 30; ++q) {
      const bool null = static_cast<int>(q) >= real;
      plain += report.relations[q].repeated_measures.p <= 0.05 && null ? 1 : 0;
      const auto verdict = report.relations[q].within_verdict;
      if (verdict != relate::Verdict::shown && verdict != relate::Verdict::shown_here) continue;
      ++shown;
      false_ones += null ? 1 : 0;
    }
    return std::array<int, 3>{shown, false_ones, plain};
  };
  for (const int real : {0, 6}) {
    table.share(fmt::format("false among the findings, 30 quantities, {} real", real),
                [&](Random& random, int) {
                  const auto [shown, false_ones, plain] = count(random, real);
                  return shown > 0 ? static_cast<double>(false_ones) / shown : 0.0;
                });
  }
  table.share("runs with a false finding by plain p <= 0.05, 30 quantities, none real",
              [&](Random& random, int) { return count(random, 0)[2] > 0 ? 1.0 : 0.0; });
  table.share("real relations shown, 6 of 30", [&](Random& random, int) {
    const auto [shown, false_ones, plain] = count(random, 6);
    return (shown - false_ones) / 6.0;
  });
  table.share("a cue without effect called shown (p <= 0.05)", [](Random& random, int) {
    const auto d = cued(random, 0.0);
    stats::PermutationSettings permutation;
    permutation.permutations = 1999;
    return stats::stratified_effect(d.y, d.marked, d.strata, level, permutation).p <= 0.05 ? 1.0
                                                                                           : 0.0;
  });
}

}  // namespace

int main(int argc, char** argv) {
  const int runs = argc > 1 ? std::atoi(argv[1]) : 1000;
  if (runs < 10) {
    fmt::print(stderr, "usage: {} [RUNS], at least 10\n", argv[0]);
    return 1;
  }
  Table table(runs);
  fmt::print("{} runs each\n\n| 95 % interval | holds the truth, % |\n|---|---|\n", runs);
  correlations(table);
  several_athletes(table);
  resampling(table);
  errors_in_x(table);
  cues(table);
  reliability(table);
  fmt::print("\n| findings | % |\n|---|---|\n");
  findings(table);
  return 0;
}
