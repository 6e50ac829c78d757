// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/roster_panel.h"

#include <QComboBox>
#include <QFileDialog>
#include <QHeaderView>
#include <QLabel>
#include <QPushButton>
#include <QStackedWidget>
#include <QStyle>
#include <QStyledItemDelegate>
#include <QTableView>
#include <QVBoxLayout>
#include <algorithm>
#include <utility>

#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/prepare/delete_athlete.h"
#include "app/desk/prepare/import_preview.h"
#include "core/base/lab_file.h"
#include "core/base/sharing.h"
#include "core/people/athlete_ids.h"

namespace moundwork::desk {
namespace {

/// The throwing hand is one of two words.
class HandDelegate : public QStyledItemDelegate {
 public:
  using QStyledItemDelegate::QStyledItemDelegate;
  QWidget* createEditor(QWidget* parent, const QStyleOptionViewItem& /*option*/,
                        const QModelIndex& /*index*/) const override {
    auto* choice = new QComboBox(parent);
    choice->addItems({QStringLiteral("right"), QStringLiteral("left")});
    return choice;
  }
  void setEditorData(QWidget* editor, const QModelIndex& index) const override {
    static_cast<QComboBox*>(editor)->setCurrentText(index.data(Qt::EditRole).toString());
  }
  void setModelData(QWidget* editor, QAbstractItemModel* model,
                    const QModelIndex& index) const override {
    model->setData(index, static_cast<QComboBox*>(editor)->currentText(), Qt::EditRole);
  }
};

QString name_of(const RosterAthlete& athlete) {
  return QString::fromStdString(athlete.name.empty() ? athlete.id : athlete.name);
}

void say(QLabel& label, const QString& words, bool caution) {
  label.setProperty("caution", caution);
  label.style()->unpolish(&label);
  label.style()->polish(&label);
  label.setText(words);
}

}  // namespace

RosterPanel::RosterPanel(DeskState& state, Jobs& jobs, RosterHistory& history, QWidget* parent)
    : QWidget(parent),
      state_(state),
      jobs_(jobs),
      history_(history),
      model_(new RosterModel(state, history, this)),
      stack_(new QStackedWidget(this)),
      greeting_(new WordsLabel(this)),
      table_(new QTableView(this)),
      consent_(new WordsLabel(this)),
      age_(new WordsLabel(this)),
      namesake_(new WordsLabel(this)),
      remark_(new Notice(this)),
      sharing_(new QComboBox(this)),
      turn_(new QPushButton(QStringLiteral("Nex&t up"), this)),
      remove_(new QPushButton(QStringLiteral("&Remove from the roster"), this)) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  table_->setModel(model_);
  table_->setAccessibleName(QStringLiteral("Athletes of this lab"));
  table_->setItemDelegateForColumn(static_cast<int>(RosterColumn::hand), new HandDelegate(table_));
  table_->setSelectionBehavior(QAbstractItemView::SelectItems);
  table_->setSelectionMode(QAbstractItemView::SingleSelection);
  // Tab leaves the table; the arrows move in it.
  table_->setTabKeyNavigation(false);
  table_->setEditTriggers(QAbstractItemView::DoubleClicked | QAbstractItemView::EditKeyPressed |
                          QAbstractItemView::AnyKeyPressed);
  table_->verticalHeader()->hide();
  table_->setAlternatingRowColors(true);
  table_->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  // Widths go by the lines in sight: measuring hundreds would hold the window up.
  table_->horizontalHeader()->setResizeContentsPrecision(0);
  table_->horizontalHeader()->setSectionResizeMode(static_cast<int>(RosterColumn::notes),
                                                   QHeaderView::Stretch);
  stack_->addWidget(make_greeting());
  stack_->addWidget(table_);
  column->addWidget(stack_, 1);

