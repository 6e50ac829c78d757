// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/instruments.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <optional>
#include <set>
#include <span>

#include "core/base/progress.h"
#include "core/model/bearing.h"
#include "core/model/plate_instrument.h"
#include "core/model/radar_lines.h"

namespace moundwork::model {
namespace {

using session::Block;
using session::Device;

constexpr double block_seconds = 0.020;

// The zero that a load leaves behind: one draw per throw and plate, there while the foot is on it.
struct LeftBehind {
  Ramp rise, fall;
  Eigen::Vector3d force;
};

std::vector<LeftBehind> draw_left_behind(const Performance& performance, bool back,
                                         const session::PlateAccuracy& accuracy, Random& random) {
  std::vector<LeftBehind> all;
  for (const Throw& one : performance.throws) {
    const Contact& foot = back ? one.pitch.back : one.pitch.lead;
    // Quickly enough to be whole at the strike's peak; gone before the plate is trodden on again.
    LeftBehind left{{foot.begin, foot.begin + 0.020}, {foot.end + 0.2, foot.end + 0.6}, {}};
    for (double& component : left.force) component = random.normal(0.0, accuracy.zero_force);
    all.push_back(left);
  }
  return all;
}

// One device that fills blocks of samples on its own clock.
class Source {
 public:
  Source(int index, const Device& device, const DeviceClock& clock, const StationSettings& settings,
         double duration, std::uint64_t seed)
      : index_(index),
        device_(device),
        clock_(clock),
        settings_(settings),
        duration_(duration),
        link_(seed, 1),
        per_block_(std::max<std::int64_t>(
            1, static_cast<std::int64_t>(std::llround(device.sample_rate * block_seconds)))) {}
  virtual ~Source() = default;
  Source(const Source&) = delete;
  Source& operator=(const Source&) = delete;

  // Makes the next block ready; false when the performance is over.
  bool advance() {
    const double begin = time_of(made_);
    std::int64_t count = 0;
    while (count < per_block_ && time_of(made_ + count) < duration_) ++count;
    if (count == 0) return false;
    fill(count);
    const double last = time_of(made_ + count - 1);
    const double lost_share = settings_.lost_blocks_per_hour * block_seconds / 3600.0;
    const bool lost = link_.chance(lost_share) && settings_.errors.loss;
    const double late = jitter();
    block_.first_sample = delivered_;
    block_.ticks =
        DeviceTicks{clock_.first_ticks + std::llround(static_cast<double>(made_) *
                                                      device_.tick_rate / device_.sample_rate)};
    // A queue never lets a later block overtake.
    arrival_ = std::max(arrival_, last + clock_.delay + late);
    block_.arrival = session_time(arrival_);
    block_.missing_before = missing_;
    lost_ = lost ? std::optional<LostBlock>({index_, count, begin}) : std::nullopt;
    made_ += count;
    if (lost)
      missing_ += count;
    else {
      delivered_ += count;
      missing_ = 0;
    }
    return true;
  }

  [[nodiscard]] int index() const { return index_; }
  [[nodiscard]] double arrival() const { return arrival_; }
  [[nodiscard]] const Block& block() const { return block_; }
  [[nodiscard]] const std::optional<LostBlock>& lost() const { return lost_; }
  [[nodiscard]] virtual session::RawSamples samples() const = 0;

 protected:
  // Fills the next `count` samples, the first being the device's sample number made().
  virtual void fill(std::int64_t count) = 0;
  [[nodiscard]] std::int64_t made() const { return made_; }
  [[nodiscard]] double time_of(std::int64_t sample) const {
    return clock_.session_time(static_cast<double>(sample) / device_.sample_rate);
  }

 private:
  // Delays are one-sided: mostly a millisecond or so, now and then a busy host.
  double jitter() {
    const double usual = link_.exponential(0.0008);
    const bool busy = link_.chance(0.01);
    const double wait = link_.uniform(0.005, 0.025);
    if (!settings_.errors.arrival) return 0.0;
    return usual + (busy ? wait : 0.0);
  }

  int index_;
  const Device& device_;
  const DeviceClock& clock_;
  const StationSettings& settings_;
  double duration_;
  Random link_;
  std::int64_t per_block_;
  std::int64_t made_ = 0;
  std::int64_t delivered_ = 0;
  std::int64_t missing_ = 0;
  double arrival_ = 0.0;
  Block block_;
  std::optional<LostBlock> lost_;
};

// What one plate of a device makes of what stands on it.
class PlateSide {
 public:
  PlateSide(const session::Plate& plate, const Bearing& bearing, const PlateErrors& errors,
            const Performance& performance, const Station& station, const StationSettings& settings,
            std::uint64_t noise_seed, Random& random)
      : instrument_(plate, station.stated.devices[static_cast<std::size_t>(plate.device)], errors,
                    noise_seed),
        area_(bearing.area),
        first_channel_(static_cast<std::size_t>(plate.channels.front())) {
    for (const Contact& contact : performance.contacts)
      if (bearing.bears(contact.surface)) contacts_.push_back(&contact);
    left_behind_ = draw_left_behind(performance, plate.role == session::PlateRole::back,
                                    plate.accuracy, random);
    if (!settings.errors.zero) left_behind_.clear();
  }

