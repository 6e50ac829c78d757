// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/throw_page.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QPushButton>
#include <QShortcut>
#include <QSplitter>
#include <QTableView>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>
#include <utility>

#include "app/desk/capture/lamps_line.h"
#include "app/desk/capture/last_throw_panel.h"
#include "app/desk/capture/sweep_traces.h"
#include "app/desk/capture/tag_panel.h"
#include "app/desk/capture/throw_list.h"
#include "app/desk/capture/throw_tags.h"
#include "app/desk/jobs/analysis_job.h"
#include "app/desk/page/notice.h"
#include "app/desk/state/edit_command.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;

constexpr int frame_ms = 16;
constexpr int status_ms = 250;
constexpr double live_trail = 1.5;  // s of pressure shown while somebody stands there

QString shown_name(const RosterAthlete& athlete) {
  return QString::fromStdString(athlete.name.empty() ? athlete.id : athlete.name);
}

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

/// A throw just found, as its results will be kept.
session::ResultThrow as_result(const pitch::AnalysedThrow& thrown) {
  return pitch::to_results({{thrown}, {}}, {}, {}).throws.front();
}

}  // namespace

ThrowPage::ThrowPage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent),
      state_(state),
      jobs_(jobs),
      practice_(state, jobs),
      list_(new ThrowList(this)),
      athlete_(new QComboBox(this)),
      start_(new QPushButton(this)),
      practise_(new QPushButton(QStringLiteral("Practise with &virtual instruments"), this)),
      zero_(new QPushButton(QStringLiteral("Zero the display (Z)"), this)),
      elapsed_(new QLabel(this)),
      lost_(new QLabel(this)),
      disk_(new QLabel(this)),
      load_(new QLabel(this)),
      practice_words_(new QLabel(this)),
      lamps_(new LampsLine(this)),
      remark_(new Notice(this)),
      unfinished_(new QWidget(this)),
      unfinished_words_(new QLabel(unfinished_)),
      go_on_(new QPushButton(QStringLiteral("&Go on with it"), unfinished_)),
      leave_(new QPushButton(QStringLiteral("&Close it as it is"), unfinished_)),
      traces_(new SweepTraces(state.look(), this)),
      last_(new LastThrowPanel(this)),
      foot_(new FootPicture(state.look(), this)),
      table_(new QTableView(this)),
      tags_(new TagPanel(this)) {
  make_layout();
  make_keys();
  frames_.setTimerType(Qt::PreciseTimer);
  frames_.setInterval(frame_ms);
  status_.setInterval(status_ms);
  connect(&frames_, &QTimer::timeout, this, &ThrowPage::frame);
  connect(&status_, &QTimer::timeout, this, &ThrowPage::show_status);

  connect(&day_, &LiveDay::ending, this,
          [this] { traces_->hold(day_.snapshot(traces_->whole_span())); });
  connect(&day_, &LiveDay::phase_changed, this, &ThrowPage::show_status);
  connect(&day_, &LiveDay::begun, this, &ThrowPage::recording_began);
  connect(&day_, &LiveDay::ended, this, &ThrowPage::recording_ended);
  connect(&day_, &LiveDay::throw_found, this, &ThrowPage::take_throw);
  connect(&day_, &LiveDay::failed, remark_, &Notice::caution);
  connect(&practice_, &Practice::ready, this, &ThrowPage::start);
  connect(&practice_, &Practice::failed, remark_, &Notice::caution);
  connect(&jobs_, &Jobs::changed, this, &ThrowPage::show_status);  // practice may be stopped
  connect(&practice_, &Practice::over, this, [this] {
    remark_->say(QStringLiteral(
        "That was the athlete's last throw. Press End recording (F9) to see the whole session."));
  });

  connect(&state_, &DeskState::roster_changed, this, &ThrowPage::show_athletes);
  connect(&state_, &DeskState::athlete_changed, this, &ThrowPage::show_athletes);
  connect(&state_, &DeskState::lab_changed, this, &ThrowPage::offer_unfinished);
  connect(&state_, &DeskState::preferences_changed, this, &ThrowPage::dress_anew);
  connect(&state_, &DeskState::session_changed, this, &ThrowPage::show_session);
  connect(&state_, &DeskState::results_changed, this, &ThrowPage::show_session);
  connect(&state_, &DeskState::edits_changed, this, &ThrowPage::show_notes);
  connect(&state_, &DeskState::edit_failed, this, [this](const QString& words) {
    undo_.clear();  // it may hold what never came to the list
    remark_->caution(words);
  });
  unfinished_->hide();
  show_athletes();
  dress_anew();
  show_session();
}