  for (QLabel* words : {consent_, age_, namesake_}) {
    words->setWordWrap(true);
    column->addWidget(words);
  }
  column->addWidget(remark_);
  auto* buttons = new QHBoxLayout;
  auto* add = new QPushButton(QStringLiteral("&New athlete"), this);
  auto* import = new QPushButton(QStringLiteral("&Import a list…"), this);
  for (QPushButton* button : {turn_, add, import, remove_}) buttons->addWidget(button);
  auto* forget = new QPushButton(QStringLiteral("&Delete an athlete…"), this);
  buttons->addWidget(forget);
  buttons->addStretch(1);
  column->addLayout(buttons);
  auto* settled = new QHBoxLayout;
  auto* who_reads = new WordsLabel(QStringLiteral("Files of this lab can be read b&y"), this);
  who_reads->setBuddy(sharing_);
  sharing_->addItems(
      {QStringLiteral("this account alone"), QStringLiteral("this account's group")});
  sharing_->setToolTip(QStringLiteral(
      "Sessions, pages, tables, roster and weigh-ins: files for the owner (0600), or for the group "
      "of accounts that shares the folder (0660). Changes what is there too."));
  settled->addWidget(who_reads);
  settled->addWidget(sharing_);
  settled->addStretch(1);
  column->addLayout(settled);
  setTabOrder(turn_, add);
  setTabOrder(add, import);
  setTabOrder(import, remove_);
  setTabOrder(remove_, forget);
  setTabOrder(forget, sharing_);

  connect(add, &QPushButton::clicked, this, &RosterPanel::add);
  connect(import, &QPushButton::clicked, this, &RosterPanel::choose_file);
  connect(remove_, &QPushButton::clicked, this, &RosterPanel::remove);
  connect(turn_, &QPushButton::clicked, this, &RosterPanel::give_turn);
  connect(forget, &QPushButton::clicked, this, &RosterPanel::remove_for_good);
  connect(sharing_, &QComboBox::activated, this, [this](int row) { set_sharing(row == 1); });
  connect(&state_, &DeskState::roster_told, remark_,
          [this](const QString& words) { remark_->caution(words); });
  connect(&state_, &DeskState::lab_changed, this, &RosterPanel::look_for_namesakes);
  connect(&state_, &DeskState::lab_changed, this, &RosterPanel::show_sharing);
  connect(model_, &RosterModel::refused, remark_, [this](const Error& e) { remark_->report(e); });
  connect(model_, &RosterModel::taken, remark_, &Notice::quiet);
  connect(&history_, &RosterHistory::refused, remark_,
          [this](const Error& e) { remark_->report(e); });
  connect(table_->selectionModel(), &QItemSelectionModel::currentChanged, this,
          &RosterPanel::show_current);
  connect(&state_, &DeskState::roster_changed, this, &RosterPanel::show_current);
  connect(&state_, &DeskState::athlete_changed, this, &RosterPanel::show_current);
  connect(&state_, &DeskState::lab_changed, this, [this] {
    remark_->quiet();
    greet();
  });
  greet();
  show_current();
  show_sharing();
  look_for_namesakes();
}

QWidget* RosterPanel::make_greeting() {
  auto* greeting = new QWidget(this);
  auto* column = new QVBoxLayout(greeting);
  column->addStretch(1);
  QFont large = greeting_->font();
  large.setPointSizeF(1.5 * large.pointSizeF());
  large.setBold(true);
  greeting_->setFont(large);
  greeting_->setObjectName(QStringLiteral("greeting"));
  column->addWidget(greeting_, 0, Qt::AlignHCenter);
  steps_ = new WordsLabel(
      QStringLiteral("1   List who throws: New athlete, or Import a list from a spreadsheet.\n\n"
                     "2   Say where plates and radar stand: Station, on the left.\n\n"
                     "3   Weigh in, then throw: the day's path, at the top."),
      greeting);
  column->addWidget(steps_, 0, Qt::AlignHCenter);
  auto* row = new QHBoxLayout;
  row->addStretch(1);
  auto* station = new QPushButton(QStringLiteral("Describe the station"), greeting);
  auto* practice = new QPushButton(QStringLiteral("&Practise with virtual instruments"), greeting);
  for (QPushButton* button : {practice, station})
    button->setMinimumHeight(2 * fontMetrics().height() + 4);
  row->addWidget(practice);
  row->addWidget(station);
  row->addStretch(1);
  column->addSpacing(12);
  column->addLayout(row);
  auto* hint = new WordsLabel(
      QStringLiteral("No instruments here? Practice invents a pitcher, plates and a radar, and "
                     "shows the first numbers within a minute."),
      greeting);
  hint->setProperty("secondary", true);
  hint->setWordWrap(true);
  hint->setAlignment(Qt::AlignHCenter);
  column->addWidget(hint);
  column->addStretch(2);
  connect(practice, &QPushButton::clicked, this, &RosterPanel::wants_practice);
  connect(station, &QPushButton::clicked, this, &RosterPanel::wants_station);
  return greeting;
}

