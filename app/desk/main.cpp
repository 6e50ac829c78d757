// SPDX-License-Identifier: GPL-3.0-or-later
// Wiring only.
#include <QApplication>
#include <QCommandLineParser>
#include <QTimer>
#include <cstdio>
#include <string_view>

#include "app/desk/pictures.h"
#include "app/desk/window.h"
#include "core/base/standard_streams.h"

int main(int argc, char** argv) {
  using namespace moundwork::desk;
  moundwork::hold_standard_streams();
  // Pictures need no screen.
  for (int i = 1; i < argc; ++i)
    if (std::string_view(argv[i]).starts_with("--pictures"))
      qputenv("QT_QPA_PLATFORM", "offscreen");
  QApplication application(argc, argv);
  QApplication::setApplicationName(QStringLiteral("moundwork-desk"));
  QApplication::setApplicationVersion(QStringLiteral(MOUNDWORK_VERSION));

  QCommandLineParser parser;
  parser.setApplicationDescription(
      QStringLiteral("Moundwork's window: the lab's assessment day on one desk."));
  parser.addHelpOption();
  parser.addVersionOption();
  parser.addPositionalArgument(QStringLiteral("path"),
                               QStringLiteral("A lab folder or a session file"),
                               QStringLiteral("[path...]"));
  const QCommandLineOption pictures(QStringLiteral("pictures"),
                                    QStringLiteral("Save a picture of each page and end."),
                                    QStringLiteral("folder"));
  const QCommandLineOption size(QStringLiteral("size"),
                                QStringLiteral("Size of the window for pictures."),
                                QStringLiteral("WxH"), QStringLiteral("1366x768"));
  const QCommandLineOption dark(QStringLiteral("dark"), QStringLiteral("Dark pictures."));
  parser.addOptions({pictures, size, dark});
  parser.process(application);

  Preferences preferences = load_preferences();
  if (parser.isSet(pictures)) preferences.theme = parser.isSet(dark) ? Theme::dark : Theme::light;
  DeskState state(preferences);
  apply_look(application, state.look());
  Window window(state);
  const QStringList paths = parser.positionalArguments();
  const auto open_paths = [&] {
    if (paths.isEmpty()) return window.reopen_last();
    for (const QString& path : paths) window.open(path.toStdString());
  };
  if (parser.isSet(pictures)) {
    open_paths();
    const auto saved = save_pictures(window, parser.value(pictures), parser.value(size));
    if (saved) return 0;
    std::fprintf(stderr, "moundwork-desk: %s\n", saved.error().sentence().c_str());
    return 1;
  }
  window.show();
  // The window stands before anything is read.
  QTimer::singleShot(0, &window, open_paths);
  return QApplication::exec();
}
