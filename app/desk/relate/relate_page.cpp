// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/relate/relate_page.h"

#include <QCheckBox>
#include <QComboBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QPushButton>
#include <QScopedValueRollback>
#include <QSplitter>
#include <QTabWidget>
#include <QTableWidget>
#include <algorithm>
#include <cmath>
#include <map>

#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/relate/effect_chart.h"
#include "app/desk/relate/scatter_plot.h"
#include "app/desk/state/words.h"
#include "core/base/one_line.h"
#include "core/base/sentence.h"
#include "core/session/retest.h"

namespace moundwork::desk {
namespace {

constexpr std::size_t most_effects = 18;  // lines that a chart holds and still reads

QString text(const std::string& words) { return QString::fromStdString(words); }

QTableWidgetItem* cell(const QString& words, const QString& help, bool number = false) {
  auto* item = new QTableWidgetItem(words);
  item->setToolTip(help);
  if (number) item->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
  return item;
}

QString axis_text(const relate::Quantity& quantity) {
  const QString name = plain_name(quantity.key);
  return quantity.unit.empty() ? name
                               : text(sentence("{name} ({unit})", "name"_is(name.toStdString()),
                                               "unit"_is(quantity.unit)));
}

bool stands(relate::Verdict verdict) {
  return verdict == relate::Verdict::shown || verdict == relate::Verdict::shown_here;
}

QTableWidget* make_table(QWidget* parent, const QStringList& columns, const QString& name) {
  auto* table = new QTableWidget(parent);
  table->setColumnCount(static_cast<int>(columns.size()));
  table->setHorizontalHeaderLabels(columns);
  table->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table->setSelectionBehavior(QAbstractItemView::SelectRows);
  table->setSelectionMode(QAbstractItemView::SingleSelection);
  table->setTabKeyNavigation(false);
  // Names differ in their last words, so none is cut off.
  table->setWordWrap(true);
  table->verticalHeader()->hide();
  table->verticalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table->horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
  table->setAccessibleName(name);
  return table;
}

}  // namespace

RelatePage::RelatePage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent),
      state_(state),
      jobs_(jobs),
      scope_(new QComboBox(this)),
      cue_(new QComboBox(this)),
      table_(make_table(this,
                        {QStringLiteral("Number"), QStringLiteral("r with ball speed"),
                         QStringLiteral("Goes with it?")},
                        QStringLiteral("Numbers by how closely they go with ball speed"))),
      scatter_(new ScatterPlot(this)),
      says_(new WordsLabel(this)),
      beside_(new QTabWidget(this)),
      effects_(new EffectChart(this)),
      cue_effects_(new EffectChart(this)),
      cue_says_(new WordsLabel(this)),
      change_(make_table(this,
                         {QStringLiteral("Number"), QStringLiteral("Change"),
                          QStringLiteral("Limit"), QStringLiteral("Which is")},
                         QStringLiteral("Change from the first session to the last"))),
      change_of_(new QComboBox(this)),
      only_beyond_(new QCheckBox(QStringLiteral("Only those &beyond their limits"), this)),
      change_says_(new WordsLabel(this)),
      retest_of_(new QComboBox(this)),
      retest_(new QPushButton(this)),
      remark_(new Notice(this)) {
  lay_out();
  list_retests();
  const auto changed = [this] {
    stale_ = true;
    if (isVisible()) ask();
  };
  connect(&state_, &DeskState::session_changed, this, changed);
  connect(&state_, &DeskState::results_changed, this, changed);
  connect(&state_, &DeskState::lab_changed, this, changed);
  connect(&state_, &DeskState::preferences_changed, this, [this, changed] {
    // The answer is in its reader's units, sentences and all.
    if (answer_ && answer_speed_ != state_.preferences().speed) return changed();
    show_answer();
  });
  connect(&state_, &DeskState::edits_changed, this, [this, changed] {
    list_retests();
    const OpenSession* open = state_.session();
    // Read from the disk, so not before it is there.
    if (open != nullptr && open->settled() && session::retest_of(open->edits()) != asked_retest_)
      changed();
  });
  connect(retest_, &QPushButton::clicked, this, &RelatePage::name_retest);
  connect(only_beyond_, &QCheckBox::toggled, this, &RelatePage::show_change);
  connect(change_of_, &QComboBox::currentIndexChanged, this, [this] {
    if (!filling_) show_change();
  });
  connect(scope_, &QComboBox::currentIndexChanged, this, changed);
  connect(cue_, &QComboBox::currentIndexChanged, this, [this, changed] {
    if (!filling_) changed();
  });
  connect(table_, &QTableWidget::currentCellChanged, this, [this] {
    if (!filling_) show_relation();
  });
  connect(scatter_, &ScatterPlot::row_wanted, this, &RelatePage::open_row);
}

