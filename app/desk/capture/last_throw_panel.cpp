// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/last_throw_panel.h"

#include <QGridLayout>
#include <QHBoxLayout>
#include <QVBoxLayout>

#include "app/desk/capture/throw_list.h"
#include "app/desk/look/words_label.h"

namespace moundwork::desk {
namespace {

using definitions::Quantity;

struct Shown {
  Quantity quantity;
  const char* words;
};
constexpr std::array<Shown, 5> shown{{{Quantity::heel_toe_at_drive_peak, "Heel to toe, drive peak"},
                                      {Quantity::drive_peak_force, "Drive peak"},
                                      {Quantity::vertical_peak_force, "Landing peak"},
                                      {Quantity::braking_impulse, "Braking impulse"},
                                      {Quantity::braking_timing, "Braking peak to release"}}};

QLabel* label(QWidget* parent, const QString& text, double size, bool bold) {
  auto* made = new WordsLabel(text, parent);
  QFont font = made->font();
  font.setPointSizeF(font.pointSizeF() * size);
  font.setBold(bold);
  made->setFont(font);
  return made;
}

}  // namespace

LastThrowPanel::LastThrowPanel(QWidget* parent)
    : QWidget(parent),
      which_(label(this, {}, 1.0, false)),
      speed_(label(this, {}, 3.8, true)),
      next_(label(this, {}, 1.8, true)),
      speed_words_(label(this, {}, 1.0, false)) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(1);
  which_->setProperty("secondary", true);
  speed_words_->setProperty("secondary", true);
  speed_words_->setWordWrap(true);
  speed_->setAccessibleName(QStringLiteral("Ball speed"));
  auto* top = new QHBoxLayout;
  auto* beside = new QVBoxLayout;
  beside->setSpacing(1);
  beside->addStretch(1);
  beside->addWidget(which_);
  beside->addWidget(speed_words_);
  beside->addStretch(1);
  top->addWidget(speed_);
  next_->setWordWrap(true);
  next_->setObjectName(QStringLiteral("next_athlete"));
  top->addWidget(next_, 1);
  top->addSpacing(8);
  top->addLayout(beside, 1);
  column->addLayout(top);
  auto* grid = new QGridLayout;
  grid->setVerticalSpacing(1);
  grid->setHorizontalSpacing(10);
  for (std::size_t i = 0; i < count; ++i) {
    auto* name = new WordsLabel(QString::fromUtf8(shown[i].words), this);
    name->setProperty("secondary", true);
    values_[i] = label(this, {}, 1.1, true);
    values_[i]->setAccessibleName(name->text());
    grid->addWidget(name, static_cast<int>(i), 0);
    grid->addWidget(values_[i], static_cast<int>(i), 1);
  }
  grid->setColumnStretch(1, 1);
  column->addLayout(grid);
  show_throw(nullptr, {}, 80.0);
}

void LastThrowPanel::show_throw(const session::ResultThrow* thrown, const Preferences& preferences,
                                double mass) {
  next_->hide();
  speed_->show();
  if (thrown == nullptr) {
    which_->setText(QStringLiteral("No throw yet"));
    speed_->setText(QStringLiteral("– ") + unit_text(preferences.speed));
    speed_words_->setText(QStringLiteral("ball speed"));
    for (QLabel* value : values_) value->setText(QStringLiteral("–"));
    return;
  }
  which_->setText(QStringLiteral("Throw %1").arg(thrown->number));
  const Measured speed = measured_of(*thrown, Quantity::ball_speed);
  if (speed.known()) {
    const double factor = in_unit(1.0, preferences.speed);
    speed_->setText(QStringLiteral("%1 %2")
                        .arg(speed.value * factor, 0, 'f', 1)
                        .arg(unit_text(preferences.speed)));
    speed_words_->setText(QStringLiteral("ball speed ± %1").arg(speed.u * factor, 0, 'f', 1));
  } else {
    speed_->setText(QStringLiteral("– ") + unit_text(preferences.speed));
    speed_words_->setText(QStringLiteral("no ball speed: no radar reading fits this throw"));
  }
  for (std::size_t i = 0; i < count; ++i)
    values_[i]->setText(number_words(*thrown, shown[i].quantity, preferences, mass));
}

void LastThrowPanel::show_next(const NextAthlete& next) {
  const bool chosen = !next.name.isEmpty();
  speed_->hide();
  next_->show();
  next_->setText(chosen ? next.name : QStringLiteral("Whose turn?"));
  which_->setText(chosen ? QStringLiteral("throws next") : QString());
  if (!chosen)
    speed_words_->setText(QStringLiteral("Choose an athlete above."));
  else if (!next.missing.isEmpty())
    speed_words_->setText(next.missing);
  else if (!next.without.isEmpty())
    speed_words_->setText(next.without);
  else
    speed_words_->setText(QStringLiteral("Ready: start the recording (F9)."));
  for (QLabel* value : values_) value->setText(QStringLiteral("–"));
}

}  // namespace moundwork::desk
