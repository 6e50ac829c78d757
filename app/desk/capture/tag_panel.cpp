// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/tag_panel.h"

#include <QCheckBox>
#include <QComboBox>
#include <QEvent>
#include <QGridLayout>
#include <QHBoxLayout>
#include <QLineEdit>
#include <QPushButton>
#include <QToolButton>
#include <QVBoxLayout>
#include <cmath>

#include "app/desk/capture/throw_tags.h"
#include "app/desk/look/words_label.h"

namespace moundwork::desk {
namespace {

QToolButton* key_button(QWidget* parent, const QString& key, const QString& words) {
  auto* button = new QToolButton(parent);
  button->setText(words.isEmpty() ? key : key + QStringLiteral("  ") + words);
  button->setCheckable(true);
  button->setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
  button->setFocusPolicy(Qt::TabFocus);
  button->setAccessibleName(words);
  return button;
}

// Long enough to think of a word; then a field counts as forgotten.
constexpr int forgotten_after_ms = 10000;

/// An arrow toward where the ball went, as the thrower sees it.
QString arrow_of(int digit) {
  static constexpr std::array arrows{"↙", "↓", "↘", "←", "•", "→", "↖", "↑", "↗"};
  return QString::fromUtf8(arrows[static_cast<std::size_t>(digit - 1)]);
}

}  // namespace

TagPanel::TagPanel(QWidget* parent)
    : QWidget(parent),
      heading_(new WordsLabel(this)),
      warm_up_(key_button(this, QStringLiteral("W"), QStringLiteral("warm-up"))),
      stretch_(key_button(this, QStringLiteral("T"), QStringLiteral("from the stretch"))),
      effort_(key_button(this, QStringLiteral("E"), QStringLiteral("effort"))),
      cue_(key_button(this, QStringLiteral("U"), QStringLiteral("cue given"))),
      cue_name_(new QLineEdit(QStringLiteral("heel"), this)),
      cue_lasts_(new QCheckBox(QStringLiteral("and for the throws that co&me"), this)),
      exclude_(key_button(this, QStringLiteral("X"), QStringLiteral("leave out…"))),
      reasons_(new QWidget(this)),
      asked_(new WordsLabel(reasons_)),
      reason_(new QComboBox(reasons_)) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(3);
  column->addWidget(heading_);
  auto* row = new QHBoxLayout;
  row->setSpacing(10);

  auto* pitches = new QGridLayout;
  pitches->setSpacing(3);
  for (std::size_t i = 0; i < pitch_keys.size(); ++i) {
    const PitchKey& one = pitch_keys[i];
    pitches_[i] = key_button(this, QString(QLatin1Char(one.key)), QLatin1String(one.pitch));
    connect(pitches_[i], &QToolButton::clicked, this, [this, i] { pitch_key(i); });
    pitches->addWidget(pitches_[i], static_cast<int>(i) / 2, static_cast<int>(i) % 2);
  }
  row->addLayout(pitches, 3);

  auto* pad = new QGridLayout;
  pad->setSpacing(3);
  for (int digit = 1; digit <= 9; ++digit) {
    auto* button = key_button(this, QString::number(digit) + u' ' + arrow_of(digit), {});
    misses_[static_cast<std::size_t>(digit - 1)] = button;
    connect(button, &QToolButton::clicked, this, [this, digit] { miss_key(digit); });
    pad->addWidget(button, 2 - (digit - 1) / 3, (digit - 1) % 3);
  }
  auto* pad_words = new WordsLabel(QStringLiteral("Where it missed, seen from the mound"), this);
  pad_words->setProperty("secondary", true);
  pad_words->setWordWrap(true);
  auto* pad_column = new QVBoxLayout;
  pad_column->setSpacing(2);
  pad_column->addLayout(pad);
  pad_column->addWidget(pad_words);
  row->addLayout(pad_column, 2);
  column->addLayout(row);