ThrowPage::~ThrowPage() = default;

void ThrowPage::make_layout() {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(12, 2, 12, 4);
  column->setSpacing(4);

  auto* controls = new QHBoxLayout;
  controls->setSpacing(10);
  auto* whose = new QLabel(QStringLiteral("&Athlete"), this);
  whose->setBuddy(athlete_);
  athlete_->setMinimumContentsLength(18);
  athlete_->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
  controls->addWidget(whose);
  controls->addWidget(athlete_);
  QFont strong = start_->font();
  strong.setBold(true);
  start_->setFont(strong);
  controls->addWidget(start_);
  controls->addWidget(practise_);
  controls->addWidget(elapsed_);
  controls->addWidget(lost_);
  controls->addWidget(disk_);
  controls->addStretch(1);
  controls->addWidget(load_);
  controls->addWidget(zero_);
  column->addLayout(controls);
  zero_->setToolTip(
      QStringLiteral("Takes what the plates carry now as 0 on this screen. Step off first. "
                     "What is recorded stays as it is."));
  connect(start_, &QPushButton::clicked, this, &ThrowPage::start_or_end);
  connect(practise_, &QPushButton::clicked, this, &ThrowPage::practise);
  connect(zero_, &QPushButton::clicked, &day_, &LiveDay::zero_display);
  connect(athlete_, &QComboBox::activated, this, [this](int index) {
    state_.choose_athlete(athlete_->itemData(index).toString().toStdString());
  });

  practice_words_->setWordWrap(true);
  practice_words_->setText(
      QStringLiteral("Practice: invented athletes on virtual instruments, in a folder of its own. "
                     "Leave it by the menu Lab."));
  practice_words_->hide();
  column->addWidget(practice_words_);
  column->addWidget(lamps_);
  column->addWidget(remark_);

  auto* offer = new QHBoxLayout(unfinished_);
  offer->setContentsMargins(0, 0, 0, 0);
  unfinished_words_->setWordWrap(true);
  unfinished_words_->setProperty("caution", true);
  offer->addWidget(unfinished_words_, 1);
  offer->addWidget(go_on_);
  offer->addWidget(leave_);
  column->addWidget(unfinished_);
  connect(go_on_, &QPushButton::clicked, this, [this] {
    if (unfinished_files_.empty()) return;
    const fs::path file = unfinished_files_.front();
    unfinished_files_.erase(unfinished_files_.begin());
    remark_->say(QStringLiteral("What was recorded so far is being measured…"));
    day_.go_on(state_.lab(), file);
  });
  connect(leave_, &QPushButton::clicked, this, [this] {
    if (unfinished_files_.empty()) return;
    const fs::path file = unfinished_files_.front();
    clear_recording_mark(file);
    measure(file, QStringLiteral("The recording is closed. Nothing in it was lost but what came in "
                                 "its last half second."));
    offer_unfinished();
  });

  auto* split = new QSplitter(Qt::Horizontal, this);
  auto* left = new QSplitter(Qt::Vertical, split);
  left->addWidget(traces_);
  left->addWidget(table_);
  left->setStretchFactor(0, 3);
  left->setStretchFactor(1, 2);
  left->setChildrenCollapsible(false);
  auto* right = new QWidget(split);
  auto* right_column = new QVBoxLayout(right);
  right_column->setContentsMargins(6, 0, 0, 0);
  right_column->addWidget(last_);
  // A foot lies along the rubber, so its picture is wide.
  right_column->addWidget(foot_, 1);
  right_column->addWidget(tags_);
  split->addWidget(left);
  split->addWidget(right);
  split->setStretchFactor(0, 3);
  split->setStretchFactor(1, 2);
  split->setChildrenCollapsible(false);
  column->addWidget(split, 1);

  table_->setModel(list_);
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setSelectionMode(QAbstractItemView::SingleSelection);
  table_->setTabKeyNavigation(false);
  table_->setWordWrap(false);
  table_->verticalHeader()->hide();
  table_->setAccessibleName(QStringLiteral("Throws of this recording, the newest on top"));
  table_->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
  // A time is wider than its heading, and the first comes when the columns have their widths.
  table_->horizontalHeader()->setSectionResizeMode(ThrowList::time, QHeaderView::Fixed);
  table_->horizontalHeader()->resizeSection(
      ThrowList::time, fontMetrics().horizontalAdvance(QStringLiteral("0:00:00")) + 12);
  table_->horizontalHeader()->setSectionResizeMode(ThrowList::tags, QHeaderView::Stretch);
  table_->horizontalHeader()->setSectionResizeMode(ThrowList::remarks, QHeaderView::Stretch);
  table_->horizontalHeader()->setHighlightSections(false);
  table_->verticalHeader()->setSectionResizeMode(QHeaderView::Fixed);
  table_->verticalHeader()->setDefaultSectionSize(fontMetrics().height() + 6);
  connect(table_->selectionModel(), &QItemSelectionModel::currentRowChanged, this,
          &ThrowPage::show_throw);

  connect(tags_, &TagPanel::tag_chosen, this,
          [this](const std::string& tag, const std::string& text) {
            if (const auto* thrown = chosen())
              note(tag_edit(seconds(thrown->contact), tag, text), QStringLiteral("note"));
          });
  connect(tags_, &TagPanel::exclude_chosen, this, [this](const std::string& why) {
    if (const auto* thrown = chosen())
      note(exclude_edit(seconds(thrown->contact), why), QStringLiteral("leaving out"));
    table_->setFocus();
  });
  connect(tags_, &TagPanel::include_chosen, this, [this] {
    if (const auto* thrown = chosen())
      note(include_edit(seconds(thrown->contact)), QStringLiteral("taking in again"));
  });
}

