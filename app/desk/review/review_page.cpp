// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/review_page.h"

#include <QCheckBox>
#include <QComboBox>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QLineEdit>
#include <QPushButton>
#include <QSplitter>
#include <QTabWidget>
#include <algorithm>
#include <cmath>

#include "app/desk/jobs/analysis_job.h"
#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/plot/foot_picture.h"
#include "app/desk/review/event_words.h"
#include "app/desk/review/events_panel.h"
#include "app/desk/review/facts_dialog.h"
#include "app/desk/review/marks_panel.h"
#include "app/desk/review/numbers_panel.h"
#include "app/desk/review/session_strip.h"
#include "app/desk/review/throw_picker.h"
#include "app/desk/review/trace_plot.h"
#include "app/desk/state/edit_command.h"
#include "core/base/sentence.h"
#include "core/marks/frame_marks.h"
#include "core/session/edit_state.h"

namespace moundwork::desk {
namespace {

// Edits come in bursts; the whole session is measured again when the hands rest.
constexpr int measure_after_ms = 1500;
// Who edits elsewhere mostly has it measured there.
constexpr int measure_for_others_ms = 20000;
constexpr int first_mark_id = 1000;  // of markers that stand for marks by frame, not for events

std::vector<PressurePoint> path_of(const pitch::ThrowData& data, double from, double to) {
  std::vector<PressurePoint> path;
  if (!std::isfinite(from) || !std::isfinite(to)) return path;
  const auto first = static_cast<Eigen::Index>(std::max(0.0, std::ceil(data.back.index(from))));
  const auto last = std::min(data.back.size(), static_cast<Eigen::Index>(data.back.index(to)) + 1);
  for (Eigen::Index i = first; i < last; ++i)
    path.push_back(
        {data.back.time(static_cast<double>(i)), QPointF(data.back.cop_x(i), data.back.cop_y(i))});
  return path;
}

}  // namespace

ReviewPage::ReviewPage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent),
      state_(state),
      jobs_(jobs),
      throws_(state, jobs),
      empty_(new WordsLabel(
          QStringLiteral("No session is open: choose one by Lab, Open session (Ctrl+O), or record "
                         "one on the page Throw."),
          this)),
      session_(new QWidget(this)),
      strip_(new SessionStrip(this)),
      picker_(new ThrowPicker(state, this)),
      foot_(new FootPicture(state.look(), this)),
      plot_(new TracePlot(this)),
      events_(new EventsPanel(this)),
      numbers_(new NumbersPanel(this)),
      marks_(new MarksPanel(this)),
      session_remark_(new Notice(this)),
      remark_(new Notice(this)),
      align_(new QComboBox(this)),
      single_plates_(new QCheckBox(QStringLiteral("&Single plates"), this)),
      reason_(new QLineEdit(this)),
      exclude_(new QPushButton(this)),
      reset_(new QPushButton(QStringLiteral("Back to what was &found"), this)) {
  measure_soon_.setSingleShot(true);
  measure_soon_.setInterval(measure_after_ms);
  lay_out();
  connect_parts();
  show_session();
  measure_if_due();
}

QString ReviewPage::hint() const {
  if (state_.session() == nullptr)
    return QStringLiteral("Open a session (Ctrl+O), or record one on the page before.");
  return QStringLiteral(
      "Drag an event, or choose it with [ and ] and move it with the arrow keys; Ctrl+Z takes it "
      "back.");
}

