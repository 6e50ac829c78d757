// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/air_dialog.h"

#include <QComboBox>
#include <QDialog>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QLineEdit>
#include <QVBoxLayout>
#include <algorithm>

#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/state/air.h"

namespace moundwork::desk {
namespace {

QLineEdit* field(QFormLayout& form, const QString& title, const QString& known) {
  auto* typed = new QLineEdit(known);
  typed->setPlaceholderText(QStringLiteral("not known"));
  typed->setMaxLength(12);
  form.addRow(title, typed);
  return typed;
}

}  // namespace

Result<void> ask_air(DeskState& state, QWidget* parent) {
  const std::string day = today(state.lab());
  const TypedAir known = typed_air(air_of_day(state.lab(), day), state.preferences().temperature);
  QDialog dialog(parent);
  dialog.setWindowTitle(QStringLiteral("Air of the day"));
  auto* column = new QVBoxLayout(&dialog);
  auto* form = new QFormLayout;
  column->addLayout(form);
  auto* unit = new QComboBox(&dialog);
  unit->addItems({QStringLiteral("°C"), QStringLiteral("°F")});
  unit->setCurrentIndex(static_cast<int>(known.unit));
  unit->setAccessibleName(QStringLiteral("Unit of the temperature"));
  auto* temperature = field(*form, QStringLiteral("&Temperature"), known.temperature);
  form->addRow(QStringLiteral("Temperature &in"), unit);
  auto* pressure = field(*form, QStringLiteral("&Pressure here, not reduced to sea level (hPa)"),
                         known.pressure);
  auto* humidity = field(*form, QStringLiteral("Relative &humidity (%)"), known.humidity);
  auto* why =
      new WordsLabel(QStringLiteral("The ball slows less in thin, warm air. Without these the "
                                    "usual air is assumed, and each throw says so."),
                     &dialog);
  why->setWordWrap(true);
  column->addWidget(why);
  auto* remark = new Notice(&dialog);
  remark->setWordWrap(true);
  column->addWidget(remark);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel, &dialog);
  column->addWidget(buttons);
  // Lines that wrap ask for height only once the width is known.
  const auto make_room = [&] {
    constexpr int least = 460;
    const int width = std::max({dialog.width(), least, column->sizeHint().width()});
    dialog.resize(width, std::max(dialog.height(), column->totalHeightForWidth(width)));
  };
  session::Conditions air;
  const auto chosen = [unit] { return static_cast<TemperatureUnit>(unit->currentIndex()); };
  QObject::connect(unit, &QComboBox::currentIndexChanged, &dialog, [&] {
    // What stood there is shown in the other unit; what somebody typed is what they mean.
    if (!temperature->isModified())
      temperature->setText(typed_air(air_of_day(state.lab(), day), chosen()).temperature);
  });
  QObject::connect(buttons, &QDialogButtonBox::accepted, &dialog, [&] {
    const auto read = read_air({temperature->text(), chosen(), pressure->text(), humidity->text()});
    if (!read) {
      remark->report(read.error());
      return make_room();
    }
    air = *read;
    dialog.accept();
  });
  QObject::connect(buttons, &QDialogButtonBox::rejected, &dialog, &QDialog::reject);
  dialog.resize(0, 0);
  make_room();
  if (dialog.exec() != QDialog::Accepted) return {};
  if (Preferences preferences = state.preferences(); preferences.temperature != chosen()) {
    preferences.temperature = chosen();
    state.set_preferences(preferences);
  }
  return keep_air(state.lab(), day, air);
}

}  // namespace moundwork::desk