void ThrowPage::make_keys() {
  const auto key = [this](const QKeySequence& keys, auto action) {
    auto* shortcut = new QShortcut(keys, this);
    shortcut->setContext(Qt::WidgetWithChildrenShortcut);
    connect(shortcut, &QShortcut::activated, this, action);
  };
  key(QKeySequence(Qt::Key_F9), [this] { start_or_end(); });
  key(QKeySequence(Qt::Key_Z), [this] { day_.zero_display(); });
  for (const PitchKey& one : pitch_keys)
    key(QKeySequence(QString(QLatin1Char(one.key))), [this, &one] {
      if (chosen() == nullptr) return;
      const session::EditState state = list_->state(table_->currentIndex().row());
      const auto had = state.tags.find(pitch_tag);
      const bool same = had != state.tags.end() && had->second == one.pitch;
      Q_EMIT tags_->tag_chosen(pitch_tag, same ? std::string() : one.pitch);
    });
  for (int digit = 1; digit <= 9; ++digit)
    key(QKeySequence(QString::number(digit)), [this, digit] {
      if (chosen() == nullptr) return;
      const std::string miss = miss_text(digit, recorded_.athlete.throws);
      const session::EditState state = list_->state(table_->currentIndex().row());
      const auto had = state.tags.find(miss_tag);
      const bool same = had != state.tags.end() && had->second == miss;
      Q_EMIT tags_->tag_chosen(miss_tag, same ? std::string() : miss);
    });
  key(QKeySequence(Qt::Key_U), [this] {
    if (chosen() == nullptr) return;
    const session::EditState state = list_->state(table_->currentIndex().row());
    Q_EMIT tags_->tag_chosen(cue_tag,
                             state.tags.contains(cue_tag) ? std::string() : tags_->cue_name());
  });
  key(QKeySequence(Qt::Key_X), [this] {
    if (chosen() != nullptr) tags_->exclude_key();
  });
}

QString ThrowPage::hint() const {
  switch (day_.phase()) {
    case LiveDay::Phase::starting:
      return QStringLiteral("The recording begins.");
    case LiveDay::Phase::recording:
      return QStringLiteral("Recording. Each throw shows a second after it; F9 ends.");
    case LiveDay::Phase::ending:
      return QStringLiteral("The recording is being closed.");
    case LiveDay::Phase::idle:
      break;
  }
  if (practice_.preparing())
    return QStringLiteral("Three athletes and a set of instruments are being invented.");
  return state_.roster().empty()
             ? QStringLiteral("Enter athletes on the page Prepare, or practise first.")
             : QStringLiteral("Choose whose turn it is and press Start recording.");
}

QString ThrowPage::busy_with() const {
  return day_.phase() == LiveDay::Phase::idle
             ? QString()
             : QStringLiteral("A recording runs. End it first, on the page Throw (F9).");
}

