// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/pictures.h"

#include <QCoreApplication>
#include <QDir>
#include <QElapsedTimer>
#include <QPixmap>

namespace moundwork::desk {
namespace {

constexpr int settle_ms = 300;  // timers of plots and of work that follows work
constexpr int busy_ms = 40;     // a round of events that takes longer did something
constexpr int longest_work_ms = 120000;

void let_settle(Window& window) {
  QElapsedTimer total, idle, round;
  total.start();
  idle.start();
  while (idle.elapsed() < settle_ms && total.elapsed() < longest_work_ms) {
    round.start();
    QCoreApplication::processEvents(QEventLoop::AllEvents, 20);
    if (!window.jobs().running().empty() || round.elapsed() > busy_ms) idle.restart();
  }
}

}  // namespace

Result<void> save_pictures(Window& window, const QString& folder, const QString& size) {
  const QStringList sides = size.split(u'x');
  bool wide = false, high = false;
  const int width = sides.value(0).toInt(&wide), height = sides.value(1).toInt(&high);
  if (sides.size() != 2 || !wide || !high || width < 320 || height < 240 || width > 16384 ||
      height > 16384)
    return fail("--size", "'" + size.toStdString() + "' is not a size of a window",
                "write it as 1366x768");
  if (!QDir().mkpath(folder))
    return fail(folder.toStdString(), "cannot be made", "choose a folder where you may write");
  window.resize(width, height);
  window.show();
  for (int i = 0; i < day_page_count; ++i) {
    const auto page = static_cast<DayPage>(i);
    window.go_to(page);
    let_settle(window);
    const QString file = QStringLiteral("%1/%2-%3.png")
                             .arg(folder)
                             .arg(i + 1)
                             .arg(window.page(page).title().toLower());
    if (!window.grab().save(file))
      return fail(file.toStdString(), "could not be written", "look at the folder's rights");
  }
  return {};
}

}  // namespace moundwork::desk