  auto* how_row = new QHBoxLayout;
  how_row->setSpacing(3);
  for (QToolButton* button : {warm_up_, stretch_, effort_}) how_row->addWidget(button);
  warm_up_->setToolTip(QStringLiteral("Counts for the arm, and for no mean, relation or change"));
  stretch_->setToolTip(QStringLiteral("Not from the wind-up"));
  effort_->setToolTip(
      QStringLiteral("How hard it was meant: each press a tenth less, then no note"));
  connect(warm_up_, &QToolButton::clicked, this, &TagPanel::warm_up_key);
  connect(stretch_, &QToolButton::clicked, this, &TagPanel::stretch_key);
  connect(effort_, &QToolButton::clicked, this, &TagPanel::effort_key);
  column->addLayout(how_row);

  auto* cue_row = new QHBoxLayout;
  cue_name_->setMaxLength(40);
  cue_name_->setAccessibleName(QStringLiteral("Name of the cue"));
  cue_name_->setToolTip(QStringLiteral("What you tell the athlete: heel, tall, slow"));
  cue_row->addWidget(cue_);
  cue_row->addWidget(cue_name_, 1);
  cue_row->addWidget(cue_lasts_);
  column->addLayout(cue_row);
  connect(cue_, &QToolButton::clicked, this, &TagPanel::cue_key);
  connect(cue_lasts_, &QCheckBox::toggled, this, &TagPanel::lasting_cue_changed);
  connect(cue_name_, &QLineEdit::textChanged, this, &TagPanel::lasting_cue_changed);
  connect(cue_name_, &QLineEdit::returnPressed, this, &TagPanel::typing_ended);
  forgotten_.setSingleShot(true);
  forgotten_.setInterval(forgotten_after_ms);
  connect(&forgotten_, &QTimer::timeout, this, [this] {
    if (cue_name_->hasFocus() && !deciding()) Q_EMIT typing_ended();
  });

  auto* exclude_row = new QHBoxLayout;
  exclude_row->addWidget(exclude_);
  auto* reasons_row = new QHBoxLayout(reasons_);
  reasons_row->setContentsMargins(0, 0, 0, 0);
  reason_->setEditable(true);
  reason_->addItems({QStringLiteral("warm-up throw"), QStringLiteral("not at full effort"),
                     QStringLiteral("foot beside the plate"), QStringLiteral("lost balance"),
                     QStringLiteral("instrument trouble")});
  reason_->setAccessibleName(QStringLiteral("Why this throw is left out"));
  auto* leave_out = new QPushButton(QStringLiteral("Leave out"), reasons_);
  reasons_row->addWidget(asked_);
  reasons_row->addWidget(reason_, 1);
  reasons_row->addWidget(leave_out);
  exclude_row->addWidget(reasons_, 1);
  column->addLayout(exclude_row);
  reasons_->hide();
  const auto decide = [this] {
    const QString why = reason_->currentText().trimmed();
    if (why.isEmpty() || number_ == 0) return;
    stop_deciding();
    Q_EMIT exclude_chosen(asked_of_, why.toStdString());
    Q_EMIT typing_ended();
  };
  connect(leave_out, &QPushButton::clicked, this, decide);
  connect(reason_->lineEdit(), &QLineEdit::returnPressed, this, decide);
  connect(exclude_, &QToolButton::clicked, this, &TagPanel::exclude_key);
  cue_name_->installEventFilter(this);
  column->addStretch(1);
  show_state(0, contact_, {}, session::Hand::right);
}

bool TagPanel::eventFilter(QObject* /*watched*/, QEvent* event) {
  if (event->type() == QEvent::FocusIn || event->type() == QEvent::KeyPress ||
      event->type() == QEvent::MouseButtonPress)
    forgotten_.start();
  return false;
}

void TagPanel::pitch_key(std::size_t pitch) {
  if (number_ == 0) return;
  const std::string name = pitch_keys[pitch].pitch;
  Q_EMIT tag_chosen(pitch_tag, state_.tag(pitch_tag) == name ? std::string() : name);
}

void TagPanel::miss_key(int digit) {
  if (number_ == 0) return;
  const std::string miss = miss_text(digit, hand_);
  Q_EMIT tag_chosen(miss_tag, state_.tag(miss_tag) == miss ? std::string() : miss);
}

void TagPanel::cue_key() {
  if (number_ == 0) return;
  const bool given = !state_.tag(cue_tag).empty();
  Q_EMIT tag_chosen(cue_tag, given ? std::string() : cue_name());
}

