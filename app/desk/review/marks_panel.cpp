// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/marks_panel.h"

#include <QDoubleSpinBox>
#include <QGridLayout>
#include <QIntValidator>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <algorithm>
#include <cmath>
#include <optional>

#include "app/desk/look/words_label.h"
#include "app/desk/review/event_words.h"
#include "app/desk/state/preferences.h"
#include "core/base/sentence.h"

namespace moundwork::desk {
namespace {

using marks::BodyMark;

QString key(std::size_t mark, const char* end) {
  const std::string_view name = marks::key_of(static_cast<BodyMark>(mark));
  return QStringLiteral("wanted/") +
         QString::fromUtf8(name.data(), static_cast<qsizetype>(name.size())) +
         QString::fromLatin1(end);
}

QDoubleSpinBox* number_field(QWidget* parent, double greatest, int decimals, const QString& name) {
  auto* field = new QDoubleSpinBox(parent);
  field->setRange(-greatest, greatest);
  field->setDecimals(decimals);
  field->setKeyboardTracking(false);
  field->setAccessibleName(name);
  field->setButtonSymbols(QAbstractSpinBox::NoButtons);
  return field;
}

/// Empty for none.
QLineEdit* limit_field(QWidget* parent, const QString& name) {
  constexpr int greatest = 2000;  // ms
  auto* field = new QLineEdit(parent);
  field->setValidator(new QIntValidator(-greatest, greatest, field));
  field->setPlaceholderText(QStringLiteral("–"));
  field->setAccessibleName(name);
  field->setToolTip(QStringLiteral(
      "When you want to see it, from the landing: only with both limits is it called early, on "
      "time or late."));
  return field;
}

QString limit_text(double seconds) { return QString::number(std::lround(1e3 * seconds)); }

}  // namespace

WantedTimes load_wanted_times() {
  WantedTimes wanted;
  const QSettings file = settings_file();
  for (std::size_t i = 0; i < wanted.size(); ++i)
    if (file.contains(key(i, "_from")) && file.contains(key(i, "_to")))
      wanted[i] = {file.value(key(i, "_from")).toDouble(), file.value(key(i, "_to")).toDouble()};
  return wanted;
}

void save_wanted_times(const WantedTimes& wanted) {
  QSettings file = settings_file();
  for (std::size_t i = 0; i < wanted.size(); ++i)
    if (wanted[i]) {
      file.setValue(key(i, "_from"), wanted[i]->from);
      file.setValue(key(i, "_to"), wanted[i]->to);
    } else {
      file.remove(key(i, "_from"));
      file.remove(key(i, "_to"));
    }
}

MarksPanel::MarksPanel(QWidget* parent) : QWidget(parent) {
  auto* grid = new QGridLayout(this);
  grid->setContentsMargins(0, 0, 0, 0);
  grid->setHorizontalSpacing(6);
  grid->setVerticalSpacing(3);
  contact_frame_ = number_field(this, 1e7, 1, QStringLiteral("Frame of lead contact"));
  rate_ = number_field(this, 1e5, 2, QStringLiteral("Frames a second"));
  rate_->setValue(240.0);
  int line = 0;
  auto* contact_label = new WordsLabel(QStringLiteral("Land&ing in frame"), this);
  contact_label->setBuddy(contact_frame_);
  auto* rate_label = new WordsLabel(QStringLiteral("frames &a second"), this);
  rate_label->setBuddy(rate_);
  grid->addWidget(contact_label, line, 0);
  grid->addWidget(contact_frame_, line, 1);
  grid->addWidget(rate_, line, 2);
  grid->addWidget(rate_label, line, 3, 1, 2);
  ++line;
  for (const auto& [column, words] : {std::pair{0, "Seen"}, std::pair{1, "in frame"},
                                      std::pair{2, "wanted from"}, std::pair{3, "to (ms)"}}) {
    auto* head = new WordsLabel(QString::fromUtf8(words), this);
    head->setProperty("secondary", true);
    grid->addWidget(head, line, column);
  }
  ++line;
  const auto wanted = load_wanted_times();
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    const auto mark = static_cast<BodyMark>(i);
    const std::string_view text = marks::name_of(mark);
    const QString name = QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size()));
    Row& row = rows_[i];
    row.frame = number_field(this, 1e7, 1, name + QStringLiteral(": frame"));
    row.from = limit_field(this, name + QStringLiteral(": wanted from, ms"));
    row.to = limit_field(this, name + QStringLiteral(": wanted to, ms"));
    if (wanted[i]) {
      row.from->setText(limit_text(wanted[i]->from));
      row.to->setText(limit_text(wanted[i]->to));
    }
    row.says = new WordsLabel(this);
    row.says->setWordWrap(true);
    auto* label = new WordsLabel(name, this);
    label->setBuddy(row.frame);
    grid->addWidget(label, line, 0);
    grid->addWidget(row.frame, line, 1);
    grid->addWidget(row.from, line, 2);
    grid->addWidget(row.to, line, 3);
    auto* set = new QPushButton(QStringLiteral("Set"), this);
    set->setAccessibleName(QStringLiteral("Set ") + name);
    auto* away = new QPushButton(QStringLiteral("Remove"), this);
    row.remove = away;
    away->setAccessibleName(QStringLiteral("Remove ") + name);
    grid->addWidget(set, line, 4);
    grid->addWidget(row.says, line + 1, 0, 1, 4);
    grid->addWidget(away, line + 1, 4);
    line += 2;
    connect(set, &QPushButton::clicked, this, [this, mark] { give(mark); });
    connect(away, &QPushButton::clicked, this, [this, mark] { Q_EMIT mark_taken_away(mark); });
    for (QLineEdit* limit : {row.from, row.to})
      connect(limit, &QLineEdit::textEdited, this, [this] {
        keep_wanted();
        say();
      });
  }
  auto* import = new QPushButton(QStringLiteral("Import &marks…"), this);
  grid->addWidget(import, line, 0, 1, 2, Qt::AlignLeft);
  connect(import, &QPushButton::clicked, this, &MarksPanel::table_wanted);
  grid->setColumnStretch(0, 1);
  say();
}

