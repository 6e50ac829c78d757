// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/throw_page.h"

#include <QPushButton>
#include <QShortcut>
#include <QSplitter>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "app/desk/capture/cue_order_line.h"
#include "app/desk/capture/follow_line.h"
#include "app/desk/capture/lamps_line.h"
#include "app/desk/capture/last_throw_panel.h"
#include "app/desk/capture/next_athlete.h"
#include "app/desk/capture/recording_bar.h"
#include "app/desk/capture/sweep_traces.h"
#include "app/desk/capture/tag_panel.h"
#include "app/desk/capture/throw_list.h"
#include "app/desk/capture/throw_table.h"
#include "app/desk/capture/throw_tags.h"
#include "app/desk/capture/unfinished_offer.h"
#include "app/desk/jobs/analysis_job.h"
#include "app/desk/page/notice.h"
#include "app/desk/state/edit_command.h"
#include "core/base/sentence.h"
#include "core/relate/cue_order.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;

constexpr int frame_ms = 16;
constexpr int status_ms = 250;
constexpr double live_trail = 1.5;  // s of pressure shown while somebody stands there

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
      bar_(new RecordingBar(state, this)),
      lamps_(new LampsLine(this)),
      remark_(new Notice(this)),
      unfinished_(new UnfinishedOffer(this)),
      traces_(new SweepTraces(state.look(), this)),
      last_(new LastThrowPanel(this)),
      following_(new FollowLine(this)),
      foot_(new FootPicture(state.look(), this)),
      table_(new ThrowTable(*list_, this)),
      tags_(new TagPanel(this)),
      cue_order_(new CueOrderLine(this)) {
  frames_.setTimerType(Qt::PreciseTimer);
  frames_.setInterval(frame_ms);
  status_.setInterval(status_ms);
  come_back_.setSingleShot(true);
  come_back_.setInterval(static_cast<int>(1000.0 * back_after_note));
  make_layout();
  connect_parts();
  make_keys();
  unfinished_->hide();
  dress_anew();
  show_session();
  show_status();
}

ThrowPage::~ThrowPage() = default;

void ThrowPage::make_layout() {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(12, 2, 12, 4);
  column->setSpacing(4);
  for (QWidget* line : {static_cast<QWidget*>(bar_), static_cast<QWidget*>(lamps_),
                        static_cast<QWidget*>(remark_), static_cast<QWidget*>(unfinished_)})
    column->addWidget(line);
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
  right_column->addWidget(following_);
  // A foot lies along the rubber, so its picture is wide.
  right_column->addWidget(foot_, 1);
  right_column->addWidget(tags_);
  right_column->addWidget(cue_order_);
  split->addWidget(left);
  split->addWidget(right);
  split->setStretchFactor(0, 3);
  split->setStretchFactor(1, 2);
  split->setChildrenCollapsible(false);
  column->addWidget(split, 1);
}

