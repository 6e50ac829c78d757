// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/weigh_in_panel.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>
#include <utility>

#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/plot/foot_picture.h"
#include "app/desk/plot/foot_shape.h"
#include "app/desk/prepare/weigh_in_words.h"
#include "app/desk/state/weigh_ins.h"
#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/base/units.h"
#include "core/base/wall_time.h"
#include "core/session/plate_name.h"
#include "drivers/recorder/live_feet.h"

namespace moundwork::desk {
namespace {

constexpr int stand_frame_ms = 33;    // a person who stands does not need more
constexpr double path_kept = 3.0;     // s of the path that stay on the picture
constexpr double longest_look = 6.0;  // s of a stand that are looked at
constexpr double usual_foot = 0.27;   // m, where the roster names none

QString called(const RosterAthlete& athlete) {
  return QString::fromStdString(athlete.name.empty() ? athlete.id : athlete.name);
}

constexpr std::array step_words{"Plates empty", "Quiet stand", "Heel", "Toes"};

}  // namespace

WeighInPanel::WeighInPanel(DeskState& state, Jobs& jobs, RosterHistory& history, QWidget* parent)
    : QWidget(parent),
      state_(state),
      jobs_(jobs),
      history_(history),
      who_(new WordsLabel(this)),
      task_(new WordsLabel(this)),
      weight_(new WordsLabel(this)),
      found_(new WordsLabel(this)),
      remark_(new Notice(this)),
      picture_(new FootPicture(state.look(), this)),
      position_(new WordsLabel(this)),
      begin_(new QPushButton(QStringLiteral("&Begin weigh-in"), this)),
      take_(new QPushButton(this)),
      back_(new QPushButton(QStringLiteral("One step back"), this)),
      mass_only_(new QPushButton(QStringLiteral("Keep the mass alone"), this)),
      end_(new QPushButton(QStringLiteral("Stop"), this)),
      drop_(new QPushButton(QStringLiteral("&Drop today's last weigh-in"), this)) {
  auto* row = new QHBoxLayout(this);
  row->setContentsMargins(0, 0, 0, 0);
  row->setSpacing(16);
  auto* column = new QVBoxLayout;
  row->addLayout(column, 2);
  auto* seen = new QVBoxLayout;
  row->addLayout(seen, 3);
  seen->addWidget(picture_, 1);
  position_->setAlignment(Qt::AlignHCenter);
  seen->addWidget(position_);

  for (QLabel* words : {who_, task_, found_}) words->setWordWrap(true);
  QFont large = task_->font();
  large.setPointSizeF(1.4 * large.pointSizeF());
  task_->setFont(large);
  task_->setMinimumHeight(4 * QFontMetrics(large).lineSpacing());
  task_->setAlignment(Qt::AlignLeft | Qt::AlignTop);
  QFont huge = weight_->font();
  huge.setPointSizeF(3.0 * huge.pointSizeF());
  weight_->setFont(huge);
  weight_->setAccessibleName(QStringLiteral("What stands on the plates now"));
  QFont strong = who_->font();
  strong.setBold(true);
  who_->setFont(strong);
  column->addWidget(who_);
  auto* marks = new QHBoxLayout;
  for (std::size_t i = 0; i < marks_.size(); ++i) {
    marks_[i] = new WordsLabel(this);
    marks->addWidget(marks_[i]);
  }
  marks->addStretch(1);
  column->addLayout(marks);
  column->addWidget(task_);
  column->addWidget(weight_);
  column->addWidget(found_);
  column->addWidget(remark_);
  column->addSpacing(8);
  // The one thing to press is as large as the person at the keyboard is busy.
  for (QPushButton* button : {begin_, take_}) {
    button->setMinimumHeight(2 * fontMetrics().height() + 8);
    column->addWidget(button);
  }
  auto* others = new QHBoxLayout;
  for (QPushButton* button : {back_, mass_only_, end_, drop_}) others->addWidget(button);
  others->addStretch(1);
  column->addLayout(others);
  column->addStretch(1);

  timer_.setInterval(stand_frame_ms);
  connect(&timer_, &QTimer::timeout, this, &WeighInPanel::show_live);
  connect(begin_, &QPushButton::clicked, this, &WeighInPanel::begin);
  connect(take_, &QPushButton::clicked, this, &WeighInPanel::take);
  connect(back_, &QPushButton::clicked, this, [this] {
    steps_->back();
    since_.start();
    remark_->quiet();
    show_state();
  });
  connect(mass_only_, &QPushButton::clicked, this, [this] {
    steps_->end_with_mass();
    keep();
  });
  connect(end_, &QPushButton::clicked, this, [this] {
    end();
    remark_->say(QStringLiteral("Stopped; nothing was kept."));
  });
  connect(drop_, &QPushButton::clicked, this, &WeighInPanel::drop);
  connect(&state_, &DeskState::athlete_changed, this, &WeighInPanel::show_state);
  connect(&state_, &DeskState::roster_changed, this, &WeighInPanel::show_state);
  connect(&state_, &DeskState::lab_changed, this, &WeighInPanel::show_state);
  connect(&state_, &DeskState::preferences_changed, picture_,
          [this] { picture_->set_look(state_.look()); });
  show_state();
}

void WeighInPanel::begin() {
  remark_->quiet();
  const RosterAthlete* athlete = state_.athlete();
  if (athlete == nullptr)
    return remark_->caution(QStringLiteral("Nobody's turn: choose an athlete under Athletes."));
  if (const std::string missing = consent_missing(*athlete, today(state_.lab())); !missing.empty())
    return remark_->caution(QString::fromStdString(
        sentence("{name} is not weighed yet: {missing}. Note it under Athletes.",
                 "name"_is(called(*athlete).toStdString()), "missing"_is(missing))));
  if (!std::filesystem::exists(state_.lab().station()))
    return remark_->caution(
        QStringLiteral("This lab has no station yet: describe it under Station first."));
  auto station = drivers::read_station(state_.lab().station());
  if (!station) return remark_->report(station.error());
  station_ = std::move(*station);
  athlete_ = athlete->id;
  steps_.emplace(athlete->throws);
  starting_ = true;
  show_state();
  jobs_.run(
      QStringLiteral("Opening the plates"), this,
      [station = station_](JobControl&) { return drivers::ShortRecording::begin(station); },
      [this](Result<std::unique_ptr<drivers::ShortRecording>> recording) {
        begin_with(std::move(recording));
      },
      [this] {
        starting_ = false;
        steps_.reset();
        show_state();
      });
}

void WeighInPanel::begin_with(Result<std::unique_ptr<drivers::ShortRecording>> recording) {
  starting_ = false;
  if (!recording) {
    steps_.reset();
    show_state();
    return remark_->report(recording.error());
  }
  recording_ = std::move(*recording);
  auto view = drivers::LiveView::begin(recording_->capture());
  if (!view) {
    end();
    return remark_->report(view.error());
  }
  view_ = std::move(*view);
  since_.start();
  timer_.start();
  show_state();
  take_->setFocus();
}

void WeighInPanel::take() {
  if (view_ == nullptr || !steps_) return;
  std::vector<weigh_in::Stand> stands;
  if (steps_->step() == WeighInStep::empty) {
    view_->tare();
  } else {
    const double span = std::min(longest_look, 1e-3 * static_cast<double>(since_.elapsed()));
    stands = view_->stands(span);
  }
  if (const auto taken = steps_->take(stands); !taken) return remark_->report(taken.error());
  remark_->quiet();
  since_.start();
  if (steps_->step() == WeighInStep::done) return keep();
  show_state();
}

void WeighInPanel::drop() {
  const RosterAthlete* athlete = state_.athlete();
  if (athlete == nullptr) return;
  const auto dropped = drop_last_weigh_in(state_.lab(), athlete->id, today(state_.lab()));
  if (!dropped) return remark_->report(dropped.error());
  remark_->say(QString::fromStdString(sentence(
      "Today's last weigh-in of {name}, {mass} kg, was dropped. Sessions that were "
      "recorded with it keep its mass: put that right under Edit.",
      "name"_is(called(*athlete).toStdString()), "mass"_is(plain_text(dropped->mass.value, 1)))));
  show_state();
}

void WeighInPanel::keep() {
  weigh_in::WeighIn kept;
  kept.athlete = athlete_;
  kept.station = station_.name;
  kept.made = iso_now();
  kept.mass = steps_->mass();
  kept.foot_line = steps_->foot_line();
  end();
  if (const auto written = keep_weigh_in(state_.lab(), kept); !written)
    return remark_->report(written.error());
  auto athletes = state_.roster();
  const auto athlete = std::find_if(athletes.begin(), athletes.end(),
                                    [&](const RosterAthlete& a) { return a.id == athlete_; });
  if (athlete == athletes.end()) {
    remark_->say(QString::fromStdString(
        sentence("Weighed in with {mass} kg; the roster does not list this athlete.",
                 "mass"_is(moundwork::measured_text(kept.mass)))));
    return show_state();
  }
  const RosterAthlete before = *athlete;
  const bool to_roster = goes_to_roster(kept, before);
  if (to_roster) {
    athlete->mass = kept.mass.value;
    const QString name = called(*athlete);
    if (const auto written =
            history_.change(QStringLiteral("weigh-in of ") + name, std::move(athletes));
        !written)
      return remark_->report(written.error());
  }
  if (to_roster)
    remark_->say(kept_words(kept, before));
  else
    remark_->caution(kept_words(kept, before));
  show_state();
}

void WeighInPanel::end() {
  timer_.stop();
  view_.reset();
  steps_.reset();
  starting_ = false;
  // Closing the devices can take a moment: apart.
  if (recording_ != nullptr)
    jobs_.run(
        QStringLiteral("Closing the plates"), this,
        [recording = std::move(recording_)](JobControl&) mutable {
          recording.reset();
          return true;
        },
        [](bool) {});
  show_state();
}

std::optional<session::FootLine> WeighInPanel::shown_foot() const {
  const RosterAthlete* athlete = state_.athlete();
  if (athlete == nullptr) return std::nullopt;
  const double length = std::isfinite(athlete->foot_length) ? athlete->foot_length : usual_foot;
  session::FootLine line = customary_foot(athlete->throws, length);
  if (!steps_ || !steps_->heel()) return line;
  // From the heel's stance on, the picture lies where the foot is.
  const Eigen::Vector3d along = line.toe - line.heel;
  line.heel = steps_->heel()->point;
  line.toe = line.heel + 0.7 * along;
  line.source = session::FootLineSource::stances;
  return line;
}

void WeighInPanel::show_state() {
  const RosterAthlete* athlete = state_.athlete();
  const bool live = view_ != nullptr;
  const WeighInStep step = steps_ ? steps_->step() : WeighInStep::empty;
  who_->setText(
      athlete == nullptr
          ? QStringLiteral("Nobody's turn: choose an athlete under Athletes.")
          : QString::fromStdString(
                athlete->throws == session::Hand::left
                    ? sentence("{name}, throws left", "name"_is(called(*athlete).toStdString()))
                    : sentence("{name}, throws right", "name"_is(called(*athlete).toStdString()))));
  for (std::size_t i = 0; i < marks_.size(); ++i) {
    const auto number = static_cast<int>(i);
    const int now = live ? static_cast<int>(step) : -1;
    const QString words =
        QStringLiteral("%1 %2").arg(number + 1).arg(QString::fromUtf8(step_words[i]));
    marks_[i]->setText(number < now ? words + QStringLiteral(" ✓") : words);
    QFont font = marks_[i]->font();
    font.setBold(number == now);
    font.setUnderline(number == now);
    marks_[i]->setFont(font);
  }
  if (starting_)
    task_->setText(QStringLiteral("Opening the plates…"));
  else if (live)
    task_->setText(steps_->task());
  else
    task_->setText(
        QStringLiteral("Mass from a quiet stand; then the foot's line from a stand on "
                       "the heel and one on the toes. One minute."));
  begin_->setVisible(!live);
  begin_->setEnabled(!starting_ && athlete != nullptr);
  take_->setVisible(live);
  back_->setVisible(live && step != WeighInStep::empty);
  mass_only_->setVisible(live && (step == WeighInStep::heel || step == WeighInStep::toe));
  end_->setVisible(live);
  drop_->setVisible(!live && !starting_ && athlete != nullptr &&
                    last_weigh_in(state_.lab(), athlete->id, today(state_.lab())).has_value());
  switch (step) {
    case WeighInStep::empty:
      take_->setText(QStringLiteral("The plates are e&mpty"));
      break;
    case WeighInStep::stand:
      take_->setText(QStringLiteral("&Take this stand"));
      break;
    case WeighInStep::heel:
      take_->setText(QStringLiteral("&Take the heel"));
      break;
    case WeighInStep::toe:
      take_->setText(QStringLiteral("&Take the toes"));
      break;
    case WeighInStep::done:
      break;
  }
  if (live && steps_->mass().known())
    found_->setText(QStringLiteral("Mass %1 kg").arg(desk::measured_text(steps_->mass())));
  else
    found_->setText(athlete == nullptr
                        ? QString()
                        : QString::fromStdString(sentence(
                              "Today: {standing}", "standing"_is(standing().toStdString()))));
  if (!live) {
    weight_->clear();
    FootScene scene;
    scene.foot = athlete == nullptr ? std::nullopt : foot_line_for(state_.lab(), athlete->id);
    scene.foot_is_a_guess = !scene.foot.has_value();
    if (!scene.foot) scene.foot = shown_foot();
    picture_->set_close(true);
    position_->setText(athlete == nullptr ? QString()
                       : scene.foot_is_a_guess
                           ? QStringLiteral("Dotted: where a foot usually lies.")
                           : QStringLiteral("Today's foot."));
    picture_->show_scene(std::move(scene));
  }
  Q_EMIT standing_changed();
}

void WeighInPanel::show_live() {
  if (view_ == nullptr || !isVisible()) return;
  drivers::LiveSnapshot seen = view_->snapshot(path_kept);
  double force = 0.0;
  bool any = false;
  FootScene scene;
  scene.plates = back_plate_corners(station_.session);
  scene.foot = shown_foot();
  scene.foot_is_a_guess = true;
  // Until the heel is known the foot may be anywhere on the plate.
  picture_->set_close(steps_->heel().has_value());
  QString silent;
  for (std::size_t p = 0; p < seen.plates.size(); ++p) {
    const float vertical = seen.plates[p].latest().force[2];
    if (std::isfinite(vertical)) {
      force += vertical;
      any = true;
    } else {
      silent += (silent.isEmpty() ? QString() : QStringLiteral(", ")) +
                QString::fromStdString(session::plate_name(station_.session, p));
    }
  }
  const std::size_t plates = seen.plates.size();
  const drivers::LiveFeet feet = drivers::feet_of(std::move(seen));
  if (const drivers::LiveTrace* back = feet.find(session::PlateRole::back)) {
    scene.path.reserve(back->bins.size());
    for (std::size_t i = 0; i < back->bins.size(); ++i)
      scene.path.push_back({back->time(i), QPointF(back->bins[i].cop[0], back->bins[i].cop[1])});
    const auto& cop = back->latest().cop;
    if (std::isfinite(cop[0])) scene.now = QPointF(cop[0], cop[1]);
  }
  weight_->setText(
      any ? QString::fromStdString(with_unit(plain_text(force / standard_gravity, 1), "kg"))
          : QStringLiteral("–"));
  position_->setText(!silent.isEmpty()
                         ? QString::fromStdString(sentence("Nothing comes from: {plates}.",
                                                           "plates"_is(silent.toStdString())))
                     // With one plate to a foot it is plain which carries what.
                     : plates > feet.traces.size() ? feet_words(feet)
                     : scene.now ? QStringLiteral("Pressure on the back plate; the foot is "
                                                  "dotted until it is measured.")
                                 : QStringLiteral("Nobody on the back plate."));
  picture_->show_scene(std::move(scene));
}

QString WeighInPanel::standing() const {
  const RosterAthlete* athlete = state_.athlete();
  if (athlete == nullptr) return QStringLiteral("nobody's turn");
  const auto last = last_weigh_in(state_.lab(), athlete->id, today(state_.lab()));
  if (!last) return QStringLiteral("not weighed in yet");
  return standing_words(*last, *athlete);
}

}  // namespace moundwork::desk