QString RelatePage::hint() const {
  return QStringLiteral(
      "What goes with ball speed, no more: a point leads to its throw (arrows and Enter, or a "
      "click).");
}

void RelatePage::lay_out() {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(12, 4, 12, 8);
  auto* line = new QHBoxLayout;
  auto* scope_label = new WordsLabel(QStringLiteral("Throws &of"), this);
  scope_label->setBuddy(scope_);
  scope_->addItems({QStringLiteral("this athlete, all sessions"),
                    QStringLiteral("everybody in the lab's folder")});
  auto* cue_label = new WordsLabel(QStringLiteral("C&ue"), this);
  cue_label->setBuddy(cue_);
  cue_->setMinimumContentsLength(16);
  line->addWidget(scope_label);
  line->addWidget(scope_);
  line->addSpacing(16);
  line->addWidget(cue_label);
  line->addWidget(cue_);
  line->addStretch(1);
  column->addLayout(line);
  column->addWidget(remark_);

  auto* split = new QSplitter(Qt::Horizontal, this);
  split->setChildrenCollapsible(false);
  split->addWidget(table_);
  auto* middle = new QWidget(split);
  auto* middle_column = new QVBoxLayout(middle);
  middle_column->setContentsMargins(0, 0, 0, 0);
  middle_column->addWidget(scatter_, 1);
  says_->setWordWrap(true);
  says_->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
  QFont large = says_->font();
  large.setPointSizeF(1.1 * large.pointSizeF());
  says_->setFont(large);
  says_->setMinimumHeight(3 * says_->fontMetrics().lineSpacing());
  says_->setAlignment(Qt::AlignTop | Qt::AlignLeft);
  middle_column->addWidget(says_);
  split->addWidget(middle);
  beside_->addTab(effects_, QStringLiteral("&All numbers"));
  auto* cue_side = new QWidget(beside_);
  auto* cue_column = new QVBoxLayout(cue_side);
  cue_column->addWidget(cue_effects_, 1);
  cue_says_->setWordWrap(true);
  cue_column->addWidget(cue_says_);
  beside_->addTab(cue_side, QStringLiteral("Cu&e"));
  auto* change_side = new QWidget(beside_);
  auto* change_column = new QVBoxLayout(change_side);
  only_beyond_->setChecked(true);
  change_of_->setAccessibleName(QStringLiteral("Whose changes"));
  auto* change_line = new QHBoxLayout;
  change_line->addWidget(change_of_);
  change_line->addWidget(only_beyond_);
  change_line->addStretch(1);
  change_column->addLayout(change_line);
  change_column->addWidget(change_, 1);
  change_says_->setWordWrap(true);
  change_column->addWidget(change_says_);
  auto* retest_line = new QHBoxLayout;
  auto* retest_label = new WordsLabel(QStringLiteral("The open session re&peats"), change_side);
  retest_label->setBuddy(retest_of_);
  retest_of_->setMinimumContentsLength(12);
  retest_->setToolTip(QStringLiteral(
      "Say that the open session repeats another of this athlete with nothing changed on purpose. "
      "What such sessions differ by tells for everybody else what days differ by."));
  retest_line->addWidget(retest_label);
  retest_line->addWidget(retest_of_, 1);
  retest_line->addWidget(retest_);
  change_column->addLayout(retest_line);
  beside_->addTab(change_side, QStringLiteral("Since the &first session"));
  split->addWidget(beside_);
  split->setStretchFactor(0, 3);
  split->setStretchFactor(1, 4);
  split->setStretchFactor(2, 4);
  split->setSizes({400, 480, 440});
  column->addWidget(split, 1);
}