void ThrowPage::showEvent(QShowEvent* event) {
  Page::showEvent(event);
  // Single keys are this page's as soon as it is seen.
  if (practise_->isVisible())
    practise_->setFocus();
  else
    table_->setFocus();
}

void ThrowPage::practise() {
  if (day_.phase() != LiveDay::Phase::idle) {
    remark_->caution(busy_with());
    return;
  }
  remark_->quiet();
  practice_.prepare();
  show_status();
}

void ThrowPage::start_or_end() {
  if (day_.phase() == LiveDay::Phase::recording) {
    day_.end();
  } else if (day_.phase() == LiveDay::Phase::idle) {
    if (is_practice(state_.lab().root))
      practise();
    else
      start();
  }
}

void ThrowPage::start() {
  const std::string day = iso_now().substr(0, 10);
  const auto order = recording_order(state_.lab(), state_.athlete(), day);
  if (!order) {
    remark_->report(order.error());
    return;
  }
  remark_->quiet();
  day_.begin(*order, new_session_path(state_.lab(), order->athlete.id, day));
}

void ThrowPage::offer_unfinished() {
  unfinished_files_ = unfinished_recordings(state_.lab());
  const bool practice = is_practice(state_.lab().root);
  practice_words_->setVisible(practice);
  if (practice) {
    // Its instruments are gone for good, and it is nobody's.
    for (const fs::path& file : unfinished_files_) clear_recording_mark(file);
    unfinished_files_.clear();
  }
  if (!unfinished_files_.empty())
    unfinished_words_->setText(
        QStringLiteral("The recording %1 was cut off. What it holds is safe.")
            .arg(QString::fromStdString(unfinished_files_.front().filename().string())));
  show_status();
}

void ThrowPage::recording_began() {
  remark_->quiet();
  file_ = day_.file();
  recorded_ = *day_.session();
  undo_.clear();
  trails_.clear();
  scene_ = empty_scene(recorded_);
  foot_->show_scene(scene_);
  traces_->clear();
  std::vector<session::ResultThrow> before;
  for (const pitch::AnalysedThrow& thrown : day_.throws()) before.push_back(as_result(thrown));
  list_->set_throws(std::move(before));
  list_->set_edits({});
  if (const auto opened = state_.open_session(file_); !opened)
    remark_->report(opened.error());
  else
    list_->set_edits(state_.session()->edits());
  state_.choose_athlete(recorded_.athlete.id);
  dress_anew();
  if (list_->rowCount() > 0) table_->selectRow(0);
  show_throw();
  count_pitches();
  if (isVisible()) table_->setFocus();  // so that single keys note, not type
  frames_.start();
  status_.start();
  practice_.play();
}

void ThrowPage::count_pitches() {
  pitches_ = {};
  counted_ = file_;
  const RosterAthlete* athlete = state_.athlete();
  if (athlete != nullptr) pitches_.age = age_on(*athlete, iso_now());
  show_load();
  jobs_.run(
      QStringLiteral("Counting today's throws"), this,
      [lab = state_.lab(), id = recorded_.athlete.id, file = file_](JobControl&) {
        return count_today(lab, id, file);
      },
      [this, file = file_](const PitchLoad& counted) {
        if (file != file_) return;
        pitches_.earlier = counted.earlier;
        pitches_.uncounted = counted.uncounted;
        show_load();
      });
}

void ThrowPage::show_load() {
  if (file_.empty() || counted_ != file_) {
    load_->clear();
    return;
  }
  pitches_.now = list_->rowCount();
  const LoadWords said = load_words(pitches_, state_.pitch_counts());
  load_->setText(said.words);
  load_->setToolTip(said.about);
  load_->setAccessibleDescription(said.about);
  if (load_->property("caution").toBool() != said.caution) {
    load_->setProperty("caution", said.caution);
    load_->style()->unpolish(load_);
    load_->style()->polish(load_);
  }
}

void ThrowPage::take_throw(int number) {
  const pitch::AnalysedThrow& thrown = day_.throws()[static_cast<std::size_t>(number - 1)];
  // Who is just noting something of an earlier throw is not taken away from it.
  const bool follow = table_->currentIndex().row() <= 0 && !tags_->deciding();
  trails_.push_back(trail_of(thrown, day_.snapshot(trail_span)));
  traces_->mark_throw(thrown.contact, thrown.number);
  list_->add(as_result(thrown));
  if (follow) table_->selectRow(0);
  show_load();
  if (const std::string cue = tags_->lasting_cue(); !cue.empty())
    note(tag_edit(thrown.contact, cue_tag, cue), QStringLiteral("cue"));
}