void TagPanel::warm_up_key() {
  if (number_ == 0) return;
  Q_EMIT tag_chosen(warm_up_tag, state_.tag(warm_up_tag) == warm_up_text ? "" : warm_up_text);
}

void TagPanel::stretch_key() {
  if (number_ == 0) return;
  Q_EMIT tag_chosen(delivery_tag, state_.tag(delivery_tag) == stretch_text ? "" : stretch_text);
}

void TagPanel::effort_key() {
  if (number_ == 0) return;
  Q_EMIT tag_chosen(effort_tag, effort_after(state_.tag(effort_tag)));
}

void TagPanel::exclude_key() {
  if (number_ == 0) return;
  if (state_.excluded) {
    Q_EMIT include_chosen();
    return;
  }
  if (deciding()) return stop_deciding();
  asked_of_ = contact_;
  asked_->setText(QStringLiteral("Throw %1, because:").arg(number_));
  reasons_->show();
  exclude_->setChecked(true);
  reason_->setFocus(Qt::ShortcutFocusReason);
  reason_->lineEdit()->selectAll();
}

bool TagPanel::deciding() const { return !reasons_->isHidden(); }

void TagPanel::stop_deciding() {
  reasons_->hide();
  exclude_->setChecked(state_.excluded.has_value());
}

bool TagPanel::typing() const {
  return deciding() || cue_name_->hasFocus() || reason_->hasFocus() ||
         reason_->lineEdit()->hasFocus();
}

void TagPanel::end_lasting_cue() { cue_lasts_->setChecked(false); }

std::string TagPanel::cue_name() const {
  const QString name = cue_name_->text().trimmed();
  return name.isEmpty() ? "cue" : name.toStdString();
}

std::string TagPanel::lasting_cue() const {
  return cue_lasts_->isChecked() ? cue_name() : std::string();
}

void TagPanel::show_state(int number, double contact, const session::EditState& state,
                          session::Hand hand) {
  number_ = number;
  contact_ = contact;
  state_ = state;
  hand_ = hand;
  heading_->setText(number > 0 ? QStringLiteral("Note of throw %1: press its key").arg(number)
                               : QStringLiteral("Notes come with the first throw: one key each"));
  const std::string pitch = state.tag(pitch_tag), miss = state.tag(miss_tag);
  for (std::size_t i = 0; i < pitch_keys.size(); ++i) {
    pitches_[i]->setChecked(pitch == pitch_keys[i].pitch);
    pitches_[i]->setEnabled(number > 0);
  }
  for (int digit = 1; digit <= 9; ++digit) {
    QToolButton* button = misses_[static_cast<std::size_t>(digit - 1)];
    const std::string text = miss_text(digit, hand);
    button->setChecked(miss == text);
    button->setEnabled(number > 0);
    button->setToolTip(QString::fromStdString(text));
    button->setAccessibleName(digit == 5
                                  ? QString::fromStdString(text)
                                  : QStringLiteral("missed ") + QString::fromStdString(text));
  }
  warm_up_->setChecked(state.tag(warm_up_tag) == warm_up_text);
  stretch_->setChecked(state.tag(delivery_tag) == stretch_text);
  const std::string effort = state.tag(effort_tag);
  effort_->setChecked(!effort.empty());
  effort_->setText(effort.empty()
                       ? QStringLiteral("E  effort")
                       : QStringLiteral("E  effort %1").arg(QString::fromStdString(effort)));
  for (QToolButton* button : {warm_up_, stretch_, effort_}) button->setEnabled(number > 0);
  cue_->setChecked(!state.tag(cue_tag).empty());
  cue_->setEnabled(number > 0);
  exclude_->setEnabled(number > 0);
  exclude_->setText(state.excluded ? QStringLiteral("X  take in again")
                                   : QStringLiteral("X  leave out…"));
  // A reason that is being chosen is for the throw it was asked of: who chooses another to look at
  // has given it up. One that comes by itself is not shown while a reason is being chosen.
  const bool same = std::abs(asked_of_ - contact) <= session::same_throw;
  if (number == 0 || state.excluded || !same) reasons_->hide();
  exclude_->setChecked(state.excluded.has_value() || deciding());
}

}  // namespace moundwork::desk