void RelatePage::showEvent(QShowEvent* event) {
  Page::showEvent(event);
  if (stale_) ask();
}

void RelatePage::ask() {
  if (asking_) return;  // what has changed meanwhile is asked when the answer is in
  std::string athlete;
  std::vector<std::filesystem::path> files;
  if (state_.session() != nullptr) files.push_back(state_.session()->path());
  bool the_lab = true;
  if (scope_->currentIndex() == 0) {
    const auto identity = [](const auto& who) { return who.id.empty() ? who.name : who.id; };
    if (state_.session() != nullptr)
      athlete = identity(state_.session()->session().athlete);
    else if (state_.athlete() != nullptr)
      athlete = identity(*state_.athlete());
    if (athlete.empty() && files.empty()) {
      remark_->caution(
          QString::fromStdString(sentence("No athlete is chosen and no session is open: open one, "
                                          "or look at everybody's throws.")));
      answer_.reset();
      return show_answer();
    }
    // Who has neither id nor name can be told from nobody: their open session stands alone.
    the_lab = !athlete.empty();
  }
  stale_ = false;
  asking_ = true;
  asked_retest_ =
      state_.session() == nullptr ? std::nullopt : session::retest_of(state_.session()->edits());
  const definitions::ChosenUnits units = state_.preferences().units();
  jobs_.run(
      QStringLiteral("Relating"), this,
      [lab = state_.lab(), files, the_lab, athlete, cue = cue_->currentText().toStdString(),
       units](JobControl& job) {
        std::vector<std::filesystem::path> all = files;
        if (the_lab)
          for (const SessionEntry& entry : list_sessions(lab)) all.push_back(entry.path);
        return relate_sessions(
            all, athlete, cue, [&](double share) { return job.progress(share); }, units);
      },
      [this, units](Result<RelateAnswer> answer) {
        asking_ = false;
        answer_speed_ = units.speed;
        take(std::move(answer));
        if (stale_) ask();
      },
      [this] {
        asking_ = false;
        stale_ = true;
        remark_->say(
            QString::fromStdString(sentence("Stopped. Come back to this page to relate again.")));
      });
}

void RelatePage::take(Result<RelateAnswer> answer) {
  remark_->quiet();
  if (answer) {
    answer_ = std::move(*answer);
    QStringList left_out;
    for (const std::string& one : answer_->left_out) left_out << text(one);
    if (!left_out.isEmpty()) remark_->caution(left_out.join(u'\n'));
  } else {
    answer_.reset();
    remark_->report(answer.error());
  }
  show_answer();
}

void RelatePage::show_answer() {
  {
    const QScopedValueRollback guard(filling_, true);
    const int row_before = std::max(0, table_->currentRow());
    table_->setRowCount(0);
    const QString cue_before = cue_->currentText();
    cue_->clear();
    order_.clear();
    if (answer_) {
      order_ = by_strength(answer_->report);
      for (const std::size_t i : order_) {
        const relate::Relation& relation = answer_->report.relations[i];
        const int row = table_->rowCount();
        table_->insertRow(row);
        const QString help = text(number_help(answer_->pitches, relation.quantity));
        table_->setItem(row, 0, cell(plain_name(relation.quantity.key), help));
        table_->setItem(row, 1, cell(text(correlation_text(correlation_of(relation))), help, true));
        table_->setItem(row, 2,
                        cell(text(verdict_text(relation.within_verdict)), text(relation.says)));
      }
      if (!order_.empty()) table_->setCurrentCell(std::min(row_before, table_->rowCount() - 1), 0);
      for (const std::string& cue : answer_->cues) cue_->addItem(text(cue));

      if (const int at = cue_->findText(cue_before); at >= 0) cue_->setCurrentIndex(at);
    }
    list_changed();
    cue_->setEnabled(cue_->count() > 0);
  }
  std::vector<ShownEffect> effects;
  for (const std::size_t i : order_) {
    if (effects.size() == most_effects) break;
    const relate::Relation& relation = answer_->report.relations[i];
    if (!relation.tested) break;
    const stats::Correlation& r = correlation_of(relation);
    effects.push_back(
        {plain_name(relation.quantity.key), r.r, r.low, r.high, stands(relation.within_verdict)});
  }
  effects_->show_effects(
      effects, QStringLiteral("r with ball speed, 95 % and more\n(filled: beyond chance)"),
      state_.look());
  show_relation();
  show_cue();
  show_change();
  list_retests();
}