void ReviewPage::lay_out() {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(12, 4, 12, 8);
  column->setSpacing(4);
  column->addWidget(session_remark_);
  column->addWidget(remark_);
  empty_->setAlignment(Qt::AlignCenter);
  empty_->setWordWrap(true);
  column->addWidget(empty_, 1);
  column->addWidget(session_, 1);
  auto* session_column = new QVBoxLayout(session_);
  session_column->setContentsMargins(0, 0, 0, 0);
  session_column->setSpacing(4);
  session_column->addWidget(strip_);

  auto* split = new QSplitter(Qt::Horizontal, this);
  split->setChildrenCollapsible(false);
  auto* left = new QWidget(split);
  auto* left_column = new QVBoxLayout(left);
  left_column->setContentsMargins(0, 0, 0, 0);
  left_column->addWidget(picker_, 3);
  left_column->addWidget(foot_, 2);
  auto* middle = new QWidget(split);
  auto* middle_column = new QVBoxLayout(middle);
  middle_column->setContentsMargins(0, 0, 0, 0);
  middle_column->addWidget(plot_, 1);
  auto* line = new QHBoxLayout;
  auto* align_label = new WordsLabel(QStringLiteral("Ali&gn at"), middle);
  align_label->setBuddy(align_);
  align_->addItems({QStringLiteral("lead contact"), QStringLiteral("release")});
  reason_->setPlaceholderText(QStringLiteral("why this throw should not count"));
  reason_->setAccessibleName(QStringLiteral("Reason for excluding the throw"));
  reason_->setObjectName(QStringLiteral("reason_to_exclude"));
  reason_->setMaxLength(200);
  line->addWidget(align_label);
  line->addWidget(align_);
  single_plates_->setToolTip(QStringLiteral("What each plate under a foot carries, in thin lines"));
  single_plates_->hide();
  line->addWidget(single_plates_);
  line->addStretch(1);
  line->addWidget(reset_);
  middle_column->addLayout(line);
  // In a line of its own: there a reason can be read as it is typed.
  auto* leaving_out = new QHBoxLayout;
  leaving_out->addWidget(reason_, 1);
  leaving_out->addWidget(exclude_);
  middle_column->addLayout(leaving_out);
  auto* right = new QTabWidget(split);
  auto* measured = new QWidget(right);
  auto* measured_column = new QVBoxLayout(measured);
  measured_column->setContentsMargins(4, 4, 4, 4);
  measured_column->addWidget(events_);
  measured_column->addWidget(numbers_, 1);
  right->addTab(measured, QStringLiteral("&Events and numbers"));
  auto* seen = new QWidget(right);
  auto* seen_column = new QVBoxLayout(seen);
  seen_column->setContentsMargins(6, 6, 6, 6);
  seen_column->addWidget(marks_);
  seen_column->addStretch(1);
  right->addTab(seen, QStringLiteral("&Video or sensor"));
  split->addWidget(left);
  split->addWidget(middle);
  split->addWidget(right);
  split->setStretchFactor(0, 2);
  split->setStretchFactor(1, 6);
  split->setStretchFactor(2, 3);
  split->setSizes({250, 700, 380});
  session_column->addWidget(split, 1);
}