void ThrowPage::note(session::Edit edit, const QString& words) {
  // Someone may be looking at another session; what is noted here belongs to this one.
  if (state_.session() == nullptr || state_.session()->path() != file_)
    if (const auto opened = state_.open_session(file_); !opened) {
      remark_->report(opened.error());
      return;
    }
  undo_.push(new EditCommand(state_, std::move(edit), words,
                             [this](const Error& error) { remark_->report(error); }));
}

void ThrowPage::show_notes() {
  if (state_.session() == nullptr || state_.session()->path() != file_) return;
  list_->set_edits(state_.session()->edits());
  show_throw();
}

void ThrowPage::recording_ended(const RecordingEnd& end) {
  frames_.stop();
  status_.stop();
  practice_.stop();
  offer_unfinished();
  if (!end.problem.empty()) remark_->caution(QString::fromStdString(end.problem));
  if (end.samples == 0) {
    // A file that holds nothing would only be in the way of those that do.
    if (end.readings == 0 && end.problem.empty()) {
      state_.close_session();
      std::error_code ignored;
      fs::remove(end.file, ignored);
    }
    remark_->caution(
        QStringLiteral("No sample came, so nothing is kept. Look at the instruments' cables and at "
                       "their ports on the page Prepare."));
    return;
  }
  QString words =
      end.lost == 0
          ? QStringLiteral("Recorded without losing a sample.")
          : QStringLiteral("Recorded; %1 samples were lost on the way and are marked as gaps.")
                .arg(end.lost);
  if (!end.problem.empty()) words = QString::fromStdString(end.problem);
  remark_->say(words + QStringLiteral(" It is being analysed as a whole…"));
  measure(end.file, words);
}

void ThrowPage::measure(const fs::path& file, const QString& before) {
  analyse_session(
      jobs_, this, state_.lab(), file, [this, file, before](const Result<void>& measured) {
        // Another recording may have begun since: it keeps the desk.
        if (day_.phase() != LiveDay::Phase::idle) return;
        const auto opened = measured ? state_.open_session(file) : measured;
        if (!opened) {
          remark_->report(opened.error());
          return;
        }
        const int count = list_->rowCount();
        remark_->say(before + u' ' +
                     (count == 1
                          ? QStringLiteral("1 throw is analysed: look at it under Review.")
                          : QStringLiteral("%1 throws are analysed: look at them under Review.")
                                .arg(count)));
      });
}

void ThrowPage::show_session() {
  const OpenSession* open = state_.session();
  // What was done in one session is not taken back in another.
  if (open == nullptr || open->path() != file_) undo_.clear();
  if (day_.phase() != LiveDay::Phase::idle) return;
  // The throws found while it was recorded stay until the analysis has its own.
  if (open != nullptr && open->path() == file_ && open->results().made.empty()) return;
  file_ = open == nullptr ? fs::path() : open->path();
  recorded_ = open == nullptr ? session::Session{} : open->session();
  scene_ = empty_scene(recorded_);
  list_->set_throws(open == nullptr ? std::vector<session::ResultThrow>{} : open->results().throws);
  list_->set_edits(open == nullptr ? std::vector<session::Edit>{} : open->edits());
  traces_->set_units(state_.preferences(), recorded_.athlete.mass.value);
  list_->set_choices(state_.preferences(), recorded_.athlete.mass.value);
  if (list_->rowCount() > 0) table_->selectRow(0);
  show_throw();
  show_load();
}

const session::ResultThrow* ThrowPage::chosen() const {
  return list_->at(table_->currentIndex().row());
}

void ThrowPage::show_throw() {
  const session::ResultThrow* thrown = chosen();
  const double mass = recorded_.athlete.mass.value;
  last_->show_throw(thrown, state_.preferences(), mass);
  tags_->show_state(thrown == nullptr ? 0 : thrown->number,
                    list_->state(table_->currentIndex().row()), recorded_.athlete.throws);
  scene_.path.clear();
  scene_.marks.clear();
  scene_.now.reset();
  if (thrown != nullptr) {
    const auto trail = std::find_if(trails_.begin(), trails_.end(), [&](const ThrowTrail& one) {
      return std::abs(one.contact - seconds(thrown->contact)) <= session::same_throw;
    });
    if (trail != trails_.end()) {
      scene_.path = trail->path;
      scene_.marks = trail->marks;
    }
    if (day_.phase() == LiveDay::Phase::idle) state_.show_throw(thrown->number);
  }
  foot_->show_scene(scene_);
}

