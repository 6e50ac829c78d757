// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/prepare_page.h"

#include <QButtonGroup>
#include <QHBoxLayout>
#include <QPushButton>
#include <QStackedWidget>
#include <algorithm>

#include "app/desk/page/notice.h"
#include "app/desk/prepare/checks_panel.h"
#include "app/desk/prepare/roster_history.h"
#include "app/desk/prepare/roster_panel.h"
#include "app/desk/prepare/station_panel.h"
#include "app/desk/prepare/weigh_in_panel.h"

namespace moundwork::desk {
namespace {

QPushButton* make_part(QWidget* page) {
  auto* button = new QPushButton(page);
  button->setCheckable(true);
  button->setAutoDefault(false);
  button->setStyleSheet(
      QStringLiteral("QPushButton { text-align: left; padding: 8px; border: 1px solid "
                     "palette(mid); border-radius: 4px; background: palette(base); outline: none; }"
                     "QPushButton:checked { background: palette(highlight); font-weight: bold; }"
                     "QPushButton:focus { border: 3px solid palette(link); padding: 6px; }"));
  button->setFixedWidth(28 * page->fontMetrics().horizontalAdvance(u'x'));
  return button;
}

/// In as many lines as the button's width asks for, in the bold type of the part at hand; a single
/// word that is wider is shortened.
QString fitting(const QString& words, const QPushButton& button) {
  QFont bold = button.font();
  bold.setBold(true);
  const QFontMetrics metrics(bold);
  constexpr int padding = 24;
  const int room = button.width() - padding;
  QStringList lines;
  for (const QString& word : words.split(u' ')) {
    const QString longer = lines.isEmpty() ? word : lines.back() + u' ' + word;
    if (!lines.isEmpty() && metrics.horizontalAdvance(longer) <= room)
      lines.back() = longer;
    else
      lines << metrics.elidedText(word, Qt::ElideRight, room);
  }
  return lines.join(u'\n');
}

}  // namespace

PreparePage::PreparePage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent),
      state_(state),
      parts_{make_part(this), make_part(this), make_part(this), make_part(this)},
      history_(new RosterHistory(state, undo_, this)),
      roster_(new RosterPanel(state, jobs, *history_, this)),
      station_(new StationPanel(state, jobs, undo_, this)),
      checks_(new ChecksPanel(state, jobs, this)),
      weigh_in_(new WeighInPanel(state, jobs, *history_, this)),
      stack_(new QStackedWidget(this)),
      unsaved_(new Notice(this)) {
  auto* row = new QHBoxLayout(this);
  row->setContentsMargins(14, 4, 14, 8);
  row->setSpacing(12);
  auto* column = new QVBoxLayout;
  column->setSpacing(6);
  row->addLayout(column);
  auto* shown = new QVBoxLayout;
  row->addLayout(shown, 1);
  shown->addWidget(unsaved_);
  shown->addWidget(stack_, 1);
  auto* group = new QButtonGroup(this);
  for (int i = 0; i < part_count; ++i) {
    group->addButton(parts_[static_cast<std::size_t>(i)], i);
    column->addWidget(parts_[static_cast<std::size_t>(i)]);
  }
  column->addStretch(1);
  for (QWidget* panel : {static_cast<QWidget*>(roster_), static_cast<QWidget*>(station_),
                         static_cast<QWidget*>(checks_), static_cast<QWidget*>(weigh_in_)})
    stack_->addWidget(panel);
  connect(group, &QButtonGroup::idClicked, this,
          [this](int part) { show_part(static_cast<Part>(part)); });
  connect(roster_, &RosterPanel::wants_practice, this, &Page::wants_practice);
  connect(roster_, &RosterPanel::wants_station, this, [this] { show_part(station); });
  connect(station_, &StationPanel::draft_changed, this, &PreparePage::show_standing);
  connect(checks_, &ChecksPanel::results_changed, this, &PreparePage::show_standing);
  connect(weigh_in_, &WeighInPanel::standing_changed, this, &PreparePage::show_standing);
  connect(&state_, &DeskState::roster_changed, this, &PreparePage::show_standing);
  connect(&state_, &DeskState::lab_changed, this, &PreparePage::show_standing);
  show_part(athletes);
}

void PreparePage::show_part(Part part) {
  stack_->setCurrentIndex(part);
  parts_[static_cast<std::size_t>(part)]->setChecked(true);
  show_standing();
}

void PreparePage::show_standing() {
  const auto say = [&](Part part, const QString& title, const QString& words) {
    QPushButton* button = parts_[static_cast<std::size_t>(part)];
    button->setText(title + u'\n' + fitting(words, *button));
    button->setToolTip(words);
  };
  const std::string day = today(state_.lab());
  const auto& roster = state_.roster();
  const auto missing = std::count_if(roster.begin(), roster.end(), [&](const RosterAthlete& a) {
    return !consent_missing(a, day).empty();
  });
  say(athletes, QStringLiteral("&Athletes"),
      !state_.lab_is_open() ? QStringLiteral("no lab is open")
      : roster.empty()      ? QStringLiteral("nobody yet")
      : missing == 0        ? QStringLiteral("%1, all agreed").arg(roster.size())
                     : QStringLiteral("%1, %2 without consent").arg(roster.size()).arg(missing));
  const StationDraft& draft = station_->draft();
  say(station, QStringLiteral("Stati&on"),
      draft.empty()    ? QStringLiteral("none yet")
      : draft.fault()  ? QStringLiteral("cannot be read")
      : !draft.saved() ? QStringLiteral("changed, not saved")
                       : QString::fromStdString(draft.station()->name));
  say(checks, QStringLiteral("Chec&ks"), checks_->standing());
  say(weigh_in, QStringLiteral("&Weigh-in"), weigh_in_->standing());
  const int part = stack_->currentIndex();
  if (station_->unsaved() && (part == checks || part == weigh_in))
    unsaved_->caution(QStringLiteral(
        "The station has changes that are not saved: what is done here uses it as it was saved."));
  else
    unsaved_->quiet();
  Q_EMIT hint_changed();
}

QString PreparePage::hint() const {
  if (!state_.lab_is_open()) return QStringLiteral("Open the lab's folder (Ctrl+Shift+O).");
  if (state_.roster().empty()) return QStringLiteral("Who throws today, and is the station ready?");
  if (station_->draft().empty()) return QStringLiteral("Describe the station next.");
  if (!station_->draft().saved()) return QStringLiteral("Save the station: it is used as saved.");
  if (state_.athlete() == nullptr) return QStringLiteral("Choose whose turn it is.");
  return QStringLiteral("Whose turn it is: weigh in, then go to Throw.");
}

QString PreparePage::busy_with() const {
  if (weigh_in_->runs()) return QStringLiteral("A weigh-in runs: end it first.");
  if (station_->unsaved())
    return QStringLiteral(
        "The station has changes that are not saved: save them, or take them "
        "back with Ctrl+Z.");
  return {};
}

}  // namespace moundwork::desk
