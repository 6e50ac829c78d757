// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/live_day.h"

#include <algorithm>
#include <utility>

#include "core/base/sentence.h"
#include "core/definitions/flag_catalogue.h"
#include "core/session/companion.h"
#include "core/session/plate_name.h"
#include "core/session/reader.h"
#include "drivers/recorder/live_mass.h"
#include "drivers/recorder/lost_file.h"
#include "drivers/recorder/recording_session.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;

DeviceSight sight_of(const std::string& name, bool sampled, const drivers::DeviceHealth& health,
                     std::string last_failure, double recorded_for) {
  return {name,
          sampled,
          health.state,
          std::move(last_failure),
          recorded_for,
          health.missing_rows,
          health.accepted,
          health.malformed + health.bad_checksum,
          true,
          {}};
}

/// Whatever file is recorded into has a mark, by which the next start finds it after a crash.
drivers::CaptureSettings marked() {
  drivers::CaptureSettings settings;
  settings.recorder.went_on = [](const drivers::LostFile& lost) {
    set_recording_mark(lost.goes_on_in);
    clear_recording_mark(lost.file);
  };
  return settings;
}

/// A flag's detail as a sentence of its own.
std::string said(const session::ResultFlag& flag) {
  return sentence("Look at this before the next throw: {detail}.", "detail"_is(flag.detail));
}

std::ptrdiff_t plates_on(const session::Session& session, std::size_t device) {
  return std::count_if(session.plates.begin(), session.plates.end(),
                       [&](const auto& plate) { return plate.device == static_cast<int>(device); });
}

}  // namespace

/// Destroyed from the last to the first: who looks on before what is looked at.
struct LiveDay::Running {
  std::unique_ptr<drivers::Capture> capture;
  double began = 0.0;  // session time
  std::vector<pitch::AnalysedThrow> before;
  std::unique_ptr<drivers::LiveView> view;
  std::unique_ptr<drivers::LiveThrows> throws;
};

LiveDay::LiveDay(QObject* parent) : QObject(parent) {
  watch_.setInterval(250);
  connect(&watch_, &QTimer::timeout, this, &LiveDay::watch);
}

LiveDay::~LiveDay() {
  // What is handed over after this is dropped with the object; a recording that still runs is
  // ended well by what holds it.
  if (worker_.joinable()) worker_.join();
}

void LiveDay::begin(const RecordingOrder& order, const fs::path& file) {
  if (phase_ != Phase::idle) return;
  file_ = file;
  throws_.clear();
  start([this, order, file]() -> Result<std::unique_ptr<Running>> {
    const auto station = drivers::read_station(order.lab.station());
    if (!station) return tl::make_unexpected(station.error());
    auto session = drivers::recording_session(*station, facts_of(order), file);
    if (!session) return tl::make_unexpected(session.error());
    // Before the file itself: a crash in between leaves a mark without a session, which is nothing.
    set_recording_mark(file);
    auto running =
        put_together(drivers::Capture::begin(*station, std::move(*session), file, marked()));
    if (!running) clear_recording_mark(file);
    return running;
  });
}

void LiveDay::go_on(const LabFolder& lab, const fs::path& file) {
  if (phase_ != Phase::idle) return;
  file_ = file;
  throws_.clear();
  start([this, lab, file]() -> Result<std::unique_ptr<Running>> {
    const auto station = drivers::read_station(lab.station());
    if (!station) return tl::make_unexpected(station.error());
    std::vector<pitch::AnalysedThrow> before;
    {
      const auto reader = session::Reader::open(file);
      if (!reader) return tl::make_unexpected(reader.error());
      // Too short to hold a throw is no reason not to go on.
      if (auto analysis = pitch::analyse(*reader, {})) before = std::move(analysis->throws);
    }
    auto running = put_together(drivers::Capture::resume(*station, file, marked()));
    if (running) (*running)->before = std::move(before);
    return running;
  });
}

void LiveDay::start(std::function<Result<std::unique_ptr<Running>>()> make) {
  set_phase(Phase::starting);
  worker_ = std::jthread([this, make = std::move(make)] {
    auto made = std::make_shared<Result<std::unique_ptr<Running>>>(make());
    QMetaObject::invokeMethod(
        this, [this, made] { take_running(*made); }, Qt::QueuedConnection);
  });
}

Result<std::unique_ptr<LiveDay::Running>> LiveDay::put_together(
    Result<std::unique_ptr<drivers::Capture>> capture) {
  if (!capture) return tl::make_unexpected(capture.error());
  auto running = std::make_unique<Running>();
  running->capture = std::move(*capture);
  running->began = seconds(running->capture->now());
  auto view = drivers::LiveView::begin(*running->capture);
  if (!view) return tl::make_unexpected(view.error());
  running->view = std::move(*view);
  running->throws = std::make_unique<drivers::LiveThrows>(
      *running->capture, drivers::LiveSettings{},
      [this](const drivers::LiveThrow& found) {
        QMetaObject::invokeMethod(
            this, [this, found] { take_throw(found); }, Qt::QueuedConnection);
      },
      [this](const Error& error) {
        QMetaObject::invokeMethod(
            this,
            [this, words = QString::fromStdString(error.sentence())] { Q_EMIT failed(words); },
            Qt::QueuedConnection);
      });
  running->throws->start();
  return running;
}

void LiveDay::take_running(Result<std::unique_ptr<Running>>& made) {
  worker_.join();
  if (!made) {
    file_.clear();
    set_phase(Phase::idle);
    Q_EMIT failed(QString::fromStdString(made.error().sentence()));
    return;
  }
  running_ = std::move(*made);
  throws_ = std::move(running_->before);
  doubted_.clear();
  losses_ = 0;
  watch_.start();
  set_phase(Phase::recording);
  Q_EMIT begun();
}