void RelatePage::show_relation() {
  const int row = table_->currentRow();
  if (!answer_ || row < 0 || static_cast<std::size_t>(row) >= order_.size()) {
    scatter_->show_points({}, {}, std::nan(""), {}, {}, state_.look());
    says_->setText(answer_ ? QStringLiteral("Too few throws to relate anything: three or more with "
                                            "a ball speed are needed.")
                           : QString());
    return;
  }
  const std::size_t index = order_[static_cast<std::size_t>(row)];
  const relate::Relation& relation = answer_->report.relations[index];
  const auto& quantities = answer_->pitches.quantities;
  const auto column = static_cast<std::size_t>(
      std::find_if(quantities.begin(), quantities.end(),
                   [&](const relate::Quantity& q) { return q.key == relation.quantity.key; }) -
      quantities.begin());
  std::map<std::string, int> groups;
  QStringList names;
  std::vector<ScatterPoint> points;
  for (std::size_t i = 0; i < answer_->pitches.rows.size(); ++i) {
    const relate::Pitch& pitch = answer_->pitches.rows[i];
    const Measured& x = pitch.quantities[column];
    if (!x.known() || !pitch.ball_speed.known()) continue;
    const auto [group, fresh] = groups.emplace(pitch.athlete, static_cast<int>(names.size()));
    if (fresh) names << text(relate::shown_name(answer_->pitches, pitch.athlete));
    points.push_back({x.value, pitch.ball_speed.value, group->second, static_cast<int>(i)});
  }
  // A line says that one goes with the other, so it is drawn only where that is shown.
  scatter_->show_points(
      std::move(points), names,
      stands(relation.within_verdict) ? relation.within_slope.value : std::nan(""),
      axis_text(relation.quantity), axis_text(answer_->pitches.ball_speed), state_.look());
  says_->setText(text(relation.says));
}

void RelatePage::show_cue() {
  if (!answer_ || !answer_->cue) {
    cue_effects_->show_effects({}, {}, state_.look());
    cue_says_->setText(answer_ ? text(answer_->no_cue) : QString());
    return;
  }
  // Quantities have units of their own: each effect is shown against the half width of its
  // interval, and said in its unit below.
  std::vector<ShownEffect> effects;
  QStringList lines;
  for (const relate::CueEffect& effect : answer_->cue->effects) {
    const auto& d = effect.difference;
    const double half = 0.5 * (d.high - d.low);
    if (!std::isfinite(half) || half <= 0.0 || effects.size() == most_effects) continue;
    effects.push_back({plain_name(effect.quantity.key), d.effect / half, d.low / half,
                       d.high / half, stands(effect.verdict)});
    if (stands(effect.verdict) || lines.isEmpty()) lines << text(effect.says);
  }
  cue_effects_->show_effects(
      effects, QStringLiteral("difference with the cue (1: half of its own 95 % interval)"),
      state_.look());
  for (const std::string& note : answer_->cue->notes) lines << text(note);
  lines << text(answer_->cue->carry_over);
  cue_says_->setText(lines.join(u'\n'));
}

void RelatePage::list_changed() {
  // The guard of show_answer holds.
  const QString before = change_of_->currentData().toString();
  change_of_->clear();
  change_of_->addItem(QStringLiteral("everybody"), QString());
  if (answer_ && answer_->change)
    for (const relate::Change& change : answer_->change->changes)
      if (const QString id = text(change.athlete); change_of_->findData(id) < 0)
        change_of_->addItem(text(relate::shown_name(answer_->pitches, change.athlete)), id);
  change_of_->setCurrentIndex(std::max(0, change_of_->findData(before)));
  change_of_->setVisible(change_of_->count() > 2);
}