void ReviewPage::connect_parts() {
  connect(&state_, &DeskState::session_changed, this, [this] {
    undo_.clear();
    measure_soon_.stop();
    measuring_ = false;
    remark_->quiet();
    show_session();
    measure_if_due();
    Q_EMIT hint_changed();
  });
  connect(&state_, &DeskState::results_changed, this, [this] {
    const OpenSession* open = state_.session();
    if (open != nullptr && open->results().edits_known >= open->edits().size())
      measure_soon_.stop();
    show_session();
  });
  connect(&state_, &DeskState::recording_changed, this, [this] { show_session(); });
  connect(&state_, &DeskState::edits_changed, this, [this] {
    show_session();
    // Events are moved on this page; what is noted elsewhere, while recording, changes no number.
    if (isVisible() || !session::facts_in(state_.session()->results(), state_.session()->edits()))
      measure_soon_.start(state_.taking_over() ? measure_for_others_ms : measure_after_ms);
  });
  connect(&state_, &DeskState::shown_throw_changed, this, [this] { show_session(); });
  connect(&state_, &DeskState::preferences_changed, this, [this] {
    foot_->set_look(state_.look());
    strip_->set_picture(&throws_.picture(), state_.look());
    show_session();
  });
  connect(&throws_, &ThrowsInMemory::picture_ready, this,
          [this] { strip_->set_picture(&throws_.picture(), state_.look()); });
  connect(&throws_, &ThrowsInMemory::throw_ready, this, [this] {
    show_standing();
    show_throw();
  });
  connect(&state_, &DeskState::edit_failed, this, [this](const QString& words) {
    undo_.clear();  // it may hold what never came to the list
    remark_->caution(words);
  });
  connect(&throws_, &ThrowsInMemory::failed, remark_, &Notice::caution);
  connect(strip_, &SessionStrip::throw_chosen, &state_, &DeskState::show_throw);
  connect(picker_, &ThrowPicker::overlay_changed, this, [this] { show_throw(); });
  connect(align_, &QComboBox::currentTextChanged, this, [this](const QString& name) {
    plot_->set_origin_name(name);
    show_throw();
  });
  connect(single_plates_, &QCheckBox::toggled, this, [this] { show_throw(); });
  const auto session_time_of = [this](double time) { return time + origin_of(now_); };
  connect(plot_, &TracePlot::marker_chosen, this, [this](int id) {
    if (id < first_mark_id) events_->choose(static_cast<definitions::Event>(id));
  });
  connect(plot_, &TracePlot::marker_dragged, this, [this, session_time_of](int id, double time) {
    follow_drag(static_cast<definitions::Event>(id), session_time_of(time));
  });
  connect(plot_, &TracePlot::marker_dropped, this, [this, session_time_of](int id, double time) {
    place_event(static_cast<definitions::Event>(id), session_time_of(time));
  });
  connect(events_, &EventsPanel::event_chosen, this,
          [this](int event) { plot_->choose_marker(event); });
  connect(events_, &EventsPanel::event_placed, this, [this](int event, double time) {
    place_event(static_cast<definitions::Event>(event), time);
  });
  connect(exclude_, &QPushButton::clicked, this, &ReviewPage::exclude_or_include);
  connect(reason_, &QLineEdit::returnPressed, this, &ReviewPage::exclude_or_include);
  connect(reset_, &QPushButton::clicked, this, &ReviewPage::reset);
  connect(marks_, &MarksPanel::mark_given, this, [this](const marks::FrameMark& mark) {
    if (at_hand_ == nullptr) return;
    const std::string_view name = marks::name_of(mark.mark);
    edit(marks::to_edit(mark, at_hand_->contact()),
         QStringLiteral("mark ") +
             QString::fromUtf8(name.data(), static_cast<qsizetype>(name.size())));
  });
  connect(marks_, &MarksPanel::mark_taken_away, this, &ReviewPage::take_mark_away);
  connect(marks_, &MarksPanel::table_wanted, this, &ReviewPage::import_marks);
  connect(marks_, &MarksPanel::refused, remark_, &Notice::report);
  connect(&measure_soon_, &QTimer::timeout, this, &ReviewPage::measure_again);
}

void ReviewPage::show_session() {
  // Axes without a session would show numbers of nobody.
  session_->setVisible(state_.session() != nullptr);
  empty_->setVisible(state_.session() == nullptr);
  std::vector<SessionStrip::Tick> ticks;
  if (const OpenSession* open = state_.session())
    for (const session::ResultThrow& thrown : open->results().throws)
      ticks.push_back(
          {thrown.number, seconds(thrown.contact),
           session::state_of(open->edits(), seconds(thrown.contact)).excluded.has_value()});
  show_standing();
  strip_->set_ticks(std::move(ticks), state_.shown_throw());
  show_throw();
}

void ReviewPage::show_standing() {
  const OpenSession* open = state_.session();
  if (open == nullptr)
    session_remark_->quiet();
  else if (state_.recording())
    session_remark_->say(QString::fromStdString(
        sentence("Throws can be looked at here when the recording has ended.")));
  else if (open->results().made.empty())
    session_remark_->say(
        QString::fromStdString(sentence("This session has not been measured yet.")));
  else if (open->results().throws.empty())
    session_remark_->caution(
        QString::fromStdString(sentence("No throw was found in this session.")));
  else if (throws_.reading_anew())
    session_remark_->say(QString::fromStdString(
        sentence("The session's facts have changed: its throws are being read again with them.")));
  else if (!session::facts_in(open->results(), open->edits()))
    session_remark_->caution(QString::fromStdString(
        sentence("The list's ball speeds and remarks are still those of the facts before; they "
                 "follow when the session has been measured again.")));
  else
    session_remark_->quiet();
}

