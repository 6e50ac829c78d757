// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/relate/relate_page.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QScopedValueRollback>
#include <QSplitter>
#include <QTabWidget>
#include <QTableWidget>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/relate/effect_chart.h"
#include "app/desk/relate/scatter_plot.h"
#include "app/desk/state/words.h"

namespace moundwork::desk {
namespace {

constexpr std::size_t most_effects = 18;  // lines that a chart holds and still reads

QString text(const std::string& words) { return QString::fromStdString(words); }

QTableWidgetItem* cell(const QString& words, bool number = false) {
  auto* item = new QTableWidgetItem(words);
  item->setToolTip(words);
  if (number) item->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
  return item;
}

QString correlation_text(const stats::Correlation& r) {
  return QStringLiteral("%1 (%2 to %3)")
      .arg(r.r, 0, 'f', 2)
      .arg(r.low, 0, 'f', 2)
      .arg(r.high, 0, 'f', 2);
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
  table->setWordWrap(false);
  table->verticalHeader()->hide();
  table->verticalHeader()->setDefaultSectionSize(table->fontMetrics().height() + 6);
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
                         QStringLiteral("verdict")},
                        QStringLiteral("Numbers by how closely they go with ball speed"))),
      scatter_(new ScatterPlot(this)),
      says_(new WordsLabel(this)),
      beside_(new QTabWidget(this)),
      effects_(new EffectChart(this)),
      cue_effects_(new EffectChart(this)),
      cue_says_(new WordsLabel(this)),
      change_(make_table(this,
                         {QStringLiteral("Number"), QStringLiteral("change"),
                          QStringLiteral("limit"), QStringLiteral("real?")},
                         QStringLiteral("Change against the last session"))),
      change_says_(new WordsLabel(this)),
      remark_(new Notice(this)) {
  lay_out();
  const auto changed = [this] {
    stale_ = true;
    if (isVisible()) ask();
  };
  connect(&state_, &DeskState::session_changed, this, changed);
  connect(&state_, &DeskState::results_changed, this, changed);
  connect(&state_, &DeskState::lab_changed, this, changed);
  connect(&state_, &DeskState::preferences_changed, this, [this] { show_answer(); });
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
  change_column->addWidget(change_, 1);
  change_says_->setWordWrap(true);
  change_column->addWidget(change_says_);
  beside_->addTab(change_side, QStringLiteral("&Since last session"));
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
  if (scope_->currentIndex() == 0) {
    if (state_.session() != nullptr)
      athlete = state_.session()->session().athlete.id;
    else if (state_.athlete() != nullptr)
      athlete = state_.athlete()->id;
    if (athlete.empty()) {
      remark_->caution(QStringLiteral(
          "No athlete is chosen and no session is open: open one, or look at everybody's throws."));
      answer_.reset();
      return show_answer();
    }
  }
  stale_ = false;
  asking_ = true;
  std::vector<std::filesystem::path> also;
  if (state_.session() != nullptr) also.push_back(state_.session()->path());
  jobs_.run(
      QStringLiteral("Relating"), this,
      [lab = state_.lab(), also, athlete,
       cue = cue_->currentText().toStdString()](JobControl& job) {
        std::vector<std::filesystem::path> files = also;
        for (const SessionEntry& entry : list_sessions(lab)) files.push_back(entry.path);
        return relate_sessions(files, athlete, cue,
                               [&](double share) { return job.progress(share); });
      },
      [this](Result<RelateAnswer> answer) {
        asking_ = false;
        take(std::move(answer));
        if (stale_) ask();
      },
      [this] {
        asking_ = false;
        stale_ = true;
        remark_->say(QStringLiteral("Stopped. Come back to this page to relate again."));
      });
}

void RelatePage::take(Result<RelateAnswer> answer) {
  remark_->quiet();
  if (answer) {
    answer_ = std::move(*answer);
    if (!answer_->left_out.empty()) remark_->caution(text(answer_->left_out.front()));
  } else {
    answer_.reset();
    remark_->report(answer.error());
  }
  show_answer();
}

