// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/live_view.h"

#include <algorithm>
#include <cmath>

#include "core/foot/zero.h"
#include "core/session/plate_signal.h"

namespace moundwork::drivers {
namespace {

using namespace std::chrono_literals;

constexpr auto look = 8ms;  // between looks into the queues: half a frame of a 60 Hz screen
constexpr double zero_length = 0.25;  // s of empty plate that give a zero

}  // namespace

struct LiveView::Feed {
  Feed(const session::Plate& described, const session::Device& sampled_by,
       session::PlateSignal plate_signal, const LiveViewSettings& wanted)
      : plate(described),
        device(sampled_by),
        signal(std::move(plate_signal)),
        settings(wanted),
        rows_per_bin(std::max<std::int64_t>(1, std::llround(settings.bin * device.sample_rate))),
        bins_kept(static_cast<std::size_t>(settings.kept * device.sample_rate /
                                           static_cast<double>(rows_per_bin))) {}

  const session::Plate& plate;
  const session::Device& device;
  session::PlateSignal signal;
  const LiveViewSettings& settings;
  std::int64_t rows_per_bin;
  std::size_t bins_kept;

  std::deque<LiveBin> bins;
  std::int64_t first_bin = 0;
  std::int64_t next_row = 0;  // since the first sample, lost ones counted
  double next_ticks = 0.0;
  bool started = false;
  // Session time of row 0 if samples arrived without delay: the earliest arrivals tell.
  double offset = 0.0;
  double last_arrival = 0.0;

  // The bin at hand.
  std::int64_t open_bin = 0;
  Eigen::Index open_rows = 0;
  Eigen::Array<double, 1, 6> sum = Eigen::Array<double, 1, 6>::Zero();
  Eigen::Array<double, 1, 3> least, greatest;

  // Zero: raw means of the bins since the last stretch began.
  Eigen::Array<double, 1, 6> zero = Eigen::Array<double, 1, 6>::Zero();
  bool zeroed = false;
  int tares_done = 0;
  std::vector<Eigen::Array<double, 1, 6>> stretch;

  [[nodiscard]] double bin_length() const {
    return static_cast<double>(rows_per_bin) / device.sample_rate;
  }

  void take(const SampleBlock& block, int tares) {
    const double ticks = static_cast<double>(static_cast<std::int64_t>(block.ticks));
    const double ticks_per_row = device.tick_rate / device.sample_rate;
    if (started) {
      // The counter also tells what the display itself left out; after a reset only the block does.
      const double ahead = std::round((ticks - next_ticks) / ticks_per_row);
      const bool plausible = ahead >= 0.0 && ahead < settings.kept * device.sample_rate;
      skip(plausible ? static_cast<std::int64_t>(ahead) : block.missing_before);
    }
    const auto width = static_cast<Eigen::Index>(device.channels.size());
    const auto rows = static_cast<Eigen::Index>(block.rows);
    const plate::WrenchSeries wrench = signal.wrench(
        Eigen::Map<const session::RawTable<double>>(block.values.data(), rows, width));
    for (Eigen::Index r = 0; r < rows; ++r) add(wrench.row(r), tares);
    next_ticks = ticks + static_cast<double>(rows) * ticks_per_row;

    const double arrival = seconds(block.arrival);
    const double seen =
        arrival - device.delay.value - static_cast<double>(next_row - 1) / device.sample_rate;
    // A slow counter falls behind for ever; 500 ppm is beyond any crystal.
    offset = started ? std::min(seen, offset + 500e-6 * (arrival - last_arrival)) : seen;
    last_arrival = arrival;
    started = true;
  }

  void add(const Eigen::Array<double, 1, 6>& row, int tares) {
    if (const std::int64_t bin = next_row / rows_per_bin; bin != open_bin) open(bin);
    const Eigen::Array<double, 1, 3> force = row.leftCols<3>();
    least = open_rows == 0 ? force : least.min(force).eval();
    greatest = open_rows == 0 ? force : greatest.max(force).eval();
    sum += row;
    ++open_rows;
    ++next_row;
    if (next_row % rows_per_bin == 0) close(tares);
  }

  /// Rows that never came.
  void skip(std::int64_t rows) {
    if (rows <= 0) return;
    // A bin that is not whole is not shown at all, and no zero is taken across a gap.
    next_row += rows;
    stretch.clear();
    open(next_row / rows_per_bin);
    open_rows = 0;
    sum.setZero();
  }

