// SPDX-License-Identifier: GPL-3.0-or-later
// How soon the window stands, and how soon a session's first trace is on it, from the start of the
// process: desk_start SESSION.h5
#include <unistd.h>

#include <QApplication>
#include <QElapsedTimer>
#include <cstdio>
#include <ctime>
#include <fstream>
#include <string>

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
  return strip->graphCount() > 0 ? 0 : 1;
}