  // `row` is the device's.
  void sample(double t, std::int32_t* row) {
    instrument_.sample(t, load_at(t), left_at(t), row + first_channel_);
  }

 private:
  PlateLoad load_at(double t) {
    while (first_ < contacts_.size() && contacts_[first_]->end <= t) ++first_;
    feet_.clear();
    for (std::size_t i = first_; i < contacts_.size() && contacts_[i]->begin < t; ++i)
      if (t < contacts_[i]->end)
        if (const auto part = part_within(contacts_[i]->load(t), contacts_[i]->size, area_))
          feet_.push_back(*part);
    return feet_.empty() ? PlateLoad(PlateLoad::Zero()) : plate_load(instrument_.frame(), feet_);
  }

  Eigen::Vector3d left_at(double t) {
    while (left_ < left_behind_.size() && left_behind_[left_].fall.to <= t) ++left_;
    if (left_ == left_behind_.size() || t <= left_behind_[left_].rise.from)
      return Eigen::Vector3d::Zero();
    const LeftBehind& now = left_behind_[left_];
    return now.rise(t) * (1.0 - now.fall(t)) * now.force;
  }

  PlateInstrument instrument_;
  Eigen::AlignedBox2d area_;
  std::size_t first_channel_;
  std::vector<const Contact*> contacts_;
  std::size_t first_ = 0;
  std::vector<FootLoad> feet_;
  std::vector<LeftBehind> left_behind_;
  std::size_t left_ = 0;
};

// A device and the plates on it.
class PlateSource final : public Source {
 public:
  PlateSource(int index, const Performance& performance, const Station& station,
              const StationSettings& settings, std::uint64_t seed)
      : Source(index, station.stated.devices[static_cast<std::size_t>(index)],
               station.truth.clocks[static_cast<std::size_t>(index)], settings,
               performance.duration, seed),
        channels_(station.stated.devices[static_cast<std::size_t>(index)].channels.size()) {
    const auto areas = bearings(station.stated);
    // Apart from one another, and from the next device's.
    constexpr std::uint64_t seeds_of_plate = 10;
    Random random(seed, 2);
    std::uint64_t noise_seed = seed + 1;
    for (std::size_t i = 0; i < station.stated.plates.size(); ++i) {
      const session::Plate& plate = station.stated.plates[i];
      if (plate.device != index) continue;
      sides_.emplace_back(plate, areas[i], station.truth.plates[i], performance, station, settings,
                          noise_seed, random);
      noise_seed += seeds_of_plate;
    }
    if (station.stated.trigger && station.stated.trigger->device == index) {
      trigger_ = station.stated.trigger;
      for (const Throw& one : performance.throws) {
        const double scatter = random.normal(0.0, trigger_->lag.u);
        edges_.push_back(one.pitch.release + trigger_->lag.value +
                         (settings.errors.trigger ? scatter : 0.0));
      }
      trigger_scale_ =
          station.stated.devices[static_cast<std::size_t>(index)].channels.back().scale;
    }
  }

  [[nodiscard]] session::RawSamples samples() const override {
    return std::span<const std::int32_t>(raw_);
  }

 protected:
  void fill(std::int64_t count) override {
    raw_.assign(static_cast<std::size_t>(count) * channels_, 0);
    for (std::int64_t i = 0; i < count; ++i) {
      const double t = time_of(made() + i);
      std::int32_t* row = raw_.data() + static_cast<std::size_t>(i) * channels_;
      for (PlateSide& side : sides_) side.sample(t, row);
      if (trigger_) row[trigger_->channel] = trigger_at(t);
    }
  }

 private:
  std::int32_t trigger_at(double t) {
    constexpr double high = 5.0;    // V
    constexpr double held = 0.050;  // s
    while (edge_ < edges_.size() && edges_[edge_] + held <= t) ++edge_;
    const bool on = edge_ < edges_.size() && t >= edges_[edge_];
    return on ? static_cast<std::int32_t>(std::lround(high / trigger_scale_)) : 0;
  }

