// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/cue_order_line.h"

#include <QHBoxLayout>
#include <QPushButton>
#include <QSpinBox>
#include <QVBoxLayout>

#include "app/desk/look/words_label.h"
#include "core/base/sentence.h"
#include "core/relate/cue_order.h"

namespace moundwork::desk {
namespace {

// Twelve of each kind, as many as an athlete can throw with full effort beside warm-ups.
constexpr int usual_throws = 24;
constexpr int longest_run = 20;

QSpinBox* number_field(QWidget* parent, int least, int most, int value, const QString& name) {
  auto* field = new QSpinBox(parent);
  field->setRange(least, most);
  field->setValue(value);
  field->setAccessibleName(name);
  field->setToolTip(name);
  field->setFocusPolicy(Qt::ClickFocus);
  return field;
}

}  // namespace

QString due_words(const std::optional<session::DrawnCue>& next) {
  if (!next) return {};
  const auto number = "number"_is(next->place + 1);
  const auto all = "all"_is(next->throws);
  return QString::fromStdString(
      next->cue.empty()
          ? sentence("Throw {number} of {all}: no cue", number, all)
          : sentence("Throw {number} of {all}: say “{cue}”", number, all, "cue"_is(next->cue)));
}

CueOrderLine::CueOrderLine(QWidget* parent)
    : QWidget(parent),
      draw_(new QPushButton(QStringLiteral("Draw the order"), this)),
      throws_(number_field(this, relate::fewest_ordered_throws, relate::most_ordered_throws,
                           usual_throws, QStringLiteral("How many throws the order is for"))),
      run_(number_field(this, 1, longest_run, 1,
                        QStringLiteral("So many throws of a kind together"))),
      due_(new WordsLabel(this)) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(3);
  draw_->setToolTip(QStringLiteral(
      "Chance decides which throws get the cue and which none (Ctrl+D); each throw is then noted "
      "as drawn"));
  draw_->setFocusPolicy(Qt::TabFocus);
  throws_->setSuffix(QStringLiteral(" throws"));
  run_->setPrefix(QStringLiteral("in runs of "));
  due_->setObjectName(QStringLiteral("due cue"));
  // It is read from where one stands beside the mound.
  constexpr double larger = 1.4;
  QFont font = due_->font();
  font.setBold(true);
  font.setPointSizeF(larger * font.pointSizeF());
  due_->setFont(font);
  due_->setWordWrap(true);
  column->addWidget(due_);
  auto* row = new QHBoxLayout;
  row->addWidget(draw_);
  row->addWidget(throws_);
  row->addWidget(run_);
  row->addStretch(1);
  column->addLayout(row);
  connect(draw_, &QPushButton::clicked, this, &CueOrderLine::draw);
  show_due(false, std::nullopt);
}

void CueOrderLine::show_due(bool recording, const std::optional<session::DrawnCue>& next) {
  draw_->setEnabled(recording);
  due_->setText(recording ? due_words(next) : QString());
  due_->setHidden(due_->text().isEmpty());
}

void CueOrderLine::draw() {
  if (draw_->isEnabled()) Q_EMIT order_wanted(throws_->value(), run_->value());
}

bool CueOrderLine::typing() const { return throws_->hasFocus() || run_->hasFocus(); }

}  // namespace moundwork::desk
