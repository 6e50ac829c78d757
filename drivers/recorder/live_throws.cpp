// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/live_throws.h"

#include <algorithm>

#include "core/pitch/session_throws.h"
#include "core/session/plate_signal.h"
#include "drivers/device/urgent.h"

namespace moundwork::drivers {
namespace {

using namespace std::chrono_literals;

constexpr double rise_time = 0.05;    // s, of LiveSettings::landing
constexpr double same_landing = 0.5;  // s; a foot does not land twice within this

}  // namespace

LiveThrows::LiveThrows(Capture& capture, LiveSettings settings, Found found, Failed failed)
    : capture_(capture),
      settings_(settings),
      found_(std::move(found)),
      failed_(std::move(failed)),
      kept_(capture) {
  const session::Session& session = capture.session();
  for (const session::Plate& plate : session.plates) {
    if (plate.role != session::PlateRole::lead) continue;
    const auto signal = session::PlateSignal::make(session, plate);
    if (signal) watched_.push_back({plate.device, signal->raw_force().weights.row(2), {}});
  }
}

void LiveThrows::start() {
  thread_ = std::jthread([this](const std::stop_token& stop) { run(stop); });
}

void LiveThrows::stop() {
  if (!thread_.joinable()) return;
  thread_.request_stop();
  thread_.join();
}

void LiveThrows::run(const std::stop_token& stop) {
  prefer_this_thread();
  while (true) {
    const bool last = stop.stop_requested();
    kept_.take(seconds(capture_.now()) - settings_.kept, [&](int device, const SampleBlock& block) {
      for (Watched& plate : watched_)
        if (plate.device == device) look_for_landing(plate, block);
    });
    while (!landings_.empty()) {
      const double window_end = landings_.front() + settings_.analysis.window_after;
      if (!last && seconds(capture_.now()) < window_end + settings_.settle) break;
      landings_.erase(landings_.begin());
      measure(window_end);
    }
    if (last) return;
    std::this_thread::sleep_for(10ms);
  }
}

void LiveThrows::look_for_landing(Watched& plate, const SampleBlock& block) {
  const session::Device& device =
      capture_.session().devices[static_cast<std::size_t>(plate.device)];
  const auto span = static_cast<std::size_t>(std::max(1.0, rise_time * device.sample_rate));
  // A foot may land on all of its plates at once.
  const double landing = settings_.landing / static_cast<double>(watched_.size());
  const Eigen::Map<const session::RawTable<double>> raw(block.values.data(), block.rows,
                                                        plate.vertical.size());
  for (std::int64_t r = 0; r < block.rows; ++r) {
    const double force = raw.row(r).dot(plate.vertical);  // but for a constant: it is about a rise
    plate.recent.push_back(force);
    if (plate.recent.size() > span) plate.recent.pop_front();
    const double time =
        seconds(block.arrival) - static_cast<double>(block.rows - 1 - r) / device.sample_rate;
    if (force - plate.recent.front() > landing && time - last_landing_ > same_landing) {
      last_landing_ = time;
      landings_.push_back(time);
    }
  }
}

void LiveThrows::measure(double window_end) {
  const auto measured = measure_new(window_end);
  if (!measured) {
    failed_(measured.error());
    return;
  }
  for (const pitch::AnalysedThrow& thrown : *measured) {
    const double contact = at(thrown.events, definitions::Event::lead_contact);
    last_contact_ = contact;
    LiveThrow live{thrown, seconds(capture_.now()) - contact - settings_.analysis.window_after};
    live.thrown.number = ++count_;
    found_(live);
  }
}

Result<std::vector<pitch::AnalysedThrow>> LiveThrows::measure_new(double window_end) const {
  const session::MemoryRows rows = kept_.rows();
  const auto throws = pitch::SessionThrows::find(rows, settings_.analysis);
  if (!throws) return tl::make_unexpected(throws.error());
  std::vector<pitch::AnalysedThrow> found;
  double last = last_contact_;
  for (std::size_t i = 0; i < throws->contacts().size(); ++i) {
    // Throws of earlier looks are still in what is kept; one whose window is not over comes later.
    const auto wanted = [&](double contact) {
      return contact >= last + same_landing &&
             contact + settings_.analysis.window_after < window_end + same_landing;
    };
    if (!wanted(throws->contacts()[i])) continue;
    const auto thrown = throws->take(i, pitch::Extent::measured_part);
    if (!thrown) return tl::make_unexpected(thrown.error());
    // Something like a throw may have no clear contact (NaN).
    if (const double contact = at(thrown->found(), definitions::Event::lead_contact);
        wanted(contact)) {
      last = contact;
      found.push_back(thrown->measure());
    }
  }
  return found;
}

}  // namespace moundwork::drivers
