// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/bootstrap.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <mutex>
#include <stdexcept>
#include <thread>

#include "core/base/random.h"
#include "core/stats/descriptive.h"
#include "core/stats/distributions.h"

namespace moundwork::stats {
namespace {

using RowMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

// Small enough that its counts and totals stay in the cache, and fixed, so that the sums are added
// in the same order whatever the number of threads.
constexpr int block_size = 100;

struct Work {
  const Eigen::MatrixXd& sums;
  const StatisticsOfSums& statistics;
  const ResampleSettings& settings;
  RowMatrix& replicates;  // resamples x statistics
};

void draw_block(const Work& work, int first) {
  const int size = std::min(block_size, work.settings.resamples - first);
  const int clusters = static_cast<int>(work.sums.rows());
  RowMatrix counts = RowMatrix::Zero(size, clusters);
  for (int i = 0; i < size; ++i) {
    // A stream a replicate: any thread may draw any of them.
    Random random(work.settings.seed, static_cast<std::uint64_t>(first + i));
    for (int draw = 0; draw < clusters; ++draw) counts(i, random.integer(0, clusters - 1)) += 1.0;
  }
  const RowMatrix totals = counts * work.sums;
  Eigen::RowVectorXd statistics(work.replicates.cols());
  for (int i = 0; i < size; ++i) {
    work.statistics(totals.row(i), statistics);
    work.replicates.row(first + i) = statistics;
  }
}

// False when told to stop.
bool draw_all(const Work& work) {
  const int blocks = (work.settings.resamples + block_size - 1) / block_size;
  std::atomic<int> next{0};
  std::atomic<bool> wanted{true};
  int done = 0;
  std::mutex reporting;
  const auto run = [&] {
    for (int block = next++; block < blocks && wanted; block = next++) {
      draw_block(work, block * block_size);
      const std::lock_guard lock(reporting);
      ++done;
      wanted = wanted && goes_on(work.settings.progress, static_cast<double>(done) / blocks);
    }
  };
  const int threads = work.settings.threads > 0
                          ? work.settings.threads
                          : static_cast<int>(std::thread::hardware_concurrency());
  std::vector<std::jthread> helpers;
  for (int i = 1; i < std::min(threads, blocks); ++i) helpers.emplace_back(run);
  run();
  helpers.clear();  // joins
  return wanted;
}

}  // namespace

BootstrapInterval bca_interval(double estimate, const Eigen::VectorXd& replicates,
                               const Eigen::VectorXd& leave_one_out, double level) {
  BootstrapInterval interval;
  std::vector<double> defined;
  defined.reserve(static_cast<std::size_t>(replicates.size()));
  double below = 0.0;
  for (const double replicate : replicates) {
    if (!std::isfinite(replicate)) continue;
    defined.push_back(replicate);
    below += replicate < estimate ? 1.0 : (replicate == estimate ? 0.5 : 0.0);
  }
  interval.usable = static_cast<int>(defined.size());
  if (defined.empty() || !std::isfinite(estimate) ||
      static_cast<double>(defined.size()) < 0.95 * static_cast<double>(replicates.size()) ||
      !leave_one_out.allFinite() || leave_one_out.size() < 2)
    return interval;

  const double bias = normal_quantile(below / static_cast<double>(defined.size()));  // z0
  const Eigen::ArrayXd influence = leave_one_out.mean() - leave_one_out.array();
  const double spread = influence.square().sum();
  const double acceleration =
      spread > 0.0 ? influence.cube().sum() / (6.0 * std::pow(spread, 1.5)) : 0.0;  // a
  const auto percentile = [&](double z) {
    return normal_cdf(bias + (bias + z) / (1.0 - acceleration * (bias + z)));
  };
  std::sort(defined.begin(), defined.end());
  const auto ascending =
      Eigen::Map<const Eigen::VectorXd>(defined.data(), static_cast<Eigen::Index>(defined.size()));
  interval.low = sorted_quantile(ascending, percentile(normal_quantile(0.5 - 0.5 * level)));
  interval.high = sorted_quantile(ascending, percentile(normal_quantile(0.5 + 0.5 * level)));
  return interval;
}

std::vector<BootstrapInterval> cluster_bootstrap(const Eigen::MatrixXd& sums,
                                                 const StatisticsOfSums& statistics,
                                                 int statistic_count, double level,
                                                 const ResampleSettings& settings) {
  if (sums.rows() < 2 || statistic_count < 1 || settings.resamples < 1)
    throw std::invalid_argument("a cluster bootstrap needs two clusters, a statistic, a resample");
  RowMatrix replicates(settings.resamples, statistic_count);
  if (!draw_all({sums, statistics, settings, replicates}))
    return std::vector<BootstrapInterval>(static_cast<std::size_t>(statistic_count));

  const Eigen::RowVectorXd total = sums.colwise().sum();
  Eigen::RowVectorXd estimate(statistic_count);
  statistics(total, estimate);
  RowMatrix leave_one_out(sums.rows(), statistic_count);
  Eigen::RowVectorXd row(statistic_count);
  for (Eigen::Index cluster = 0; cluster < sums.rows(); ++cluster) {
    statistics(total - sums.row(cluster), row);
    leave_one_out.row(cluster) = row;
  }
  std::vector<BootstrapInterval> intervals;
  intervals.reserve(static_cast<std::size_t>(statistic_count));
  for (Eigen::Index i = 0; i < statistic_count; ++i)
    intervals.push_back(bca_interval(estimate[i], replicates.col(i), leave_one_out.col(i), level));
  return intervals;
}

}  // namespace moundwork::stats