void RosterPanel::greet() {
  // What a folder holds that was not opened is not known.
  steps_->setVisible(state_.lab_is_open());
  if (!state_.lab_is_open()) {
    greeting_->setText(
        QStringLiteral("No lab is open: Lab, Open lab folder (Ctrl+Shift+O) opens one."));
    return;
  }
  const std::size_t sessions = count_session_files(state_.lab());
  greeting_->setText(
      sessions == 0
          ? QStringLiteral("A new lab. First:")
          : QStringLiteral("This lab has sessions (%1), but no list of athletes (roster.csv).")
                .arg(sessions));
}

const RosterAthlete* RosterPanel::current() const {
  const int row = table_->currentIndex().row();
  if (row < 0 || row >= static_cast<int>(state_.roster().size())) return nullptr;
  return &state_.roster()[static_cast<std::size_t>(row)];
}

void RosterPanel::show_current() {
  stack_->setCurrentIndex(state_.roster().empty() ? 0 : 1);
  // Somebody is always at hand, so that the keyboard finds the table's cells.
  if (current() == nullptr && !state_.roster().empty())
    table_->setCurrentIndex(model_->index(0, static_cast<int>(RosterColumn::name)));
  const RosterAthlete* athlete = current();
  turn_->setEnabled(athlete != nullptr);
  remove_->setEnabled(athlete != nullptr);
  if (athlete == nullptr) {
    consent_->clear();
    age_->clear();
    namesake_->clear();
    return;
  }
  const std::string day = today(state_.lab());
  const std::string missing = consent_missing(*athlete, day);
  say(*consent_,
      missing.empty()
          ? QStringLiteral("%1: consent is noted.").arg(name_of(*athlete))
          : QStringLiteral("%1 cannot be recorded yet: %2. Type yes in its cell when it is given.")
                .arg(name_of(*athlete), QString::fromStdString(missing)),
      !missing.empty());
  say(*age_, age_caution(*athlete, day, state_.pitch_counts()), false);
  const std::string others = people::two_people_words(*athlete, id_uses_);
  say(*namesake_, QString::fromStdString(others), !others.empty());
  namesake_->setVisible(!others.empty());
}

void RosterPanel::add() {
  people::RowChange fresh{std::nullopt, RosterAthlete(), true};
  const auto made = history_.change(QStringLiteral("new athlete"), std::vector{fresh});
  if (!made) return remark_->report(made.error());
  if (made->empty()) return;
  const std::string id = made->front().after->id;
  remark_->say(QStringLiteral("Type over the cells: name, date of birth, hand, consent."));
  const auto& roster = state_.roster();
  const auto row = std::find_if(roster.begin(), roster.end(),
                                [&](const RosterAthlete& a) { return a.id == id; });
  if (row == roster.end()) return;
  const QModelIndex name =
      model_->index(static_cast<int>(row - roster.begin()), static_cast<int>(RosterColumn::name));
  table_->setCurrentIndex(name);
  table_->setFocus();
  table_->edit(name);
}

void RosterPanel::remove() {
  const RosterAthlete* athlete = current();
  if (athlete == nullptr) return;
  const QString name = name_of(*athlete);
  const auto written = history_.change(QStringLiteral("removing ") + name,
                                       std::vector{people::RowChange{*athlete, std::nullopt}});
  if (!written) return remark_->report(written.error());
  remark_->say(QStringLiteral("%1 is off the roster. Sessions, weigh-ins and summaries of %1 stay "
                              "in the lab's folder; Ctrl+Z puts %1 back.")
                   .arg(name));
}