void MarksPanel::give(BodyMark mark) {
  const marks::FrameMark given{mark, rows_[static_cast<std::size_t>(mark)].frame->value(),
                               contact_frame_->value(), rate_->value()};
  if (auto good = marks::check_given(given, marks::name_of(mark)); !good)
    Q_EMIT refused(good.error());
  else
    Q_EMIT mark_given(given);
}

void MarksPanel::show_marks(const std::vector<marks::FrameMark>& marks) {
  marks_ = marks;
  for (const marks::FrameMark& mark : marks_) {
    rows_[static_cast<std::size_t>(mark.mark)].frame->setValue(mark.frame);
    contact_frame_->setValue(mark.contact_frame);
    rate_->setValue(mark.rate);
  }
  say();
}

void MarksPanel::set_usable(bool usable) { setEnabled(usable); }

std::optional<marks::WantedTime> MarksPanel::wanted_in(const Row& row) {
  if (!row.from->hasAcceptableInput() || !row.to->hasAcceptableInput()) return std::nullopt;
  const marks::WantedTime wanted{row.from->text().toInt() / 1e3, row.to->text().toInt() / 1e3};
  return wanted.from <= wanted.to ? std::optional(wanted) : std::nullopt;
}

void MarksPanel::keep_wanted() const {
  WantedTimes now;
  std::transform(rows_.begin(), rows_.end(), now.begin(), wanted_in);
  save_wanted_times(now);
}

void MarksPanel::say() {
  for (Row& row : rows_) {
    row.says->setText(QStringLiteral("not marked"));
    row.remove->setEnabled(false);
  }
  for (const marks::FrameMark& mark : marks_) {
    Row& row = rows_[static_cast<std::size_t>(mark.mark)];
    const Measured time = marks::from_contact(mark);
    row.remove->setEnabled(true);
    const auto words = "time"_is(from_contact_text(time.value, time.u).toStdString());
    const auto wanted = wanted_in(row);
    row.says->setText(QString::fromStdString(
        wanted ? sentence("{time} from landing: {judged}", words,
                          "judged"_is(marks::to_text(marks::judge(time, *wanted))))
               : sentence("{time} from landing", words)));
  }
}

}  // namespace moundwork::desk