double RelatePage::shown_factor(const relate::Quantity& quantity, QString& unit) const {
  unit = text(quantity.unit);
  if (quantity.key == "ball_speed") {
    unit = unit_text(state_.preferences().speed);
    return in_unit(1.0, state_.preferences().speed);
  }
  if (quantity.unit == "s") {
    unit = QStringLiteral("ms");
    return 1e3;
  }
  if (quantity.unit == "rad") {
    unit = QStringLiteral("°");
    return 180.0 / std::numbers::pi;
  }
  if (quantity.unit == "1") {
    unit = QStringLiteral("%");
    return 100.0;
  }
  return 1.0;
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
        table_->setItem(row, 0, cell(plain_name(relation.quantity.key)));
        table_->setItem(row, 1, cell(correlation_text(correlation_of(relation)), true));
        const std::string_view verdict = relate::name_of(relation.within_verdict);
        table_->setItem(
            row, 2,
            cell(QString::fromUtf8(verdict.data(), static_cast<qsizetype>(verdict.size()))));
      }
      if (!order_.empty()) table_->setCurrentCell(std::min(row_before, table_->rowCount() - 1), 0);
      for (const std::string& cue : answer_->cues) cue_->addItem(text(cue));
      if (const int at = cue_->findText(cue_before); at >= 0) cue_->setCurrentIndex(at);
    }
    cue_->setEnabled(cue_->count() > 0);
  }
  std::vector<ShownEffect> effects;
  for (const std::size_t i : order_) {
    if (effects.size() == most_effects) break;
    const relate::Relation& relation = answer_->report.relations[i];
    const stats::Correlation& r = correlation_of(relation);
    effects.push_back(
        {plain_name(relation.quantity.key), r.r, r.low, r.high, stands(relation.within_verdict)});
  }
  effects_->show_effects(
      effects, QStringLiteral("r with ball speed, 95 %\n(filled: beyond chance)"), state_.look());
  show_relation();
  show_cue();
  show_change();
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
  QString x_unit, y_unit;
  const double x_factor = shown_factor(relation.quantity, x_unit);
  const double y_factor = shown_factor(answer_->pitches.ball_speed, y_unit);
  std::map<std::string, int> groups;
  QStringList names;
  std::vector<ScatterPoint> points;
  for (std::size_t i = 0; i < answer_->pitches.rows.size(); ++i) {
    const relate::Pitch& pitch = answer_->pitches.rows[i];
    const Measured& x = pitch.quantities[column];
    if (!x.known() || !pitch.ball_speed.known()) continue;
    const auto [group, fresh] = groups.emplace(pitch.athlete, static_cast<int>(names.size()));
    if (fresh) names << text(pitch.athlete);
    points.push_back({x.value * x_factor, pitch.ball_speed.value * y_factor, group->second,
                      static_cast<int>(i)});
  }
  scatter_->show_points(std::move(points), names, relation.within_slope.value * y_factor / x_factor,
                        plain_name(relation.quantity.key) + QStringLiteral(" (") + x_unit + u')',
                        QStringLiteral("Ball speed (") + y_unit + u')', state_.look());
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
  cue_effects_->show_effects(effects, QStringLiteral("with minus without, in half 95 % intervals"),
                             state_.look());
  cue_says_->setText(lines.join(u'\n'));
}

void RelatePage::show_change() {
  change_->setRowCount(0);
  if (!answer_ || !answer_->change) {
    change_says_->setText(answer_ ? text(answer_->no_change) : QString());
    return;
  }
  QStringList real;
  for (const relate::Change& change : answer_->change->changes) {
    if (!std::isfinite(change.difference)) continue;
    QString unit;
    const double factor = shown_factor(change.quantity, unit);
    const int row = change_->rowCount();
    change_->insertRow(row);
    const QString who =
        scope_->currentIndex() == 0 ? QString() : text(change.athlete) + QStringLiteral(": ");
    change_->setItem(row, 0, cell(who + plain_name(change.quantity.key)));
    change_->setItem(
        row, 1,
        cell(QStringLiteral("%1 %2").arg(change.difference * factor, 0, 'g', 3).arg(unit), true));
    change_->setItem(
        row, 2,
        cell(std::isfinite(change.limit)
                 ? QStringLiteral("%1 %2").arg(change.limit * factor, 0, 'g', 3).arg(unit)
                 : QStringLiteral("none"),
             true));
    change_->setItem(row, 3,
                     cell(change.real ? QStringLiteral("real") : QStringLiteral("may be chance")));
    for (int column = 0; column < 4; ++column)
      change_->item(row, column)->setToolTip(text(change.says));
    if (change.real) real << text(change.says);
  }
  change_says_->setText(
      real.isEmpty()
          ? QStringLiteral("Nothing has changed by more than these sessions' own scatter explains.")
          : real.first());
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