  void open(std::int64_t bin) {
    // Far more than is kept need not be filled up one by one.
    const auto last = first_bin + static_cast<std::int64_t>(bins.size());
    if (bin - last > static_cast<std::int64_t>(bins_kept)) {
      bins.clear();
      first_bin = bin;
    }
    while (first_bin + static_cast<std::int64_t>(bins.size()) < bin) push({});
    open_bin = bin;
  }

  void close(int tares) {
    const Eigen::Array<double, 1, 6> mean = sum / static_cast<double>(open_rows);
    follow_zero(mean, tares);
    if (open_rows == rows_per_bin) push(shown(mean));
    sum.setZero();
    open_rows = 0;
    open(next_row / rows_per_bin);
  }

  [[nodiscard]] LiveBin shown(const Eigen::Array<double, 1, 6>& mean) const {
    plate::WrenchSeries tared(1, 6);
    tared.row(0) = mean - zero;
    LiveBin bin;
    for (Eigen::Index axis = 0; axis < 3; ++axis) {
      const auto a = static_cast<std::size_t>(axis);
      bin.force[a] = static_cast<float>(tared(0, axis));
      bin.least[a] = static_cast<float>(least(axis) - zero(axis));
      bin.greatest[a] = static_cast<float>(greatest(axis) - zero(axis));
    }
    const auto cop =
        plate::centre_of_pressure(tared, signal.frame(), settings.analysis.least_cop_force);
    bin.cop = {static_cast<float>(cop(0, 0)), static_cast<float>(cop(0, 1))};
    if (std::isfinite(cop(0, 0)))
      bin.free_moment = static_cast<float>(plate::free_moment(tared, signal.frame(), cop)(0));
    return bin;
  }

  void push(const LiveBin& bin) {
    bins.push_back(bin);
    while (bins.size() > bins_kept) {
      bins.pop_front();
      ++first_bin;
    }
  }