void RelatePage::show_change() {
  change_->setRowCount(0);
  only_beyond_->setEnabled(answer_ && answer_->change);
  if (!answer_ || !answer_->change) {
    change_says_->setText(answer_ ? text(answer_->no_change) : QString());
    return;
  }
  const relate::ChangeReport& report = *answer_->change;
  const std::string whose = change_of_->currentData().toString().toStdString();
  const bool several = whose.empty() && change_of_->count() > 2;
  for (const std::size_t i : changes_to_show(report, whose, only_beyond_->isChecked())) {
    const relate::Change& change = report.changes[i];
    const QString says = text(change.says);
    const int row = change_->rowCount();
    change_->insertRow(row);
    QString name = plain_name(change.quantity.key);
    if (!change.pitch_type.empty())
      name = text(sentence("{name} ({type} only)", "name"_is(name.toStdString()),
                           "type"_is(change.pitch_type)));
    change_->setItem(
        row, 0,
        cell(several
                 ? text(sentence("{athlete}: {name}",
                                 "athlete"_is(relate::shown_name(answer_->pitches, change.athlete)),
                                 "name"_is(name.toStdString())))
                 : name,
             says));
    change_->setItem(row, 1, cell(text(difference_text(change)), says, true));
    change_->setItem(row, 2, cell(text(limit_text(change)), says, true));
    change_->setItem(row, 3, cell(text(change_word(change)), says));
  }
  change_says_->setText(text(change_words(report, whose)));
}

void RelatePage::list_retests() {
  const OpenSession* open = state_.session();
  const auto of = open == nullptr ? std::nullopt : session::retest_of(open->edits());
  const QString before = retest_of_->currentData().toString();
  retest_of_->clear();
  if (answer_ && open != nullptr)
    for (const auto& choice :
         retest_choices(answer_->sessions,
                        session::retest_side(open->session(), open->path().filename().string())))
      retest_of_->addItem(
          text(sentence("{day}, {file}", "day"_is(choice.day), "file"_is(one_line(choice.where)))),
          text(choice.id));
  if (retest_of_->count() == 0)
    retest_of_->addItem(QStringLiteral("no session within a week"), QString());
  retest_of_->setCurrentIndex(std::max(0, retest_of_->findData(of ? text(*of) : before)));
  const bool known = !retest_of_->currentData().toString().isEmpty();
  retest_of_->setEnabled(known && !of);
  retest_->setEnabled(open != nullptr && (known || of));
  retest_->setText(of ? QStringLiteral("A retest no mo&re") : QStringLiteral("Name it a &retest"));
}

void RelatePage::name_retest() {
  const OpenSession* open = state_.session();
  if (open == nullptr || !answer_) return;
  session::Edit edit = session::no_retest_edit();
  if (!session::retest_of(open->edits())) {
    const std::string id = retest_of_->currentData().toString().toStdString();
    const auto chosen = std::find_if(answer_->sessions.begin(), answer_->sessions.end(),
                                     [&](const auto& one) { return one.id == id; });
    if (chosen == answer_->sessions.end()) return;
    auto named = session::retest_edit(
        session::retest_side(open->session(), open->path().filename().string()), *chosen);
    if (!named) return remark_->report(named.error());
    edit = std::move(*named);
  }
  if (auto added = state_.add_edit(std::move(edit)); !added) remark_->report(added.error());
}

void RelatePage::open_row(int row) {
  if (!answer_ || row < 0 || static_cast<std::size_t>(row) >= answer_->sources.size()) return;
  const RowSource& source = answer_->sources[static_cast<std::size_t>(row)];
  if (state_.session() == nullptr || state_.session()->path() != source.session)
    if (auto opened = state_.open_session(source.session); !opened)
      return remark_->report(opened.error());
  state_.show_throw(source.number);
  Q_EMIT wants_page(DayPage::review);
}

}  // namespace moundwork::desk