void LiveDay::take_throw(const drivers::LiveThrow& found) {
  throws_.push_back(found.thrown);
  throws_.back().number = static_cast<int>(throws_.size());
  Q_EMIT throw_found(throws_.back().number);
  for (const session::ResultFlag& flag : found.thrown.flags)
    if (flag.key == definitions::entry(definitions::Flag::heavier_than_stated).key ||
        flag.key == definitions::entry(definitions::Flag::counter_disagrees).key)
      doubt(flag);
}

void LiveDay::end() {
  if (phase_ != Phase::recording) return;
  watch_.stop();
  Q_EMIT ending();
  set_phase(Phase::ending);
  worker_ = std::jthread(
      [this, file = file_, running = std::shared_ptr<Running>(std::move(running_))]() mutable {
        auto end = std::make_shared<RecordingEnd>();
        end->file = file;
        const auto closed = running->capture->end();
        // A landing that still waits for its window is measured, and handed over before the end is.
        running->throws->stop();
        const drivers::RecorderState state = running->capture->recorder();
        end->file = state.path;
        end->taken_away = !state.losses.empty();
        for (const std::int64_t rows : state.rows) end->samples += rows;
        end->readings = state.readings;
        for (const auto& device : running->capture->devices())
          end->lost += device->health().missing_rows;
        if (!closed)
          end->problem = closed.error().sentence();
        else if (state.end == drivers::RecorderEnd::disk_full ||
                 state.end == drivers::RecorderEnd::write_failed)
          end->problem = state.message;
        else if (!state.losses.empty())
          end->problem = drivers::words_at_end(state.losses.back());
        if (closed && state.end == drivers::RecorderEnd::asked) clear_recording_mark(state.path);
        running.reset();
        QMetaObject::invokeMethod(
            this,
            [this, end] {
              worker_.join();
              file_.clear();
              set_phase(Phase::idle);
              Q_EMIT ended(*end);
            },
            Qt::QueuedConnection);
      });
}

void LiveDay::doubt(const session::ResultFlag& flag) {
  if (doubted_.insert(flag.key).second) Q_EMIT doubted(QString::fromStdString(said(flag)));
}

void LiveDay::go_on_in(const drivers::LostFile& lost) {
  file_ = lost.goes_on_in;
  const auto found = static_cast<int>(throws_.size());
  throws_.clear();
  Q_EMIT went_on(QString::fromStdString(lost.words), found, lost.loss == session::FileLoss::moved);
}

void LiveDay::watch() {
  // Before the first throw too: with a wrong mass there may never be one.
  if (const auto heavy = drivers::doubt_of_mass(running_->view->snapshot(drivers::mass_look),
                                                running_->capture->session()))
    doubt(*heavy);
  const drivers::RecorderState state = running_->capture->recorder();
  for (; losses_ < state.losses.size() && !state.losses[losses_].goes_on_in.empty(); ++losses_)
    go_on_in(state.losses[losses_]);
  if (state.end != drivers::RecorderEnd::running || running_->capture->finished()) end();
}

void LiveDay::set_phase(Phase phase) {
  phase_ = phase;
  Q_EMIT phase_changed();
}

const session::Session* LiveDay::session() const {
  return running_ ? &running_->capture->session() : nullptr;
}

double LiveDay::elapsed() const {
  return running_ ? seconds(running_->capture->now()) - running_->began : 0.0;
}

std::vector<DeviceLamp> LiveDay::lamps() const {
  std::vector<DeviceLamp> lamps;
  if (!running_) return lamps;
  const drivers::Capture& capture = *running_->capture;
  const drivers::LiveSnapshot view = running_->view->snapshot(0.0);
  for (std::size_t d = 0; d < capture.devices().size(); ++d) {
    const drivers::SampledDevice& device = *capture.devices()[d];
    DeviceSight sight =
        sight_of(device.name(), true, device.health(), device.last_failure(), elapsed());
    for (std::size_t p = 0; p < capture.session().plates.size() && p < view.plates.size(); ++p)
      if (capture.session().plates[p].device == static_cast<int>(d) && !view.plates[p].zeroed) {
        sight.zeroed = false;
        sight.not_zeroed = session::plate_name(capture.session(), p);
      }
    if (plates_on(capture.session(), d) < 2) sight.not_zeroed.clear();
    lamps.push_back(lamp_of(sight));
  }
  for (const drivers::RecordedEvents& events : capture.events()) {
    const drivers::EventDevice& device = *events.device;
    DeviceSight sight =
        sight_of(device.name(), false, device.health(), device.last_failure(), elapsed());
    sight.kind = device.kind();
    lamps.push_back(lamp_of(sight));
  }
  return lamps;
}

std::int64_t LiveDay::lost_samples() const {
  std::int64_t lost = 0;
  if (running_)
    for (const auto& device : running_->capture->devices()) lost += device->health().missing_rows;
  return lost;
}

std::string LiveDay::warning() const {
  if (!running_) return {};
  if (std::string message = running_->capture->recorder().message; !message.empty()) return message;
  const auto& aside = running_->capture->set_aside();
  return aside ? session::set_aside_words(*aside) : std::string();
}

drivers::LiveFeet LiveDay::feet(double span) const {
  return running_ ? drivers::feet_of(running_->view->snapshot(span)) : drivers::LiveFeet{};
}

void LiveDay::zero_display() {
  if (running_) running_->view->tare();
}

}  // namespace moundwork::desk