  /// By the same limits as on a whole session, in steps of a stretch.
  void follow_zero(const Eigen::Array<double, 1, 6>& mean, int tares) {
    stretch.push_back(mean);
    if (static_cast<double>(stretch.size()) * bin_length() < zero_length) return;
    Eigen::Array<double, 1, 6> average = Eigen::Array<double, 1, 6>::Zero();
    double low = stretch.front()(2), high = low;
    for (const auto& one : stretch) {
      average += one / static_cast<double>(stretch.size());
      low = std::min(low, one(2));
      high = std::max(high, one(2));
    }
    stretch.clear();
    const definitions::Settings& s = settings.analysis;
    const bool empty = foot::looks_empty(high - low, average(2), s) &&
                       (!zeroed || foot::continues_zero(zero(2), average(2), s));
    if (tares == tares_done && !empty) return;
    zero = average;
    zeroed = true;
    tares_done = tares;
  }
};

LiveBin LiveTrace::latest(double span) const {
  const auto wanted = static_cast<std::size_t>(std::max(1.0, std::round(span / bin)));
  const std::size_t first = bins.size() > wanted ? bins.size() - wanted : 0;
  LiveBin mean;
  double force[3] = {}, cop[2] = {}, moment = 0.0;
  int loaded = 0, count = 0;
  for (std::size_t i = first; i < bins.size(); ++i) {
    const LiveBin& one = bins[i];
    if (std::isnan(one.force[2])) continue;
    for (std::size_t a = 0; a < 3; ++a) {
      force[a] += one.force[a];
      mean.least[a] = count == 0 ? one.least[a] : std::min(mean.least[a], one.least[a]);
      mean.greatest[a] = count == 0 ? one.greatest[a] : std::max(mean.greatest[a], one.greatest[a]);
    }
    ++count;
    if (std::isnan(one.cop[0])) continue;
    for (std::size_t a = 0; a < 2; ++a) cop[a] += one.cop[a];
    moment += one.free_moment;
    ++loaded;
  }
  for (std::size_t a = 0; a < 3 && count > 0; ++a)
    mean.force[a] = static_cast<float>(force[a] / count);
  for (std::size_t a = 0; a < 2 && loaded > 0; ++a)
    mean.cop[a] = static_cast<float>(cop[a] / loaded);
  if (loaded > 0) mean.free_moment = static_cast<float>(moment / loaded);
  return mean;
}

LiveView::LiveView(Capture& capture, LiveViewSettings settings)
    : capture_(capture), settings_(settings) {}

Result<std::unique_ptr<LiveView>> LiveView::begin(Capture& capture, LiveViewSettings settings) {
  std::unique_ptr<LiveView> view(new LiveView(capture, settings));
  const session::Session& session = capture.session();
  for (const session::Plate& plate : session.plates) {
    auto signal = session::PlateSignal::make(session, plate);
    if (!signal) return tl::make_unexpected(signal.error());
    view->feeds_.push_back(
        std::make_unique<Feed>(plate, session.devices[static_cast<std::size_t>(plate.device)],
                               std::move(*signal), view->settings_));
  }
  for (const auto& device : capture.devices()) device->show(true);
  view->thread_ = std::jthread([raw = view.get()](const std::stop_token& stop) { raw->run(stop); });
  return view;
}

LiveView::~LiveView() {
  if (thread_.joinable()) {
    thread_.request_stop();
    thread_.join();
  }
  for (const auto& device : capture_.devices()) device->show(false);
}

void LiveView::run(const std::stop_token& stop) {
  while (!stop.stop_requested()) {
    for (std::size_t d = 0; d < capture_.devices().size(); ++d) take(d);
    std::this_thread::sleep_for(look);
  }
}

void LiveView::take(std::size_t device) {
  const int tares = tares_;
  // A lock for each block, so that a screen never waits for a backlog.
  const auto into_feeds = [&](const SampleBlock& block) {
    const std::lock_guard lock(mutex_);
    for (const auto& feed : feeds_)
      if (feed->plate.device == static_cast<int>(device)) feed->take(block, tares);
  };
  while (capture_.devices()[device]->to_display().consume(into_feeds)) {
  }
}

LiveSnapshot LiveView::snapshot(double span) const {
  LiveSnapshot shown;
  shown.now = seconds(capture_.now());
  const std::lock_guard lock(mutex_);
  for (const auto& feed : feeds_) {
    LivePlate plate;
    plate.role = feed->plate.role;
    plate.frame = feed->signal.frame();
    plate.bin = feed->bin_length();
    const auto wanted = std::min(
        feed->bins.size(), static_cast<std::size_t>(std::max(0.0, std::ceil(span / plate.bin))));
    const auto first = static_cast<std::ptrdiff_t>(feed->bins.size() - wanted);
    plate.bins.assign(feed->bins.begin() + first, feed->bins.end());
    plate.first_bin = feed->first_bin + first;
    plate.start = feed->offset + static_cast<double>(plate.first_bin) * plate.bin;
    plate.zeroed = feed->zeroed;
    plate.zero = feed->zero(2);
    plate.not_shown = capture_.devices()[static_cast<std::size_t>(feed->plate.device)]
                          ->health()
                          .not_displayed_rows;
    shown.plates.push_back(std::move(plate));
  }
  return shown;
}

std::vector<weigh_in::Stand> LiveView::stands(double span) const {
  const LiveSnapshot shown = snapshot(span);
  std::vector<weigh_in::Stand> stands;
  for (std::size_t p = 0; p < shown.plates.size(); ++p) {
    const LivePlate& plate = shown.plates[p];
    if (plate.bins.empty()) continue;
    weigh_in::Stand stand;
    stand.plate = plate.role;
    stand.start = plate.start;
    stand.rate = 1.0 / plate.bin;
    const auto count = static_cast<Eigen::Index>(plate.bins.size());
    stand.vertical.resize(count);
    stand.cop.resize(count, 3);
    const Eigen::Vector3d& up = plate.frame.up;
    for (Eigen::Index i = 0; i < count; ++i) {
      const LiveBin& bin = plate.bins[static_cast<std::size_t>(i)];
      stand.vertical(i) = bin.force[2];
      const Eigen::Vector2d place(bin.cop[0], bin.cop[1]);
      // The point lies in the plate's surface, which may be inclined.
      const double height =
          plate.frame.centre.z() - up.head<2>().dot(place - plate.frame.centre.head<2>()) / up.z();
      stand.cop.row(i) << place.x(), place.y(), height;
    }
    weigh_in::set_accuracy(stand, capture_.session().plates[p].accuracy, settings_.analysis);
    if (!plate.zeroed) stand.zero_u = settings_.analysis.zero_unseen;
    stands.push_back(std::move(stand));
  }
  return stands;
}

}  // namespace moundwork::drivers
