// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/checks_panel.h"

#include <QComboBox>
#include <QGridLayout>
#include <QHeaderView>
#include <QLineEdit>
#include <QPushButton>
#include <QSignalBlocker>
#include <QTableWidget>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>
#include <set>

#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/prepare/plate_place.h"
#include "app/desk/prepare/typed_quantity.h"
#include "core/base/sentence.h"
#include "core/base/time_zone.h"
#include "core/base/wall_time.h"
#include "core/session/plate_name.h"

namespace moundwork::desk {
namespace {

std::size_t at(CheckKind kind) { return static_cast<std::size_t>(kind); }

/// "2026-07-04 16:55", by the lab's clock.
QString time_words(const std::string& made, const LabFolder& lab) {
  const auto time = from_iso_text(made);
  return QString::fromStdString(time ? local_text(*time, zone_of(lab)) : made)
      .left(16)
      .replace(u'T', u' ');
}

/// "passed", "2 of 6 failed": of the lines of one check or of all.
struct Standing {
  int passed = 0, failed = 0;
  std::string last;
  void take(const KeptCheckLine& line) {
    ++(line.line.pass() ? passed : failed);
    last = std::max(last, line.made);
  }
  [[nodiscard]] QString words() const {
    if (passed + failed == 0) return QStringLiteral("not checked yet");
    return failed == 0 ? QStringLiteral("passed")
                       : QStringLiteral("%1 of %2 failed").arg(failed).arg(passed + failed);
  }
};

void put(QTableWidget& table, int row, int column, const QString& text, const Look& look,
         bool failed) {
  auto* item = new QTableWidgetItem(text);
  item->setToolTip(text);
  if (failed) item->setForeground(look.caution);
  table.setItem(row, column, item);
}

}  // namespace

ChecksPanel::ChecksPanel(DeskState& state, Jobs& jobs, QWidget* parent)
    : QWidget(parent),
      state_(state),
      jobs_(jobs),
      plate_(new QComboBox(this)),
      point_(new QComboBox(this)),
      mass_(new QLineEdit(QStringLiteral("20 kg"), this)),
      frequency_(new QLineEdit(this)),
      distance_(new QLineEdit(this)),
      now_(new WordsLabel(this)),
      remark_(new Notice(this)),
      table_(new QTableWidget(this)) {
  plate_->setAccessibleName(QStringLiteral("Plate for the weight"));
  point_->setAccessibleName(QStringLiteral("Where the weight lies"));
  point_->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
  point_->setMinimumContentsLength(28);
  mass_->setAccessibleName(QStringLiteral("Mass of the weight"));
  mass_->setToolTip(QStringLiteral("With its unit: 20 kg"));
  frequency_->setAccessibleName(QStringLiteral("Frequency of the fork"));
  frequency_->setPlaceholderText(QStringLiteral("fork, Hz"));
  frequency_->setToolTip(QStringLiteral("As stamped on the fork, in Hz"));
  distance_->setAccessibleName(QStringLiteral("Distance of the microphone"));
  distance_->setPlaceholderText(QStringLiteral("microphone, m"));
  distance_->setToolTip(
      QStringLiteral("From the station's first plate to the microphone; leave empty when it is "
                     "held beside the knocks"));
  const int narrow = fontMetrics().horizontalAdvance(QStringLiteral("microphone, m")) + 18;
  for (QLineEdit* edit : {mass_, frequency_, distance_}) edit->setMaximumWidth(narrow);

  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  auto* rows = new QGridLayout;
  rows->setVerticalSpacing(6);
  rows->setColumnStretch(1, 1);
  column->addLayout(rows);
  for (int k = 0; k < check_kind_count(); ++k) {
    const auto kind = static_cast<CheckKind>(k);
    auto* title = new WordsLabel(check_title(kind), this);
    QFont strong = title->font();
    strong.setBold(true);
    title->setFont(strong);
    rows->addWidget(title, k, 0);
    auto* task = new WordsLabel(check_task(kind), this);
    task->setWordWrap(true);
    rows->addWidget(task, k, 1);
    auto* choices = new QHBoxLayout;
    if (kind == CheckKind::weight)
      for (QWidget* choice : {static_cast<QWidget*>(plate_), static_cast<QWidget*>(point_),
                              static_cast<QWidget*>(mass_)})
        choices->addWidget(choice);
    if (kind == CheckKind::fork) choices->addWidget(frequency_);
    if (kind == CheckKind::tap) choices->addWidget(distance_);
    choices->addStretch(1);
    rows->addLayout(choices, k, 2);
    auto* button = new QPushButton(QStringLiteral("Run"), this);
    button->setAccessibleName(QStringLiteral("Run: ") + check_title(kind));
    rows->addWidget(button, k, 3);
    auto* last = new WordsLabel(this);
    last->setMinimumWidth(fontMetrics().horizontalAdvance(QStringLiteral("not checked yet ")));
    rows->addWidget(last, k, 4);
    run_.push_back(button);
    last_.push_back(last);
    row_.push_back({title, task});
    connect(button, &QPushButton::clicked, this, [this, kind] { run(kind); });
  }
  QFont large = now_->font();
  large.setPointSizeF(1.5 * large.pointSizeF());
  large.setBold(true);
  now_->setFont(large);
  now_->setWordWrap(true);
  now_->hide();
  column->addWidget(now_);
  column->addWidget(remark_);
  table_->setColumnCount(6);
  table_->setHorizontalHeaderLabels({QStringLiteral("Verdict"), QStringLiteral("Check"),
                                     QStringLiteral("What"), QStringLiteral("Found"),
                                     QStringLiteral("Wanted"), QStringLiteral("When")});
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setTabKeyNavigation(false);
  table_->verticalHeader()->hide();
  table_->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  table_->horizontalHeader()->setSectionResizeMode(2, QHeaderView::Stretch);
  table_->setAccessibleName(QStringLiteral("Last results of the checks"));
  column->addWidget(table_, 1);

  clock_.setInterval(100);
  connect(&clock_, &QTimer::timeout, this, &ChecksPanel::show_running);
  connect(plate_, &QComboBox::currentIndexChanged, this, &ChecksPanel::name_points);
  connect(&state_, &DeskState::lab_changed, this, &ChecksPanel::reload);
  connect(&state_, &DeskState::preferences_changed, this, &ChecksPanel::show_results);
  reload();
}

void ChecksPanel::reload() {
  const auto station = drivers::read_station(state_.lab().station());
  name_plates(station ? &station->session : nullptr);
  for (int k = 0; k < check_kind_count(); ++k) {
    const auto kind = static_cast<CheckKind>(k);
    // What every lab has is shown also before its station is described.
    const bool shown = station ? has_check(*station, kind) : kind <= CheckKind::tap;
    run_[at(kind)]->setVisible(shown);
    last_[at(kind)]->setVisible(shown);
    for (QWidget* widget : row_[at(kind)]) widget->setVisible(shown);
  }
  results_ = last_results(state_.lab());
  name_points();
  show_results();
}

void ChecksPanel::name_plates(const session::Session* station) {
  const int chosen = std::max(0, plate_->currentIndex());
  plates_.clear();
  QStringList names;
  // Whichever way the file has them, the back foot's come first.
  for (const session::PlateRole role : {session::PlateRole::back, session::PlateRole::lead}) {
    int number = 0;
    for (std::size_t i = 0; station != nullptr && i < station->plates.size(); ++i) {
      if (station->plates[i].role != role) continue;
      plates_.push_back({role, ++number});
      names << QString::fromStdString(session::plate_name(*station, i));
    }
    // What every lab has is shown also before its station is described.
    if (number > 0) continue;
    plates_.push_back({role});
    names << QString::fromStdString(session::plate_name(role));
  }
  const QSignalBlocker quiet(plate_);
  plate_->clear();
  plate_->addItems(names);
  plate_->setCurrentIndex(std::min(chosen, static_cast<int>(names.size()) - 1));
}

drivers::PlateChoice ChecksPanel::chosen_plate() const {
  return plates_.at(static_cast<std::size_t>(std::max(0, plate_->currentIndex())));
}

void ChecksPanel::name_points() {
  const int chosen = std::max(0, point_->currentIndex());
  const drivers::PlateChoice choice = chosen_plate();
  QStringList points{QStringLiteral("middle")};
  // Quadrants go by the plate's own axes; where they lie is told from the station's corners.
  const auto station = drivers::read_station(state_.lab().station());
  for (int q = 0; q < 4; ++q) {
    std::string words = sentence("quadrant {number}", "number"_is(q + 1));
    int number = 0;
    if (station)
      for (const session::Plate& plate : station->session.plates)
        if (plate.role == choice.role && ++number == choice.number)
          words = sentence("quadrant {number}: {place}", "number"_is(q + 1),
                           "place"_is(quadrant_words(plate.description.corners, q).toStdString()));
    points << QString::fromStdString(words);
  }
  point_->clear();
  point_->addItems(points);
  point_->setCurrentIndex(chosen);
  point_->setToolTip(QStringLiteral("Quadrants: 60 % of the way from the middle to the edges"));
}

Result<StationCheck> ChecksPanel::asked(CheckKind kind) const {
  StationCheck check;
  check.kind = kind;
  check.duration = duration_;
  if (kind == CheckKind::weight) {
    check.plate = chosen_plate();
    check.point = static_cast<drivers::WeightPoint>(std::max(0, point_->currentIndex()));
    const auto mass = typed_quantity(mass_->text().toStdString(), Dimension::mass, "kg", "weight");
    if (!mass) return tl::make_unexpected(mass.error());
    if (!(*mass > 0.0)) return fail("weight", "has no mass", "type it, such as 20 kg");
    check.mass = *mass;
  }
  if (kind == CheckKind::fork) {
    const auto frequency =
        typed_quantity(frequency_->text().toStdString(), Dimension::frequency, "Hz", "fork");
    if (!frequency) return tl::make_unexpected(frequency.error());
    if (!(*frequency > 0.0)) return fail("fork", "has no frequency", "type it in Hz");
    check.frequency = *frequency;
  }
  if (kind == CheckKind::tap && !distance_->text().trimmed().isEmpty()) {
    const auto distance =
        typed_quantity(distance_->text().toStdString(), Dimension::length, "m", "microphone");
    if (!distance) return tl::make_unexpected(distance.error());
    check.microphone_distance = *distance;
  }
  return check;
}

void ChecksPanel::run(CheckKind kind) {
  remark_->quiet();
  const auto check = asked(kind);
  if (!check) return remark_->report(check.error());
  const auto station = drivers::read_station(state_.lab().station());
  if (!station) {
    Error error = station.error();
    if (!std::filesystem::exists(state_.lab().station()))
      error =
          fail("check", "this lab has no station yet", "describe it under Station first").value();
    return remark_->report(error);
  }
  running_ = kind;
  control_ = jobs_.run(
      QStringLiteral("Check: ") + check_title(kind), this,
      [station = *station, check = *check](JobControl& control) {
        return run_check(station, check, [&](double share) { return control.progress(share); });
      },
      [this, kind](const Result<drivers::CheckSheet>& sheet) {
        show_ended();
        take(kind, sheet);
      },
      [this] {
        show_ended();
        remark_->say(QStringLiteral("Stopped; nothing was kept."));
      });
  clock_.start();
  show_running();
}

void ChecksPanel::show_running() {
  for (QPushButton* button : run_) button->setEnabled(control_ == nullptr);
  now_->setVisible(control_ != nullptr);
  if (control_ != nullptr)
    now_->setText(QStringLiteral("%1  %2 s")
                      .arg(check_task(running_))
                      .arg(std::ceil(duration_ * (1.0 - control_->share()))));
}

void ChecksPanel::show_ended() {
  control_.reset();
  clock_.stop();
  show_running();
}

void ChecksPanel::take(CheckKind kind, const Result<drivers::CheckSheet>& sheet) {
  if (!sheet) return remark_->report(sheet.error());
  if (const auto kept = keep_sheet(state_.lab(), *sheet, wall_now()); !kept)
    return remark_->report(kept.error());
  const auto failed =
      std::count_if(sheet->begin(), sheet->end(), [](const auto& line) { return !line.pass(); });
  if (failed > 0)
    remark_->caution(QStringLiteral("%1: %2 of %3 failed. The failing lines come first below.")
                         .arg(check_title(kind))
                         .arg(failed)
                         .arg(sheet->size()));
  else
    remark_->say(check_title(kind) + QStringLiteral(": passed."));
  // Five points to a plate: after a good one, the next is at hand.
  if (kind == CheckKind::weight && failed == 0)
    point_->setCurrentIndex((point_->currentIndex() + 1) % point_->count());
  results_ = last_results(state_.lab());
  show_results();
}

void ChecksPanel::show_results() {
  for (int k = 0; k < check_kind_count(); ++k) {
    const auto kind = static_cast<CheckKind>(k);
    Standing standing;
    for (const KeptCheckLine& line : results_)
      if (line.line.check == check_key(kind)) standing.take(line);
    last_[at(kind)]->setText(standing.words());
    last_[at(kind)]->setToolTip(standing.last.empty() ? QString()
                                                      : time_words(standing.last, state_.lab()));
  }
  std::vector<KeptCheckLine> lines = results_;
  std::stable_sort(lines.begin(), lines.end(), [](const KeptCheckLine& a, const KeptCheckLine& b) {
    return a.line.pass() < b.line.pass();
  });
  table_->setRowCount(static_cast<int>(lines.size()));
  for (int row = 0; row < table_->rowCount(); ++row) {
    const KeptCheckLine& kept = lines[static_cast<std::size_t>(row)];
    const bool failed = !kept.line.pass();
    QString title = QString::fromStdString(kept.line.check);
    for (int k = 0; k < check_kind_count(); ++k)
      if (check_key(static_cast<CheckKind>(k)) == kept.line.check)
        title = check_title(static_cast<CheckKind>(k));
    const Look& look = state_.look();
    put(*table_, row, 0, failed ? QStringLiteral("FAILED") : QStringLiteral("passed"), look,
        failed);
    put(*table_, row, 1, title, look, failed);
    put(*table_, row, 2, QString::fromStdString(kept.line.item), look, failed);
    put(*table_, row, 3, found_words(kept.line), look, failed);
    put(*table_, row, 4, wanted_words(kept.line), look, failed);
    put(*table_, row, 5, time_words(kept.made, state_.lab()), look, failed);
  }
  Q_EMIT results_changed();
}

QString ChecksPanel::standing() const {
  Standing standing;
  std::set<std::string> run;
  for (const KeptCheckLine& line : results_) {
    standing.take(line);
    run.insert(line.line.check);
  }
  if (standing.passed + standing.failed == 0) return standing.words();
  const auto day = "day"_is(time_words(standing.last, state_.lab()).left(10).toStdString());
  if (standing.failed > 0)
    return QString::fromStdString(
        sentence("{standing}, {day}", "standing"_is(standing.words().toStdString()), day));
  const int all = check_kind_count();
  return QString::fromStdString(static_cast<int>(run.size()) >= all
                                    ? sentence("all passed, {day}", day)
                                    : sentence("{run} of {all} kinds passed, {day}",
                                               "run"_is(run.size()), "all"_is(all), day));
}

}  // namespace moundwork::desk