void ReviewPage::measure_if_due() {
  // One that was never measured has no throws to show. A recording is measured when it has ended.
  const OpenSession* open = state_.session();
  if (open == nullptr || state_.recording()) return;
  if (open->results().made.empty() || !session::facts_in(open->results(), open->edits()))
    measure_soon_.start(0);
}

double ReviewPage::origin_of(const pitch::AnalysedThrow& thrown) const {
  const double contact = at(thrown.events, definitions::Event::lead_contact);
  const double release = at(thrown.events, definitions::Event::release);
  return align_->currentIndex() == 1 && std::isfinite(release) ? release : contact;
}

double ReviewPage::mass() const { return state_.session()->session().athlete.mass.value; }

session::EditState ReviewPage::edits_of(const pitch::ThrowInMemory& thrown) const {
  return session::state_of(state_.session()->edits(), thrown.contact());
}

bool ReviewPage::is_measured(int number) const {
  if (state_.session() == nullptr) return false;
  const auto& throws = state_.session()->results().throws;
  return std::any_of(throws.begin(), throws.end(),
                     [&](const session::ResultThrow& thrown) { return thrown.number == number; });
}

void ReviewPage::show_throw() {
  at_hand_ = is_measured(state_.shown_throw()) ? throws_.want(state_.shown_throw()) : nullptr;
  const bool shown = at_hand_ != nullptr;
  for (QWidget* part : {static_cast<QWidget*>(exclude_), static_cast<QWidget*>(reset_),
                        static_cast<QWidget*>(reason_)})
    part->setEnabled(shown);
  marks_->set_usable(shown);
  single_plates_->setVisible(shown && has_single_plates(at_hand_->plates()));
  if (!shown) {
    exclude_->setText(QStringLiteral("E&xclude"));
    plot_->set_throws({}, state_.look(), unit_text(state_.preferences().force));
    plot_->set_markers({}, state_.look());
    events_->show_nothing();
    numbers_->show_nothing();
    marks_->show_marks({});
    foot_->show_scene({});
    return;
  }
  const session::EditState edits = edits_of(*at_hand_);
  const pitch::AnalysedThrow found = at_hand_->measure(pitch::MovedEvents{});
  now_ = edits.moved.empty() ? found : at_hand_->measure(edits);

  const double per_newton = in_unit(1.0, state_.preferences().force, mass());
  std::vector<PlottedThrow> plotted{
      {state_.shown_throw(), traces_of(at_hand_->data(), origin_of(now_), per_newton)}};
  for (const int number : picker_->overlaid())
    if (const auto other = throws_.want(number)) {
      const auto measured = other->measure(edits_of(*other));
      plotted.push_back({number, traces_of(other->data(), origin_of(measured), per_newton)});
    }
  single_plates_->setEnabled(plotted.size() == 1);  // of throws over each other there are enough
  if (single_plates_->isChecked() && plotted.size() == 1) {
    auto plates =
        plate_traces_of(at_hand_->plates(), at_hand_->data(), origin_of(now_), per_newton);
    if (plates)
      plotted.front().plates = std::move(*plates);
    else
      remark_->report(plates.error());
  }
  plot_->set_throws(plotted, state_.look(), unit_text(state_.preferences().force));
  show_markers(now_);
  if (plotted_ != state_.shown_throw()) plot_->show_all();
  plotted_ = state_.shown_throw();
  const bool moved = !edits.moved.empty();
  events_->show_throw(found, now_, moved);
  numbers_->show_throw(found, now_, moved, state_.preferences(), mass());
  marks_->show_marks(marks::marks_of(state_.session()->edits(), at_hand_->contact()));
  show_foot(*at_hand_, now_);
  exclude_->setText(edits.excluded ? QStringLiteral("Count it a&gain")
                                   : QStringLiteral("E&xclude"));
  reason_->setVisible(!edits.excluded);
  reset_->setEnabled(moved);
}

