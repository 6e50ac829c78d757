// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/live_throws.h"

#include <unistd.h>

#include <algorithm>
#include <cmath>

#include "core/pitch/session_throws.h"
#include "core/session/reader.h"
#include "drivers/device/urgent.h"

namespace moundwork::drivers {
namespace {

using namespace std::chrono_literals;
namespace fs = std::filesystem;

constexpr double rise_time = 0.05;    // s, of LiveSettings::landing
constexpr double same_landing = 0.5;  // s; a foot does not land twice within this

}  // namespace

LiveThrows::LiveThrows(Capture& capture, LiveSettings settings, Found found, Failed failed)
    : capture_(capture),
      settings_(settings),
      found_(std::move(found)),
      failed_(std::move(failed)),
      kept_(capture.session().devices.size()),
      events_(capture.events().size()) {
  const session::Session& session = capture.session();
  for (std::size_t p = 0; p < session.plates.size(); ++p) {
    const session::Plate& plate = session.plates[p];
    if (plate.role != session::PlateRole::lead) continue;
    const auto map = plate::WrenchMap::make(plate.description);
    if (!map) continue;
    const auto& channels = session.devices[static_cast<std::size_t>(plate.device)].channels;
    vertical_ = map->force_matrix().row(2);
    for (Eigen::Index c = 0; c < vertical_.size(); ++c)
      vertical_(c) *=
          channels[static_cast<std::size_t>(plate.channels[static_cast<std::size_t>(c)])].scale;
    lead_plate_ = p;
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
    take_blocks();
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

void LiveThrows::take_blocks() {
  const double oldest = seconds(capture_.now()) - settings_.kept;
  const session::Session& session = capture_.session();
  for (std::size_t d = 0; d < kept_.size(); ++d) {
    const bool lead = lead_plate_ && session.plates[*lead_plate_].device == static_cast<int>(d);
    while (capture_.devices()[d]->to_live().consume([&](const SampleBlock& block) {
      kept_[d].push_back(block);
      if (lead) look_for_landing(block);
    })) {
    }
    while (!kept_[d].empty() && seconds(kept_[d].front().arrival) < oldest) kept_[d].pop_front();
  }
  session::InstrumentEvent event;
  for (std::size_t i = 0; i < events_.size(); ++i) {
    while (capture_.events()[i].device->next_live(event)) events_[i].push_back(event);
    while (!events_[i].empty() && seconds(events_[i].front().arrival) < oldest)
      events_[i].pop_front();
  }
}

void LiveThrows::look_for_landing(const SampleBlock& block) {
  const session::Plate& plate = capture_.session().plates[*lead_plate_];
  const session::Device& device =
      capture_.session().devices[static_cast<std::size_t>(plate.device)];
  const auto width = static_cast<std::int64_t>(device.channels.size());
  const auto span = static_cast<std::size_t>(std::max(1.0, rise_time * device.sample_rate));
  for (std::int64_t r = 0; r < block.rows; ++r) {
    double force = 0.0;  // but for a constant, which does not matter to a rise
    for (Eigen::Index c = 0; c < vertical_.size(); ++c)
      force += vertical_(c) * block.values[static_cast<std::size_t>(
                                  r * width + plate.channels[static_cast<std::size_t>(c)])];
    recent_.push_back(force);
    if (recent_.size() > span) recent_.pop_front();
    const double time =
        seconds(block.arrival) - static_cast<double>(block.rows - 1 - r) / device.sample_rate;
    if (force - recent_.front() > settings_.landing && time - last_landing_ > same_landing) {
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
  std::string name = (fs::temp_directory_path() / "moundwork-live-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr)
    return fail(name, "there is no temporary folder, so throws are not measured while recording",
                "the recording itself goes on; analyse it afterwards");
  const fs::path path = fs::path(name) / "live.h5";
  auto measured = [&]() -> Result<std::vector<pitch::AnalysedThrow>> {
    if (auto written = write_kept(path); !written) return tl::make_unexpected(written.error());
    const auto reader = session::Reader::open(path);
    if (!reader) return tl::make_unexpected(reader.error());
    const auto throws = pitch::SessionThrows::find(*reader, settings_.analysis);
    if (!throws) return tl::make_unexpected(throws.error());
    std::vector<pitch::AnalysedThrow> found;
    double last = last_contact_;
    for (std::size_t i = 0; i < throws->contacts().size(); ++i) {
      // Throws of earlier looks are still in what is kept; one whose window is not over comes
      // later.
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
  }();
  std::error_code ignored;
  fs::remove_all(name, ignored);
  return measured;
}

Result<void> LiveThrows::write_kept(const fs::path& path) const {
  const session::Session& session = capture_.session();
  auto writer = session::Writer::create(path, session);
  if (!writer) return tl::make_unexpected(writer.error());
  std::vector<std::int32_t> integers;
  for (std::size_t d = 0; d < kept_.size(); ++d) {
    std::int64_t row = 0;
    for (const SampleBlock& block : kept_[d]) {
      const session::Block described{row, block.ticks, block.arrival, block.missing_before};
      row += block.rows;
      const int device = static_cast<int>(d);
      Result<void> appended;
      if (session.devices[d].sample_type == session::SampleType::float64) {
        appended = writer->append(device, described, std::span<const double>(block.values));
      } else {
        integers.assign(block.values.begin(), block.values.end());
        appended = writer->append(device, described, std::span<const std::int32_t>(integers));
      }
      if (!appended) return appended;
    }
  }
  for (std::size_t i = 0; i < events_.size(); ++i)
    for (const session::InstrumentEvent& event : events_[i])
      if (auto appended = writer->append_event(capture_.events()[i].source, event); !appended)
        return appended;
  return writer->close();
}

}  // namespace moundwork::drivers