void RosterPanel::give_turn() {
  if (const RosterAthlete* athlete = current()) state_.choose_athlete(athlete->id);
}

void RosterPanel::choose_file() {
  const QString file = QFileDialog::getOpenFileName(
      this, QStringLiteral("A list of athletes"), QString(),
      QStringLiteral("Delimited text (*.csv *.tsv *.txt);;All files (*)"));
  if (!file.isEmpty()) import_file(file.toStdString());
}

void RosterPanel::import_file(const std::filesystem::path& path) {
  remark_->quiet();
  const std::string day = today(state_.lab());
  const QString name = QString::fromStdString(path.filename().string());
  struct Found {
    RosterImport import;
    int next_id = 1;
  };
  jobs_.run(
      QStringLiteral("Reading ") + name, this,
      [path, lab = state_.lab().root, roster = state_.roster(), day](JobControl&) -> Result<Found> {
        // The lab's sessions say which ids have been given.
        const auto next = people::next_number(lab, roster);
        if (!next) return tl::make_unexpected(next.error());
        ImportChoices choices;
        choices.next_id = *next;
        auto import = read_roster_import(path, roster, day, choices);
        if (!import) return tl::make_unexpected(import.error());
        return Found{std::move(*import), *next};
      },
      [this, path](const Result<Found>& found) {
        if (found)
          preview(path, found->import, found->next_id);
        else
          remark_->report(found.error());
      });
}

void RosterPanel::preview(const std::filesystem::path& path, const RosterImport& import,
                          int next_id) {
  const QString name = QString::fromStdString(path.filename().string());
  const std::string day = today(state_.lab());
  auto* shown = new ImportPreview(
      import, name, day,
      [path, roster = state_.roster(), day, next_id](ImportChoices choices) {
        choices.next_id = next_id;
        return read_roster_import(path, roster, day, choices);
      },
      this);
  shown->setAttribute(Qt::WA_DeleteOnClose);
  connect(shown, &QDialog::accepted, this, [this, shown, name, roster = state_.roster()] {
    const int coming = shown->import().coming();
    const auto written =
        history_.change(QStringLiteral("list ") + name, changes_of(shown->import(), roster));
    if (!written) return remark_->report(written.error());
    remark_->say(QStringLiteral("%1 athletes taken in from %2; Ctrl+Z takes it back.")
                     .arg(coming)
                     .arg(name));
  });
  shown->open();
}

void RosterPanel::look_for_namesakes() {
  id_uses_.clear();
  // Thousands of headers take seconds; nobody waits for them.
  looking_ = std::jthread([this, lab = state_.lab().root](const std::stop_token& stop) {
    auto uses = people::id_uses(lab, stop);
    QMetaObject::invokeMethod(
        this,
        [this, lab, uses = std::move(uses)] {
          if (lab != state_.lab().root) return;
          id_uses_ = uses;
          show_current();
        },
        Qt::QueuedConnection);
  });
}

void RosterPanel::remove_for_good() {
  const RosterAthlete* athlete = current();
  ask_deletion(state_, jobs_, *remark_, athlete == nullptr ? std::string() : athlete->id, this);
}

void RosterPanel::show_sharing() {
  const auto settled = read_lab_file(state_.lab().root);
  sharing_->setCurrentIndex(settled && settled->sharing == Sharing::group ? 1 : 0);
}

void RosterPanel::set_sharing(bool group) {
  jobs_.run(
      QStringLiteral("Setting who may read the lab's files"), this,
      [lab = state_.lab().root, group](JobControl&) {
        return moundwork::set_sharing(lab, group ? Sharing::group : Sharing::owner);
      },
      [this](const Result<SharingSet>& done) {
        show_sharing();
        if (!done) return remark_->report(done.error());
        if (!done->problems.empty()) return remark_->report(done->problems.front());
        remark_->say(QStringLiteral("%1 files and folders changed, %2 were right already.")
                         .arg(done->changed)
                         .arg(done->right));
      });
}

}  // namespace moundwork::desk