void ReviewPage::show_markers(const pitch::AnalysedThrow& now) {
  const session::EditState edits = edits_of(*at_hand_);
  std::vector<PlotMarker> markers;
  for (std::size_t i = 0; i < definitions::event_count; ++i) {
    const auto event = static_cast<definitions::Event>(i);
    const Measured time = now.measured(event);
    if (!time.known()) continue;
    const bool moved = std::any_of(
        edits.moved.begin(), edits.moved.end(),
        [&](const session::MovedEvent& m) { return m.event == definitions::entry(event).key; });
    markers.push_back({static_cast<int>(i), event_label(event), time.value - origin_of(now),
                       std::isfinite(time.u) ? time.u : 0.0, true, moved,
                       event == definitions::Event::release ? Role::ball : Role::event});
  }
  const double contact = at(now.events, definitions::Event::lead_contact);
  for (const marks::FrameMark& mark :
       marks::marks_of(state_.session()->edits(), at_hand_->contact())) {
    const Measured time = marks::from_contact(mark);
    const std::string_view name = marks::name_of(mark.mark);
    markers.push_back({first_mark_id + static_cast<int>(mark.mark),
                       QString::fromUtf8(name.data(), static_cast<qsizetype>(name.size())) +
                           QStringLiteral(" (seen)"),
                       contact + time.value - origin_of(now), time.u, false, false,
                       Role::typed_mark});
  }
  plot_->set_markers(std::move(markers), state_.look());
}

void ReviewPage::show_foot(const pitch::ThrowInMemory& thrown, const pitch::AnalysedThrow& now) {
  const session::Session& session = state_.session()->session();
  FootScene scene;
  scene.plates = back_plate_corners(session);
  scene.foot = session.foot_line;
  scene.foot_is_a_guess =
      session.foot_line && session.foot_line->source == session::FootLineSource::foot_length;
  double from = at(now.events, definitions::Event::back_leg_loaded);
  if (!std::isfinite(from)) from = at(now.events, definitions::Event::drive_start);
  const double peak = at(now.events, definitions::Event::drive_peak);
  scene.path = path_of(thrown.data(), from, at(now.events, definitions::Event::lead_contact));
  const foot::FootForces& back = thrown.data().back;
  if (std::isfinite(peak)) {
    const auto i = static_cast<Eigen::Index>(std::llround(back.index(peak)));
    if (i >= 0 && i < back.size() && std::isfinite(back.cop_x(i)))
      scene.marks.push_back({QPointF(back.cop_x(i), back.cop_y(i)), QStringLiteral("drive peak")});
  }
  foot_->show_scene(std::move(scene));
}

void ReviewPage::follow_drag(definitions::Event event, double time) {
  if (at_hand_ == nullptr) return;
  pitch::MovedEvents moved = pitch::moved_events(edits_of(*at_hand_), {});
  moved.move(event, time, 0.0);
  numbers_->follow(at_hand_->values(moved), state_.preferences(), mass());
}

void ReviewPage::place_event(definitions::Event event, double time) {
  if (at_hand_ == nullptr) return;
  session::Edit moved;
  moved.throw_contact = at_hand_->contact();
  moved.action = session::Action::move_event;
  moved.target = std::string(definitions::entry(event).key);
  moved.value = time;
  moved.why = "placed by eye on the traces";
  edit(std::move(moved), QStringLiteral("move ") + event_label(event));
}

void ReviewPage::exclude_or_include() {
  if (at_hand_ == nullptr) return;
  session::Edit change;
  change.throw_contact = at_hand_->contact();
  if (edits_of(*at_hand_).excluded) {
    change.action = session::Action::include;
    return edit(std::move(change), QStringLiteral("count the throw again"));
  }
  if (reason_->text().trimmed().isEmpty()) {
    remark_->caution(QString::fromStdString(
        sentence("Write why this throw should not count, then exclude it.")));
    reason_->setFocus();
    return;
  }
  change.action = session::Action::exclude;
  change.why = reason_->text().trimmed().toStdString();
  reason_->clear();
  edit(std::move(change), QStringLiteral("exclude the throw"));
}

