// SPDX-License-Identifier: GPL-3.0-or-later
// How soon the window stands, and how soon a session's first trace is on it, from the start of the
// process, and how long a change to one of three hundred athletes holds it: desk_start SESSION.h5
#include <unistd.h>

#include <QApplication>
#include <QElapsedTimer>
#include <QTemporaryDir>
#include <algorithm>
#include <cstdio>
#include <ctime>
#include <fstream>
#include <string>
#include <vector>

#include "app/desk/review/session_strip.h"
#include "app/desk/window.h"

namespace {

/// s since this process was started, to a tick of the kernel's count (10 ms).
double since_start() {
  std::ifstream file("/proc/self/stat");
  std::string text((std::istreambuf_iterator<char>(file)), {});
  // Field 22 counted from 1; the second is in parentheses and may hold spaces.
  std::size_t at = text.rfind(')') + 2;
  for (int field = 3; field < 22; ++field) at = text.find(' ', at) + 1;
  const double started = std::stod(text.substr(at)) / static_cast<double>(sysconf(_SC_CLK_TCK));
  timespec now{};
  clock_gettime(CLOCK_BOOTTIME, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec) - started;
}

// ms, the longest of five.
double roster_hold(moundwork::desk::DeskState& state) {
  std::vector<moundwork::desk::RosterAthlete> athletes(300);
  for (std::size_t i = 0; i < athletes.size(); ++i) {
    athletes[i].id = "A" + std::to_string(1000 + i);
    athletes[i].name = "Bench";
  }
  double longest = 0.0;
  for (int change = 0; change < 5; ++change) {
    athletes[7].mass = 80.0 + change;
    QElapsedTimer held;
    held.start();
    if (!state.set_roster(athletes)) return -1.0;
    QCoreApplication::processEvents();
    longest = std::max(longest, 1e-6 * static_cast<double>(held.nsecsElapsed()));
  }
  return longest;
}

}  // namespace

int main(int argc, char** argv) {
  using namespace moundwork::desk;
  if (argc != 2) {
    std::fprintf(stderr, "desk_start SESSION.h5\n");
    return 2;
  }
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  QCoreApplication::setOrganizationName(QStringLiteral("moundwork-bench"));
  QApplication application(argc, argv);
  Preferences preferences;
  preferences.last_page = DayPage::review;
  DeskState state(preferences);
  apply_look(application, state.look());
  Window window(state);
  window.show();
  while (!window.isVisible()) QCoreApplication::processEvents();
  QCoreApplication::processEvents();
  std::printf("window shown after %.2f s\n", since_start());
  QElapsedTimer opened;
  opened.start();
  window.open(argv[1]);
  const auto* strip = window.page(DayPage::review).findChild<SessionStrip*>();
  while (strip->graphCount() == 0 && opened.elapsed() < 60000)
    QCoreApplication::processEvents(QEventLoop::WaitForMoreEvents, 20);
  QCoreApplication::processEvents();
  std::printf("first trace %.2f s after opening\n", 1e-3 * static_cast<double>(opened.elapsed()));
  const bool drawn = strip->graphCount() > 0;
  const QTemporaryDir lab;
  if (!state.open_lab(lab.path().toStdString())) return 1;
  std::printf("a change to one of 300 athletes holds the window %.0f ms\n", roster_hold(state));
  return drawn ? 0 : 1;
}
