// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/recording_bar.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QPushButton>
#include <QSignalBlocker>
#include <QStyle>
#include <cmath>
#include <filesystem>
#include <system_error>

#include "app/desk/look/words_label.h"

namespace moundwork::desk {
namespace {

QString clock_text(double time) {
  const int whole = static_cast<int>(time);
  return QStringLiteral("%1:%2:%3")
      .arg(whole / 3600)
      .arg(whole / 60 % 60, 2, 10, QChar(u'0'))
      .arg(whole % 60, 2, 10, QChar(u'0'));
}

/// Bytes that a second of this session takes on the disk: samples as 32-bit numbers.
double bytes_a_second(const session::Session& session) {
  double bytes = 0.0;
  for (const session::Device& device : session.devices)
    bytes += device.sample_rate * 4.0 * static_cast<double>(device.channels.size());
  return bytes;
}

QString room_text(const std::filesystem::path& file, const session::Session& session) {
  std::error_code error;
  const std::filesystem::space_info space = std::filesystem::space(file.parent_path(), error);
  const double rate = bytes_a_second(session);
  if (error || !(rate > 0.0)) return {};
  const double hours = static_cast<double>(space.available) / rate / 3600.0;
  return hours >= 1.0 ? QStringLiteral("room for %1 h").arg(std::floor(hours))
                      : QStringLiteral("room for %1 min").arg(std::floor(60.0 * hours));
}

void mark(QLabel& label, bool caution) {
  if (label.property("caution").toBool() == caution) return;
  label.setProperty("caution", caution);
  label.style()->unpolish(&label);
  label.style()->polish(&label);
}

}  // namespace

RecordingBar::RecordingBar(DeskState& state, QWidget* parent)
    : QWidget(parent),
      state_(state),
      athlete_(new QComboBox(this)),
      start_(new QPushButton(this)),
      practise_(new QPushButton(QStringLiteral("Practise with &virtual instruments"), this)),
      zero_(new QPushButton(QStringLiteral("Zero the display (Z)"), this)),
      ready_(new WordsLabel(this)),
      elapsed_(new WordsLabel(this)),
      lost_(new WordsLabel(this)),
      disk_(new WordsLabel(this)),
      load_(new WordsLabel(this)) {
  auto* row = new QHBoxLayout(this);
  row->setContentsMargins(0, 0, 0, 0);
  row->setSpacing(10);
  auto* whose = new WordsLabel(QStringLiteral("&Athlete"), this);
  whose->setBuddy(athlete_);
  athlete_->setMinimumContentsLength(18);
  athlete_->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
  QFont strong = start_->font();
  strong.setBold(true);
  start_->setFont(strong);
  row->addWidget(whose);
  row->addWidget(athlete_);
  row->addWidget(start_);
  row->addWidget(ready_);
  row->addWidget(practise_);
  for (QLabel* label : {elapsed_, lost_, disk_}) row->addWidget(label);
  row->addStretch(1);
  row->addWidget(load_);
  row->addWidget(zero_);
  ready_->setObjectName(QStringLiteral("ready"));
  mark(*ready_, true);
  zero_->setToolTip(
      QStringLiteral("Takes what the plates carry now as zero on this screen. Step off first. "
                     "What is recorded stays as it is."));
  connect(start_, &QPushButton::clicked, this, &RecordingBar::start_or_end);
  connect(practise_, &QPushButton::clicked, this, &RecordingBar::practise);
  connect(zero_, &QPushButton::clicked, this, &RecordingBar::zero);
  connect(athlete_, &QComboBox::activated, this, [this](int index) {
    state_.choose_athlete(athlete_->itemData(index).toString().toStdString());
  });
  connect(&state_, &DeskState::roster_changed, this, &RecordingBar::show_athletes);
  connect(&state_, &DeskState::athlete_changed, this, &RecordingBar::show_athletes);
  show_athletes();
}

void RecordingBar::show_athletes() {
  const QSignalBlocker quiet(athlete_);
  athlete_->clear();
  const std::string day = today(state_.lab());
  for (const RosterAthlete& athlete : state_.roster())
    athlete_->addItem(consent_missing(athlete, day).empty()
                          ? shown_name(athlete)
                          : QStringLiteral("%1 (no consent)").arg(shown_name(athlete)),
                      QString::fromStdString(athlete.id));
  athlete_->setPlaceholderText(state_.roster().empty() ? QStringLiteral("nobody in the roster")
                                                       : QStringLiteral("whose turn?"));
  const RosterAthlete* chosen = state_.athlete();
  athlete_->setCurrentIndex(
      chosen == nullptr ? -1 : athlete_->findData(QString::fromStdString(chosen->id)));
}

void RecordingBar::show_status(const LiveDay& day, bool preparing) {
  const bool idle = day.phase() == LiveDay::Phase::idle;
  const bool recording = day.phase() == LiveDay::Phase::recording;
  start_->setText(recording ? QStringLiteral("■ End recording (F9)")
                            : QStringLiteral("● Start recording (F9)"));
  start_->setEnabled((idle && !preparing) || recording);
  athlete_->setEnabled(idle);
  zero_->setEnabled(recording);
  practise_->setVisible(idle && state_.roster().empty());
  practise_->setEnabled(!preparing);
  ready_->setVisible(idle);
  if (idle) {
    for (QLabel* label : {elapsed_, lost_, disk_}) label->clear();
  }
  if (!recording) return;
  elapsed_->setText(clock_text(day.elapsed()));
  const std::int64_t lost = day.lost_samples();
  lost_->setText(lost == 0 ? QStringLiteral("no sample lost")
                           : QStringLiteral("%1 samples lost").arg(lost));
  disk_->setText(room_text(day.file(), *day.session()));
}

void RecordingBar::show_next(const NextAthlete& next) {
  ready_->setText(next.missing.isEmpty() ? next.without : next.missing);
  ready_->setToolTip(
      next.without.isEmpty() || !next.missing.isEmpty()
          ? QString()
          : QStringLiteral("Without it the foot's line along the rubber is an estimate, and every "
                           "heel-to-toe number says so. Weigh in on the page Prepare."));
}

void RecordingBar::show_load(const LoadWords& said) {
  load_->setText(said.words);
  load_->setToolTip(said.about);
  load_->setAccessibleDescription(said.about);
  mark(*load_, said.caution);
}

}  // namespace moundwork::desk
