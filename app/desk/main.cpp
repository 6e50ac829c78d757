// SPDX-License-Identifier: GPL-3.0-or-later
// Wiring only.
#include <sys/stat.h>

#include <QApplication>
#include <QCommandLineParser>
#include <QTimer>
#include <algorithm>
#include <array>
#include <cstdio>
#include <filesystem>
#include <string_view>
#include <vector>

#include "app/desk/pictures.h"
#include "app/desk/window.h"
#include "core/base/program_locale.h"
#include "core/base/standard_streams.h"

namespace {

/// Pictures are drawn, and help is printed, without a screen.
bool needs_no_screen(int argc, char** argv) {
  using namespace std::string_view_literals;
  static constexpr std::array words{"-h"sv, "--help"sv, "--help-all"sv, "-v"sv, "--version"sv};
  return std::any_of(argv + 1, argv + argc, [](std::string_view word) {
    return word.starts_with("--pictures") ||
           std::find(words.begin(), words.end(), word) != words.end();
  });
}

/// Without a display Qt ends the program by force.
bool has_no_screen(int argc, char** argv) {
  const bool chosen = qEnvironmentVariableIsSet("QT_QPA_PLATFORM") ||
                      std::any_of(argv + 1, argv + argc, [](std::string_view word) {
                        return word == "-platform" || word == "--platform";
                      });
  return !chosen && qEnvironmentVariableIsEmpty("DISPLAY") &&
         qEnvironmentVariableIsEmpty("WAYLAND_DISPLAY");
}

}  // namespace

int main(int argc, char** argv) {
  using namespace moundwork::desk;
  moundwork::hold_standard_streams();
  // For what libraries make on their own, pictures of pages among it; our files say who may read
  // them.
  (void)::umask(S_IRWXG | S_IRWXO);
  if (needs_no_screen(argc, argv)) qputenv("QT_QPA_PLATFORM", "offscreen");
  if (has_no_screen(argc, argv)) {
    std::fputs(
        "moundwork-desk: there is no display here; start it from a desktop, or use the "
        "command moundwork.\n",
        stderr);
    return 1;
  }
  QApplication application(argc, argv);
  moundwork::keep_program_locale();
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
  // Pictures are taken with choices of their own, which nobody made for the next start.
  DeskState state(preferences,
                  parser.isSet(pictures) ? DeskState::Keep::nothing : DeskState::Keep::choices);
  apply_look(application, state.look());
  Window window(state);
  std::vector<std::filesystem::path> paths;
  for (const QString& path : parser.positionalArguments()) paths.emplace_back(path.toStdString());
  const auto open_paths = [&]() -> moundwork::Result<void> {
    if (!paths.empty()) return window.open_given(paths);
    window.reopen_last();
    return {};
  };
  if (parser.isSet(pictures)) {
    auto done = open_paths();
    if (done) done = save_pictures(window, parser.value(pictures), parser.value(size));
    if (done) return 0;
    std::fprintf(stderr, "moundwork-desk: %s\n", done.error().sentence().c_str());
    return 1;
  }
  window.show();
  // The window stands before anything is read.
  QTimer::singleShot(0, &window, [&] { (void)open_paths(); });
  return QApplication::exec();
}
