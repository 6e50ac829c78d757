// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/choices.h"

#include <QActionGroup>
#include <QInputDialog>
#include <QMenuBar>
#include <array>

namespace moundwork::desk {
namespace {

/// One choice of several: a group of marked lines.
template <class Choice, std::size_t count>
void add_choice(QMenu& menu, DeskState& state, QWidget* window, const QString& title,
                Choice Preferences::*member,
                const std::array<std::pair<Choice, QString>, count>& choices) {
  menu.addSection(title);
  auto* group = new QActionGroup(window);
  for (const auto& [choice, text] : choices) {
    QAction* action = menu.addAction(text);
    action->setCheckable(true);
    action->setChecked(state.preferences().*member == choice);
    group->addAction(action);
    QObject::connect(action, &QAction::triggered, window, [&state, member, choice = choice] {
      Preferences preferences = state.preferences();
      preferences.*member = choice;
      state.set_preferences(preferences);
    });
  }
}

}  // namespace

void make_choices_menu(QMenuBar& bar, DeskState& state, QWidget* window) {
  QMenu* menu = bar.addMenu(QStringLiteral("&Settings"));
  add_choice(
      *menu, state, window, QStringLiteral("Ball speed in"), &Preferences::speed,
      std::array{std::pair{SpeedUnit::metre_per_second, unit_text(SpeedUnit::metre_per_second)},
                 std::pair{SpeedUnit::kilometre_per_hour, unit_text(SpeedUnit::kilometre_per_hour)},
                 std::pair{SpeedUnit::mile_per_hour, unit_text(SpeedUnit::mile_per_hour)}});
  add_choice(*menu, state, window, QStringLiteral("Forces in"), &Preferences::force,
             std::array{std::pair{ForceUnit::body_weight, QStringLiteral("body weights")},
                        std::pair{ForceUnit::newton, QStringLiteral("newtons")}});
  add_choice(*menu, state, window, QStringLiteral("Look"), &Preferences::theme,
             std::array{std::pair{Theme::system, QStringLiteral("as the system")},
                        std::pair{Theme::light, QStringLiteral("light")},
                        std::pair{Theme::dark, QStringLiteral("dark")}});
  menu->addSeparator();
  menu->addAction(QStringLiteral("Who signs &edits…"), window, [&state, window] {
    bool given = false;
    const QString name = QInputDialog::getText(
        window, QStringLiteral("Who signs edits"),
        QStringLiteral("Your name or initials, stored with every change you make:"),
        QLineEdit::Normal, state.preferences().person, &given);
    if (!given) return;
    Preferences preferences = state.preferences();
    preferences.person = name.trimmed();
    state.set_preferences(preferences);
  });
}

}  // namespace moundwork::desk