void ReviewPage::reset() {
  if (at_hand_ == nullptr) return;
  session::Edit change;
  change.throw_contact = at_hand_->contact();
  change.action = session::Action::reset;
  edit(std::move(change), QStringLiteral("go back to what was found"));
}

void ReviewPage::take_mark_away(marks::BodyMark mark) {
  if (at_hand_ == nullptr) return;
  const auto& edits = state_.session()->edits();
  const std::vector<bool> stands = session::standing(edits);
  for (std::size_t row = edits.size(); row-- > 0;)
    if (const auto given = marks::frame_mark_of(edits[row]);
        stands[row] && given && given->mark == mark &&
        session::is_about(edits[row], at_hand_->contact()))
      return edit(session::undo_of(edits[row]), QStringLiteral("take the mark away"));
}

void ReviewPage::import_marks() {
  const QString file = QFileDialog::getOpenFileName(
      this, QStringLiteral("Marks by frame: throw, mark, frame, contact_frame, rate"), {},
      QStringLiteral("Tables (*.csv *.tsv *.txt)"));
  if (file.isEmpty() || state_.session() == nullptr) return;
  const auto marks = marks::read_frame_marks(file.toStdString());
  if (!marks) return remark_->report(marks.error());
  const auto& throws = state_.session()->results().throws;
  const auto throw_of = [&](int number) {
    return std::find_if(throws.begin(), throws.end(), [&](const session::ResultThrow& thrown) {
      return thrown.number == number;
    });
  };
  for (const marks::NumberedMark& mark : *marks)
    if (throw_of(mark.throw_number) == throws.end())
      return remark_->caution(QString::fromStdString(sentence(
          "{file} names throw {throw}, which this session does not have; nothing was taken "
          "in.",
          "file"_is(file.toStdString()), "throw"_is(mark.throw_number))));
  undo_.beginMacro(QStringLiteral("import marks"));
  for (const marks::NumberedMark& mark : *marks)
    edit(marks::to_edit(mark.mark, seconds(throw_of(mark.throw_number)->contact)),
         QStringLiteral("mark"));
  undo_.endMacro();
  remark_->say(QString::fromStdString(
      sentence_for(static_cast<long>(marks->size()), "{count} mark was taken in.",
                   "{count} marks were taken in.", "count"_is(marks->size()))));
}

void ReviewPage::correct_facts() {
  if (state_.session() == nullptr)
    return remark_->caution(QStringLiteral("No session is open whose facts could be put right."));
  FactsDialog dialog(state_.session()->session(), this);
  if (dialog.exec() != QDialog::Accepted || dialog.edits().empty()) return;
  undo_.beginMacro(QStringLiteral("put the session's facts right"));
  for (const session::Edit& correction : dialog.edits())
    edit(correction, QStringLiteral("put a fact right"));
  undo_.endMacro();
}

void ReviewPage::edit(session::Edit edit, const QString& words) {
  remark_->quiet();
  undo_.push(new EditCommand(state_, std::move(edit), words,
                             [this](const Error& error) { remark_->report(error); }));
}

void ReviewPage::measure_again() {
  if (state_.session() == nullptr || state_.recording()) return;
  // Two at once could end in the wrong order; and what is not on the disk would not be followed.
  if (measuring_ || !state_.session()->settled()) return measure_soon_.start(measure_after_ms);
  measuring_ = true;
  const auto path = state_.session()->path();
  analyse_session(jobs_, this, state_.lab(), path, [this, path](const Result<void>& measured) {
    if (state_.session() == nullptr || state_.session()->path() != path) return;
    measuring_ = false;
    // Results may be there all the same, as where others were set aside for them.
    if (auto loaded = state_.reload_session(); !loaded) remark_->report(loaded.error());
    if (!measured) remark_->report(measured.error());
  });
}

}  // namespace moundwork::desk
