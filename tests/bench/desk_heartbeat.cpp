// SPDX-License-Identifier: GPL-3.0-or-later
// How long the window's thread is held while two plates of eight channels, a microphone and a radar
// are recorded, drawn and measured, and how its memory grows. Virtual instruments, no screen.
//   desk_heartbeat [SECONDS [SPEED [RATE [THROWS]]]]
// SECONDS of session with THROWS are played at SPEED times their own pace, plates at RATE Hz. Run
// it alone, or with real-time priority beside other work (chrt -f 10). Memory of an hour:
//   desk_heartbeat 3600 8 1000 60
// where the 60 s that are kept for measuring throws are 480 s of session.
#include <fmt/format.h>
#include <malloc.h>
#include <unistd.h>

#include <QApplication>
#include <QElapsedTimer>
#include <QKeyEvent>
#include <QTemporaryDir>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <thread>

#include "app/desk/capture/sweep_traces.h"
#include "app/desk/capture/throw_list.h"
#include "app/desk/capture/throw_page.h"
#include "app/desk/window.h"
#include "core/model/day.h"
#include "core/session/reader.h"
#include "desk/support/heartbeat.h"
#include "drivers/virtual/player.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

/// Resident memory of this process, MB.
double resident() {
  std::ifstream file("/proc/self/statm");
  long all = 0, in_memory = 0;
  file >> all >> in_memory;
  return static_cast<double>(in_memory) * static_cast<double>(sysconf(_SC_PAGESIZE)) / 1e6;
}

/// Of it, what the program asked for and has not given back; the rest is the allocator's.
double asked_for() {
  const struct mallinfo2 all = mallinfo2();
  return static_cast<double>(all.uordblks + all.hblkhd) / 1e6;
}

class PaintCount : public QObject {
 public:
  int count = 0;
  bool eventFilter(QObject*, QEvent* event) override {
    if (event->type() == QEvent::Paint) ++count;
    return false;
  }
};

[[noreturn]] void stop(const std::string& sentence) {
  std::fprintf(stderr, "desk_heartbeat: %s\n", sentence.c_str());
  std::exit(1);
}

template <class T>
T needed(Result<T> result) {
  if (!result) stop(result.error().sentence());
  return std::move(*result);
}

void run_until(const std::function<bool()>& holds, double longest) {
  QElapsedTimer since;
  since.start();
  while (!holds()) {
    QCoreApplication::processEvents(QEventLoop::WaitForMoreEvents);  // the heart beats on
    if (static_cast<double>(since.elapsed()) > 1e3 * longest) stop("waited too long");
  }
}

void key(QWidget* to, int code, const QString& text) {
  for (const auto type : {QEvent::KeyPress, QEvent::KeyRelease})
    QCoreApplication::postEvent(to, new QKeyEvent(type, code, Qt::NoModifier, text));
}

}  // namespace

int main(int argc, char** argv) {
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  QCoreApplication::setOrganizationName(QStringLiteral("moundwork-bench"));
  QApplication application(argc, argv);
  const double length = argc > 1 ? std::atof(argv[1]) : 60.0;
  const double speed = argc > 2 ? std::atof(argv[2]) : 1.0;
  const double rate = argc > 3 ? std::atof(argv[3]) : 2000.0;

  const QTemporaryDir temporary;
  const std::filesystem::path folder = temporary.path().toStdString();
  model::SessionSettings settings;
  settings.performance.duration = length;
  settings.performance.pitches =
      argc > 4 ? std::atoi(argv[4]) : std::max(1, static_cast<int>(length / 15.0));
  settings.station.rate = rate;
  settings.station.plate_type = plate::PlateType::eight_component;
  settings.station.lost_blocks_per_hour = 0.0;
  settings.compression = 0;
  (void)needed(model::simulate_session(folder / "made.h5", settings));

  Preferences preferences;
  preferences.lab = folder / "lab";
  DeskState state(preferences);
  Window window(state);
  window.resize(1366, 768);
  window.show();
  if (auto opened = state.open_lab(preferences.lab); !opened) stop(opened.error().sentence());
  auto player = needed(drivers::Player::open(folder / "made.h5", preferences.lab, {speed, 0.0}));
  RosterAthlete athlete;
  athlete.id = player.session().athlete.id;
  athlete.throws = player.session().athlete.throws;
  athlete.mass = player.session().athlete.mass.value;
  athlete.consent = athlete.guardian_consent = "2026-01-01";
  if (auto kept = state.set_roster({athlete}); !kept) stop(kept.error().sentence());
  state.choose_athlete(athlete.id);
  window.go_to(DayPage::throws);
  auto& page = static_cast<ThrowPage&>(window.page(DayPage::throws));
  PaintCount paints;
  page.findChild<SweepTraces*>()->installEventFilter(&paints);
  support::Heartbeat heart;
  page.start_or_end();
  run_until([&] { return page.day().phase() == LiveDay::Phase::recording; }, 20.0);

  std::atomic<bool> over{false};
  std::jthread playing([&](const std::stop_token& asked) {
    const auto begun = std::chrono::steady_clock::now();
    while (!asked.stop_requested()) {
      const auto more = player.play_until(std::chrono::steady_clock::now() - begun);
      if (!more || !*more) break;
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    over = true;
  });
  QElapsedTimer since;
  since.start();
  paints.count = 0;
  int noted = 0;
  double next_word = 10.0;
  const double whole = length / speed;
  fmt::print("{:>8} {:>8} {:>9} {:>10} {:>10} {:>8} {:>6}\n", "time s", "RSS MB", "in use MB",
             "longest ms", "99.9 % ms", "frames/s", "lost");
  const auto word = [&] {
    const double time = static_cast<double>(since.elapsed()) * 1e-3;
    fmt::print("{:8.1f} {:8.1f} {:9.1f} {:10.1f} {:10.1f} {:8.1f} {:6}\n", time, resident(),
               asked_for(), heart.longest(), heart.quantile(0.999), paints.count / time,
               page.day().lost_samples());
    std::fflush(stdout);
  };
  run_until(
      [&] {
        if (page.throws().rowCount() > noted) {
          // As a coach would: the pitch, and where it missed.
          noted = page.throws().rowCount();
          key(QApplication::focusWidget(), Qt::Key_F, QStringLiteral("f"));
          key(QApplication::focusWidget(), Qt::Key_3, QStringLiteral("3"));
        }
        if (static_cast<double>(since.elapsed()) * 1e-3 > next_word) {
          word();
          next_word += whole / 20.0;
        }
        return over.load();
      },
      2.0 * whole + 60.0);
  word();
  const std::size_t edits = state.session() == nullptr ? 0 : state.session()->edits().size();
  page.start_or_end();
  run_until(
      [&] { return page.day().phase() == LiveDay::Phase::idle && window.jobs().running().empty(); },
      whole + 120.0);
  heart.stop();
  const auto made = needed(session::Reader::open(folder / "made.h5"));
  const auto taken = needed(session::Reader::open(state.session()->path()));
  std::int64_t sent = 0, written = 0;
  for (std::size_t d = 0; d < made.session().devices.size(); ++d) {
    sent += made.sample_count(static_cast<int>(d));
    written += taken.sample_count(static_cast<int>(d));
  }
  fmt::print(
      "whole, with the analysis after it: longest hold {:.1f} ms, 99.9 % within {:.1f} ms, {} "
      "beats, RSS {:.1f} MB\n{} samples sent, {} in the file; {} throws, {} notes\n",
      heart.longest(), heart.quantile(0.999), heart.beats(), resident(), sent, written,
      page.throws().rowCount(), edits);
  return sent == written ? 0 : 1;
}
