// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/marks_panel.h"

#include <QDoubleSpinBox>
#include <QGridLayout>
#include <QPushButton>
#include <QScopedValueRollback>

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

}  // namespace

std::array<marks::WantedTime, marks::body_mark_count> load_wanted_times() {
  // Nobody's rule: the coach sets their own. At first 20 ms to either side of the landing for the
  // stretch, and the time that follows it for the others.
  std::array<marks::WantedTime, marks::body_mark_count> wanted{
      {{-0.020, 0.020}, {0.020, 0.120}, {0.100, 0.200}}};
  const QSettings file = settings_file();
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    wanted[i].from = file.value(key(i, "_from"), wanted[i].from).toDouble();
    wanted[i].to = file.value(key(i, "_to"), wanted[i].to).toDouble();
  }
  return wanted;
}

void save_wanted_times(const std::array<marks::WantedTime, marks::body_mark_count>& wanted) {
  QSettings file = settings_file();
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    file.setValue(key(i, "_from"), wanted[i].from);
    file.setValue(key(i, "_to"), wanted[i].to);
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
    row.from = number_field(this, 2000.0, 0, name + QStringLiteral(": wanted from, ms"));
    row.to = number_field(this, 2000.0, 0, name + QStringLiteral(": wanted to, ms"));
    row.from->setValue(1e3 * wanted[i].from);
    row.to->setValue(1e3 * wanted[i].to);
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
    away->setAccessibleName(QStringLiteral("Remove ") + name);
    grid->addWidget(set, line, 4);
    grid->addWidget(row.says, line + 1, 0, 1, 4);
    grid->addWidget(away, line + 1, 4);
    line += 2;
    connect(set, &QPushButton::clicked, this, [this, mark] { give(mark); });
    connect(away, &QPushButton::clicked, this, [this, mark] { Q_EMIT mark_taken_away(mark); });
    for (QDoubleSpinBox* limit : {row.from, row.to})
      connect(limit, &QDoubleSpinBox::valueChanged, this, [this] {
        if (filling_) return;
        std::array<marks::WantedTime, marks::body_mark_count> now;
        for (std::size_t k = 0; k < rows_.size(); ++k)
          now[k] = {rows_[k].from->value() / 1e3, rows_[k].to->value() / 1e3};
        save_wanted_times(now);
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
  if (auto good = marks::check(given, marks::name_of(mark)); !good)
    Q_EMIT refused(good.error());
  else
    Q_EMIT mark_given(given);
}

void MarksPanel::show_marks(const std::vector<marks::FrameMark>& marks) {
  const QScopedValueRollback guard(filling_, true);
  marks_ = marks;
  for (const marks::FrameMark& mark : marks_) {
    rows_[static_cast<std::size_t>(mark.mark)].frame->setValue(mark.frame);
    contact_frame_->setValue(mark.contact_frame);
    rate_->setValue(mark.rate);
  }
  say();
}

void MarksPanel::set_usable(bool usable) { setEnabled(usable); }

void MarksPanel::say() {
  for (Row& row : rows_) row.says->setText(QStringLiteral("not marked"));
  for (const marks::FrameMark& mark : marks_) {
    Row& row = rows_[static_cast<std::size_t>(mark.mark)];
    const Measured time = marks::from_contact(mark);
    const auto timing = marks::judge(time, {row.from->value() / 1e3, row.to->value() / 1e3});
    const std::string_view words = marks::to_text(timing);
    row.says->setText(QString::fromStdString(sentence(
        "{time} from landing: {judged}",
        "time"_is(from_contact_text(time.value, time.u).toStdString()), "judged"_is(words))));
  }
}

}  // namespace moundwork::desk