void ThrowPage::connect_parts() {
  connect(&frames_, &QTimer::timeout, this, &ThrowPage::frame);
  connect(&status_, &QTimer::timeout, this, &ThrowPage::show_status);
  connect(&come_back_, &QTimer::timeout, this, [this] {
    if (tags_->typing())
      come_back_.start();
    else
      back_to_newest();
  });

  connect(&day_, &LiveDay::ending, this,
          [this] { traces_->hold(day_.feet(traces_->whole_span())); });
  connect(&day_, &LiveDay::phase_changed, this, &ThrowPage::show_status);
  connect(&day_, &LiveDay::begun, this, &ThrowPage::recording_began);
  connect(&day_, &LiveDay::went_on, this, &ThrowPage::recording_went_on);
  connect(&day_, &LiveDay::ended, this, &ThrowPage::recording_ended);
  connect(&day_, &LiveDay::throw_found, this, &ThrowPage::take_throw);
  connect(&day_, &LiveDay::failed, remark_, &Notice::caution);
  connect(&day_, &LiveDay::doubted, remark_, &Notice::caution);
  connect(&practice_, &Practice::ready, this, &ThrowPage::start);
  connect(&practice_, &Practice::failed, remark_, &Notice::caution);
  connect(&jobs_, &Jobs::changed, this, &ThrowPage::show_status);  // practice may be stopped
  connect(&practice_, &Practice::over, this, [this] {
    practice_over_ = true;
    remark_->say(QStringLiteral(
        "Practice is over: that was the last throw. Press End recording (F9) to see the whole "
        "session."));
    show_status();
  });

  connect(bar_, &RecordingBar::start_or_end, this, &ThrowPage::start_or_end);
  connect(bar_, &RecordingBar::practise, this, &ThrowPage::practise);
  connect(bar_, &RecordingBar::zero, &day_, &LiveDay::zero_display);
  connect(unfinished_, &UnfinishedOffer::go_on_wanted, this, [this](const fs::path& file) {
    remark_->say(QStringLiteral("What was recorded so far is being measured…"));
    day_.go_on(state_.lab(), file);
  });
  connect(unfinished_, &UnfinishedOffer::close_wanted, this, [this](const fs::path& file) {
    clear_recording_mark(file);
    measure(file, sentence("The recording is closed. Nothing in it was lost but what came in its "
                           "last half second."));
    offer_unfinished();
  });

  connect(&state_, &DeskState::roster_changed, this, [this] {
    show_next();
    show_status();
  });
  connect(&state_, &DeskState::athlete_changed, this, [this] {
    // Somebody else is next: the throws of the one before are looked at under Review.
    const RosterAthlete* next = state_.athlete();
    if (day_.phase() == LiveDay::Phase::idle && has_recording() &&
        (next == nullptr || next->id != recorded_.athlete.id))
      list_nothing();
    show_next();
  });
  connect(&state_, &DeskState::lab_changed, this, &ThrowPage::offer_unfinished);
  connect(&state_, &DeskState::preferences_changed, this, &ThrowPage::dress_anew);
  connect(&state_, &DeskState::session_changed, this, &ThrowPage::show_session);
  connect(&state_, &DeskState::results_changed, this, &ThrowPage::show_session);
  connect(&state_, &DeskState::shown_throw_changed, this, &ThrowPage::show_throw);
  connect(&state_, &DeskState::edits_changed, this, &ThrowPage::show_notes);
  connect(&state_, &DeskState::edit_failed, this, [this](const QString& words) {
    undo_.clear();  // it may hold what never came to the list
    remark_->caution(words);
  });

  connect(table_, &ThrowTable::row_chosen, this, &ThrowPage::choose_row);
  connect(following_, &FollowLine::newest_wanted, this, &ThrowPage::back_to_newest);
  connect(tags_, &TagPanel::tag_chosen, this,
          [this](const std::string& tag, const std::string& text) {
            note_of_shown(tag_edit(0.0, tag, text), QStringLiteral("note"));
          });
  connect(tags_, &TagPanel::exclude_chosen, this, [this](double contact, const std::string& why) {
    state_.show_throw_at(contact);  // what is done to a throw is seen
    note_of_shown(exclude_edit(0.0, why), QStringLiteral("leaving out"));
  });
  connect(tags_, &TagPanel::include_chosen, this,
          [this] { note_of_shown(include_edit(0.0), QStringLiteral("taking in again")); });
  connect(cue_order_, &CueOrderLine::order_wanted, this, &ThrowPage::draw_cue_order);
  connect(tags_, &TagPanel::lasting_cue_changed, this, &ThrowPage::show_lamps);
  connect(tags_, &TagPanel::typing_ended, this, [this] {
    table_->setFocus();
    // What came while somebody typed is shown now; after a note it waits until that was seen.
    if (!follow_.looks_back() && !come_back_.isActive()) back_to_newest();
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
  key(QKeySequence(Qt::Key_Escape), [this] { escape(); });
  for (std::size_t i = 0; i < pitch_keys.size(); ++i)
    key(QKeySequence(QString(QLatin1Char(pitch_keys[i].key))), [this, i] { tags_->pitch_key(i); });
  for (int digit = 1; digit <= 9; ++digit)
    key(QKeySequence(QString::number(digit)), [this, digit] { tags_->miss_key(digit); });
  key(QKeySequence(Qt::Key_W), [this] { tags_->warm_up_key(); });
  key(QKeySequence(Qt::Key_T), [this] { tags_->stretch_key(); });
  key(QKeySequence(Qt::Key_E), [this] { tags_->effort_key(); });
  key(QKeySequence(Qt::Key_U), [this] { tags_->cue_key(); });
  key(QKeySequence(Qt::CTRL | Qt::Key_D), [this] { cue_order_->draw(); });
  key(QKeySequence(Qt::Key_X), [this] { tags_->exclude_key(); });
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
  show_next();  // a weigh-in may have come
  if (tags_->deciding()) escape();
  // Single keys are this page's as soon as it is seen.
  if (bar_->practise_button().isVisible())
    bar_->practise_button().setFocus();
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
  const std::string day = today(state_.lab());
  const auto order = recording_order(state_.lab(), state_.athlete(), day);
  if (!order) {
    remark_->report(order.error());
    return;
  }
  remark_->quiet();
  day_.begin(*order, new_session_path(state_.lab(), order->athlete.id, day));
}

void ThrowPage::offer_unfinished() {
  std::vector<fs::path> files = unfinished_recordings(state_.lab());
  if (is_practice(state_.lab().root)) {
    // Its instruments are gone for good, and it is nobody's.
    for (const fs::path& file : files) clear_recording_mark(file);
    files.clear();
  }
  unfinished_->set_files(std::move(files));
  show_next();
  show_status();
}

void ThrowPage::recording_began() {
  remark_->quiet();
  warned_.clear();
  file_ = day_.file();
  recorded_ = *day_.session();
  practice_over_ = false;
  follow_.come_back();
  come_back_.stop();
  tags_->end_lasting_cue();
  undo_.clear();
  trails_.clear();
  scene_ = empty_scene(recorded_);
  foot_->show_scene(scene_);
  traces_->clear();
  std::vector<session::ResultThrow> before;
  for (const pitch::AnalysedThrow& thrown : day_.throws()) before.push_back(as_result(thrown));
  list_->set_throws(std::move(before));
  list_->set_edits({});
  if (const auto opened = state_.open_session(file_); !opened) {
    remark_->report(opened.error());
  } else {
    state_.set_recording(true);
    list_->set_edits(state_.session()->edits());
    for (const pitch::AnalysedThrow& thrown : day_.throws())
      state_.add_found_throw(thrown.number, thrown.contact);
    state_.show_throw(newest());
  }
  state_.choose_athlete(recorded_.athlete.id);
  dress_anew();
  show_status();
  count_pitches();
  if (isVisible()) table_->setFocus();  // so that single keys note, not type
  show_due_cue();
  frames_.start();
  status_.start();
  practice_.play();
}

void ThrowPage::count_pitches() {
  pitches_ = {};
  const RosterAthlete* athlete = state_.athlete();
  if (athlete != nullptr) pitches_.age = age_on(*athlete, today(state_.lab()));
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
  if (!has_recording()) return bar_->show_load({});
  pitches_.now = list_->rowCount();
  bar_->show_load(load_words(pitches_, state_.pitch_counts()));
}

void ThrowPage::take_throw(int number) {
  const pitch::AnalysedThrow& thrown = day_.throws()[static_cast<std::size_t>(number - 1)];
  trails_.push_back(trail_of(thrown, day_.feet(trail_span)));
  traces_->mark_throw(thrown.contact, thrown.number);
  list_->add(as_result(thrown));
  state_.add_found_throw(thrown.number, thrown.contact);
  // Who is just noting something of an earlier throw is not taken away from it.
  if (follow_.shows_new(tags_->typing() || come_back_.isActive())) state_.show_throw(thrown.number);
  show_throw();
  show_load();
  const auto drawn = drawn_cue(thrown.number);
  if (const std::string cue = drawn ? drawn->cue : tags_->lasting_cue(); !cue.empty())
    note(tag_edit(thrown.contact, cue_tag, cue), QStringLiteral("cue"));
  show_due_cue();
}

void ThrowPage::draw_cue_order(int throws, int run) {
  auto order = relate::draw_cue_order({tags_->cue_name()}, throws, run, relate::new_cue_seed());
  if (!order) return remark_->report(order.error());
  // A throw that was made a moment ago may not have been found yet, and got no cue by this order.
  order->begins = day_.feet(0.0).now;
  tags_->end_lasting_cue();
  note(session::keep_cue_order(*order), QStringLiteral("order of cues"));
  if (const int fewest = relate::fewest_runs_of_a_kind(*order);
      run > 1 && fewest < relate::fewest_runs)
    remark_->caution(QString::fromStdString(
        sentence_for(fewest,
                     "The order has only {count} run of some kind, and under {fewest} of each "
                     "nothing can be told of a cue: draw one with more throws or shorter runs.",
                     "The order has only {count} runs of some kind, and under {fewest} of each "
                     "nothing can be told of a cue: draw one with more throws or shorter runs.",
                     "count"_is(fewest), "fewest"_is(relate::fewest_runs))));
  table_->setFocus();  // so that single keys note, not type
  show_due_cue();
}

std::optional<session::DrawnCue> ThrowPage::drawn_cue(int number) const {
  const OpenSession* open = state_.session();
  if (!has_recording() || open == nullptr || open->path() != file_) return std::nullopt;
  std::vector<double> contacts;
  std::size_t asked = 0;
  for (int row = list_->rowCount(); row-- > 0;) {
    const session::ResultThrow& thrown = *list_->at(row);
    if (thrown.number == number) asked = contacts.size();
    contacts.push_back(seconds(thrown.contact));
  }
  if (number == 0) {
    asked = contacts.size();
    contacts.push_back(std::numeric_limits<double>::infinity());
  }
  if (contacts.empty()) return std::nullopt;
  return session::drawn_cues(open->edits(), contacts)[asked];
}

void ThrowPage::show_due_cue() {
  const bool recording = day_.phase() == LiveDay::Phase::recording;
  cue_order_->show_due(recording, recording ? drawn_cue(0) : std::nullopt);
}

void ThrowPage::choose_row(int row) {
  const session::ResultThrow* thrown = list_->at(row);
  if (thrown == nullptr) return;
  come_back_.stop();
  follow_.choose(thrown->number, newest());
  state_.show_throw(thrown->number);
}

void ThrowPage::back_to_newest() {
  come_back_.stop();
  follow_.come_back();
  if (day_.phase() != LiveDay::Phase::idle) state_.show_throw(newest());
}

void ThrowPage::escape() {
  if (tags_->typing() || cue_order_->typing()) {
    tags_->stop_deciding();
    table_->setFocus();
    if (!follow_.looks_back()) back_to_newest();
  } else {
    back_to_newest();
  }
}

void ThrowPage::note_of_shown(session::Edit edit, const QString& words) {
  const session::ResultThrow* thrown = shown();
  if (thrown == nullptr) return;
  const bool earlier = thrown->number != newest();
  edit.throw_contact = seconds(thrown->contact);
  note(std::move(edit), words);
  if (earlier && day_.phase() != LiveDay::Phase::idle) come_back_.start();
}

// What is noted from now on belongs to the other file.
void ThrowPage::recording_went_on(const QString& words, int before, bool moved) {
  state_.set_recording(false);
  recording_began();
  warned_ = day_.warning();  // nothing new, and this is
  if (before == 0) return remark_->caution(words);
  const auto said = "words"_is(words.toStdString());
  const auto count = "count"_is(before);
  remark_->caution(QString::fromStdString(
      moved ? sentence_for(before,
                           "{words} The {count} throw seen before counts again when the moved file "
                           "lies in the lab's folder and is analysed.",
                           "{words} The {count} throws seen before count again when the moved file "
                           "lies in the lab's folder and is analysed.",
                           said, count)
            : sentence_for(
                  before,
                  "{words} The {count} throw seen before is not in the day's count any more: "
                  "count it by hand.",
                  "{words} The {count} throws seen before are not in the day's count any "
                  "more: count them by hand.",
                  said, count)));
}

void ThrowPage::note(session::Edit edit, const QString& words) {
  undo_.push(new EditCommand(state_, std::move(edit), words,
                             [this](const Error& error) { remark_->report(error); }));
}

void ThrowPage::show_notes() {
  if (!has_recording() || state_.session() == nullptr || state_.session()->path() != file_) return;
  list_->set_edits(state_.session()->edits());
  show_throw();
  show_due_cue();  // a warm-up takes no place in the order
}

void ThrowPage::recording_ended(const RecordingEnd& end) {
  frames_.stop();
  status_.stop();
  come_back_.stop();
  practice_.stop();
  tags_->end_lasting_cue();
  state_.set_recording(false);
  show_throw();
  show_due_cue();
  offer_unfinished();
  if (!end.problem.empty()) remark_->caution(QString::fromStdString(end.problem));
  if (end.samples == 0) {
    // A file that holds nothing would only be in the way of those that do.
    if (end.readings == 0 && (end.problem.empty() || end.taken_away)) {
      state_.close_session();
      std::error_code ignored;
      fs::remove(end.file, ignored);
    }
    if (end.taken_away) return;  // as was said
    remark_->caution(
        QStringLiteral("No sample came, so nothing is kept. Look at the instruments' cables and at "
                       "their ports on the page Prepare."));
    return;
  }
  const std::string words =
      !end.problem.empty() ? end.problem
      : end.lost == 0
          ? sentence("Recorded without losing a sample.")
          : sentence_for(static_cast<long>(end.lost),
                         "Recorded; {count} sample was lost on the way and is marked as a gap.",
                         "Recorded; {count} samples were lost on the way and are marked as gaps.",
                         "count"_is(end.lost));
  remark_->say(
      QString::fromStdString(sentence("{how} It is being analysed as a whole…", "how"_is(words))));
  measure(end.file, words);
}

void ThrowPage::measure(const fs::path& file, const std::string& before) {
  analyse_session(
      jobs_, this, state_.lab(), file, [this, file, before](const Result<void>& measured) {
        // Another recording may have begun since: it keeps the desk.
        if (day_.phase() != LiveDay::Phase::idle) return;
        const bool open = state_.session() != nullptr && state_.session()->path() == file;
        const auto taken = !measured ? measured
                           : open    ? state_.reload_session()
                                     : state_.open_session(file);
        if (!taken) {
          remark_->report(taken.error());
          return;
        }
        const auto count = static_cast<long>(state_.session()->results().throws.size());
        remark_->say(QString::fromStdString(
            sentence_for(count, "{how} {count} throw is analysed: look at it under Review.",
                         "{how} {count} throws are analysed: look at them under Review.",
                         "how"_is(before), "count"_is(count))));
      });
}

void ThrowPage::show_session() {
  const OpenSession* open = state_.session();
  // What was done in one session is not taken back in another.
  if (open == nullptr || open->path() != file_) undo_.clear();
  if (day_.phase() != LiveDay::Phase::idle) return;
  if (open == nullptr || open->path() != file_) return list_nothing();
  // The throws found while it was recorded stay until the analysis has its own.
  if (open->results().made.empty()) return;
  // Numbers of facts that were put right are in body weights of those.
  recorded_ = open->session();
  list_->set_throws(open->results().throws);
  list_->set_edits(open->edits());
  dress_anew();
  show_load();
}

void ThrowPage::list_nothing() {
  file_.clear();
  recorded_ = {};
  trails_.clear();
  scene_ = {};
  undo_.clear();
  list_->clear();
  traces_->clear();
  show_throw();
  show_load();
  show_next();
}

void ThrowPage::show_next() {
  const NextAthlete next = next_athlete(state_.lab(), state_.athlete(), today(state_.lab()));
  bar_->show_next(next);
  if (!has_recording()) last_->show_next(next);
}

const session::ResultThrow* ThrowPage::shown() const {
  const OpenSession* open = state_.session();
  if (!has_recording() || open == nullptr || open->path() != file_) return nullptr;
  return list_->at(list_->row_of(state_.shown_throw()));
}

int ThrowPage::newest() const {
  const session::ResultThrow* thrown = list_->at(0);
  return thrown == nullptr ? 0 : thrown->number;
}

void ThrowPage::show_throw() {
  const session::ResultThrow* thrown = shown();
  const int number = thrown == nullptr ? 0 : thrown->number;
  const int row = list_->row_of(number);
  table_->follow(row);
  if (has_recording())
    last_->show_throw(thrown, state_.preferences(), recorded_.athlete.mass.value);
  following_->setVisible(day_.phase() != LiveDay::Phase::idle);
  following_->show_following(number, newest());
  tags_->show_state(
      number,
      thrown == nullptr ? std::numeric_limits<double>::quiet_NaN() : seconds(thrown->contact),
      list_->state(row), recorded_.athlete.throws);
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
  }
  foot_->show_scene(scene_);
}

void ThrowPage::frame() {
  if (!isVisible() || day_.phase() != LiveDay::Phase::recording) return;
  const drivers::LiveFeet feet = day_.feet(std::max(traces_->wanted_span(), live_trail));
  traces_->take(feet);
  // A foot moves slowly against a trace.
  if (++frame_ % 3 == 0) show_foot(feet);
}

void ThrowPage::show_foot(const drivers::LiveFeet& feet) {
  const drivers::LiveTrace* back = feet.find(session::PlateRole::back);
  if (back == nullptr || back->bins.empty()) return;
  const std::optional<QPointF> now = pressure_now(*back);
  if (!now && !scene_.now) return;  // nobody there, and the picture says so
  if (now) {
    FootScene live = scene_;
    const double newest = back->time(back->bins.size() - 1);
    live.path = pressure_path(*back, newest - live_trail, newest);
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
  const bool recording = day_.phase() == LiveDay::Phase::recording;
  bar_->show_status(day_, practice_.preparing());
  unfinished_->setVisible(day_.phase() == LiveDay::Phase::idle && !unfinished_->empty());
  show_lamps();
  if (recording)
    if (const std::string warning = day_.warning(); warning != warned_) {
      // Once: what is said after it must be seen, too.
      warned_ = warning;
      if (!warning.empty()) remark_->caution(QString::fromStdString(warning));
    }
  Q_EMIT hint_changed();
}

void ThrowPage::show_lamps() {
  // After practice its instruments are silent because they have nothing left to send.
  const bool lit = day_.phase() == LiveDay::Phase::recording && !practice_over_;
  lamps_->setVisible(lit);
  if (lit)
    lamps_->show_lamps(day_.lamps(), QString::fromStdString(tags_->lasting_cue()), state_.look());
}

void ThrowPage::dress_anew() {
  traces_->set_look(state_.look());
  traces_->set_units(state_.preferences(), recorded_.athlete.mass.value);
  foot_->set_look(state_.look());
  list_->set_choices(state_.preferences(), recorded_.athlete.mass.value);
  show_lamps();
  show_throw();
}

}  // namespace moundwork::desk