void ThrowPage::frame() {
  if (!isVisible() || day_.phase() != LiveDay::Phase::recording) return;
  const drivers::LiveSnapshot snapshot =
      day_.snapshot(std::max(traces_->wanted_span(), live_trail));
  traces_->take(snapshot);
  // A foot moves slowly against a trace.
  if (++frame_ % 3 == 0) show_foot(snapshot);
}

void ThrowPage::show_foot(const drivers::LiveSnapshot& snapshot) {
  const drivers::LivePlate* plate = back_plate(snapshot);
  if (plate == nullptr || plate->bins.empty()) return;
  const std::optional<QPointF> now = pressure_now(*plate);
  if (!now && !scene_.now) return;  // nobody there, and the picture says so
  if (now) {
    FootScene live = scene_;
    const double newest = plate->time(plate->bins.size() - 1);
    live.path = pressure_path(*plate, newest - live_trail, newest);
    live.marks.clear();
    live.now = now;
    foot_->show_scene(std::move(live));
    scene_.now = now;
  } else {
    show_throw();  // gone: the chosen throw again
    scene_.now.reset();
  }
}

void ThrowPage::show_status() {
  const bool idle = day_.phase() == LiveDay::Phase::idle;
  const bool recording = day_.phase() == LiveDay::Phase::recording;
  start_->setText(recording ? QStringLiteral("■ End recording (F9)")
                            : QStringLiteral("● Start recording (F9)"));
  start_->setEnabled((idle && !practice_.preparing()) || recording);
  athlete_->setEnabled(idle);
  zero_->setEnabled(recording);
  practise_->setVisible(idle && state_.roster().empty());
  practise_->setEnabled(!practice_.preparing());
  unfinished_->setVisible(idle && !unfinished_files_.empty());
  lamps_->setVisible(recording);
  if (idle) {
    for (QLabel* label : {elapsed_, lost_, disk_}) label->clear();
  }
  if (recording) {
    elapsed_->setText(clock_text(day_.elapsed()));
    const std::int64_t lost = day_.lost_samples();
    lost_->setText(lost == 0 ? QStringLiteral("no sample lost")
                             : QStringLiteral("%1 samples lost").arg(lost));
    lamps_->show_lamps(day_.lamps(), state_.look());
    std::error_code error;
    const fs::space_info space = fs::space(file_.parent_path(), error);
    const double rate = bytes_a_second(recorded_);
    if (!error && rate > 0.0) {
      const double hours = static_cast<double>(space.available) / rate / 3600.0;
      disk_->setText(hours >= 1.0
                         ? QStringLiteral("room for %1 h").arg(std::floor(hours))
                         : QStringLiteral("room for %1 min").arg(std::floor(60.0 * hours)));
    }
    if (const std::string warning = day_.warning(); !warning.empty())
      remark_->caution(QString::fromStdString(warning));
  }
  Q_EMIT hint_changed();
}

void ThrowPage::show_athletes() {
  const QSignalBlocker quiet(athlete_);
  athlete_->clear();
  for (const RosterAthlete& athlete : state_.roster())
    athlete_->addItem(shown_name(athlete), QString::fromStdString(athlete.id));
  athlete_->setPlaceholderText(state_.roster().empty() ? QStringLiteral("nobody in the roster")
                                                       : QStringLiteral("whose turn?"));
  const RosterAthlete* chosen = state_.athlete();
  athlete_->setCurrentIndex(
      chosen == nullptr ? -1 : athlete_->findData(QString::fromStdString(chosen->id)));
  show_status();
}

void ThrowPage::dress_anew() {
  traces_->set_look(state_.look());
  traces_->set_units(state_.preferences(), recorded_.athlete.mass.value);
  foot_->set_look(state_.look());
  list_->set_choices(state_.preferences(), recorded_.athlete.mass.value);
  if (day_.phase() == LiveDay::Phase::recording) lamps_->show_lamps(day_.lamps(), state_.look());
  show_throw();
}

}  // namespace moundwork::desk