  std::size_t channels_;
  std::vector<PlateSide> sides_;
  std::optional<session::Trigger> trigger_;
  std::vector<double> edges_;
  std::size_t edge_ = 0;
  double trigger_scale_ = 1.0;
  std::vector<std::int32_t> raw_;
};

// A sharp sound and how it dies away.
struct Burst {
  double at;        // s, at the microphone
  double loudness;  // counts
  double pitch;     // Hz
  double decay;     // s
};

class MicrophoneSource final : public Source {
 public:
  MicrophoneSource(int index, const Performance& performance, const Station& station,
                   const StationSettings& settings, std::uint64_t seed)
      : Source(index, station.stated.devices[static_cast<std::size_t>(index)],
               station.truth.clocks[static_cast<std::size_t>(index)], settings,
               performance.duration, seed),
        noise_(seed, 3),
        level_(settings.errors.noise ? 4.0 : 0.0) {
    const double sound = sound_speed(station.truth.air);
    Random random(seed, 4);
    for (const Throw& one : performance.throws) {
      bursts_.push_back({one.caught + station.truth.sound_distance / sound,
                         random.uniform(9000.0, 24000.0), random.uniform(700.0, 1600.0),
                         random.uniform(0.003, 0.006)});
      // The foot's thump reaches the net from the mound, faint.
      const double far = (station.truth.target - station.truth.release_point).norm();
      bursts_.push_back(
          {one.pitch.touch + 0.02 + far / sound, random.uniform(60.0, 250.0), 140.0, 0.020});
    }
    std::sort(bursts_.begin(), bursts_.end(),
              [](const Burst& a, const Burst& b) { return a.at < b.at; });
  }

  [[nodiscard]] session::RawSamples samples() const override {
    return std::span<const std::int16_t>(raw_);
  }

 protected:
  void fill(std::int64_t count) override {
    raw_.clear();
    for (std::int64_t i = 0; i < count; ++i) {
      const double t = time_of(made() + i);
      const double value = sound_at(t) + (level_ > 0.0 ? noise_.normal(0.0, level_) : 0.0);
      raw_.push_back(static_cast<std::int16_t>(std::clamp(std::round(value), -32768.0, 32767.0)));
    }
  }

 private:
  double sound_at(double t) {
    constexpr double heard = 25.0;  // decay times until nothing is left
    while (first_ < bursts_.size() && bursts_[first_].at + heard * bursts_[first_].decay < t)
      ++first_;
    double sum = 0.0;
    for (std::size_t i = first_; i < bursts_.size() && bursts_[i].at <= t; ++i) {
      const Burst& burst = bursts_[i];
      const double after = t - burst.at;
      sum += burst.loudness * std::exp(-after / burst.decay) *
             std::cos(2.0 * std::numbers::pi * burst.pitch * after);
    }
    return sum;
  }

  Random noise_;
  double level_;  // counts
  std::vector<Burst> bursts_;
  std::size_t first_ = 0;
  std::vector<std::int16_t> raw_;
};

}  // namespace

Result<std::vector<LostBlock>> record(const Performance& performance, const Station& station,
                                      const StationSettings& settings, std::uint64_t seed,
                                      const Sink& sink) {
  std::vector<std::unique_ptr<Source>> sources;
  const auto seed_of = [&](int device) {
    return seed * 1000003ULL + static_cast<std::uint64_t>(device) * 101ULL;
  };
  std::set<int> plate_devices;
  for (const session::Plate& plate : station.stated.plates) plate_devices.insert(plate.device);
  for (const int device : plate_devices)
    sources.push_back(
        std::make_unique<PlateSource>(device, performance, station, settings, seed_of(device)));
  if (station.stated.microphone)
    sources.push_back(
        std::make_unique<MicrophoneSource>(station.stated.microphone->device, performance, station,
                                           settings, seed_of(station.stated.microphone->device)));
  Random random(seed, 5);
  const auto lines = radar_lines(performance, station, settings, random);
  std::vector<LostBlock> lost;
  std::erase_if(sources, [](const auto& source) { return !source->advance(); });
  std::size_t line = 0;
  double told = 0.0;
  while (!sources.empty()) {
    const auto next =
        std::min_element(sources.begin(), sources.end(),
                         [](const auto& a, const auto& b) { return a->arrival() < b->arrival(); });
    Source& source = **next;
    for (; line < lines.size() && seconds(lines[line].arrival) <= source.arrival(); ++line)
      if (auto done = sink.reading(lines[line]); !done) return tl::make_unexpected(done.error());
    if (source.lost())
      lost.push_back(*source.lost());
    else if (auto done = sink.samples(source.index(), source.block(), source.samples()); !done)
      return tl::make_unexpected(done.error());
    if (sink.goes_on_at && source.arrival() > told + 1.0) {
      told = source.arrival();
      if (!sink.goes_on_at(told)) return stopped("the simulation");
    }
    if (!source.advance()) sources.erase(next);
  }
  for (; line < lines.size(); ++line)
    if (auto done = sink.reading(lines[line]); !done) return tl::make_unexpected(done.error());
  return lost;
}

}  // namespace moundwork::model
