// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTimer>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/desk/capture/foot_trail.h"
#include "app/desk/capture/live_day.h"
#include "app/desk/capture/live_follow.h"
#include "app/desk/capture/pitch_load.h"
#include "app/desk/capture/practice.h"
#include "app/desk/jobs/jobs.h"
#include "app/desk/page/page.h"
#include "app/desk/state/desk_state.h"
#include "core/session/cue_order.h"

namespace moundwork::desk {

class CueOrderLine;
class FollowLine;
class LampsLine;
class LastThrowPanel;
class RecordingBar;
class Notice;
class SweepTraces;
class TagPanel;
class ThrowList;
class ThrowTable;
class UnfinishedOffer;

/// The page of the throws as they come: record, watch, note. Without a recording it says who is
/// next, lists nothing and changes nothing.
class ThrowPage : public Page {
  Q_OBJECT
 public:
  ThrowPage(DeskState& state, Jobs& jobs, QWidget* parent = nullptr);
  ~ThrowPage() override;
  [[nodiscard]] QString title() const override { return QStringLiteral("Throw"); }
  [[nodiscard]] QString hint() const override;
  [[nodiscard]] QUndoStack* undo_stack() override { return &undo_; }
  [[nodiscard]] QString busy_with() const override;

  /// Goes to the practice folder, invents athletes where there are none and records one of them.
  void practise();
  /// Begins a recording of the chosen athlete, or ends the one that runs.
  void start_or_end();

  [[nodiscard]] const LiveDay& day() const { return day_; }
  [[nodiscard]] const ThrowList& throws() const { return *list_; }

 protected:
  void showEvent(QShowEvent* event) override;

 private:
  void make_layout();
  void connect_parts();
  void make_keys();
  void start();
  void offer_unfinished();
  void recording_began();
  void recording_went_on(const QString& words, int before, bool moved);
  void recording_ended(const RecordingEnd& end);
  void measure(const std::filesystem::path& file, const std::string& before);
  void count_pitches();
  void take_throw(int number);
  void choose_row(int row);
  void back_to_newest();
  void escape();
  void draw_cue_order(int throws, int run);
  void show_due_cue();
  /// By the order drawn: of the throw of this number, or of the one to come where it is 0.
  [[nodiscard]] std::optional<session::DrawnCue> drawn_cue(int number) const;
  void note(session::Edit edit, const QString& words);
  void note_of_shown(session::Edit edit, const QString& words);
  void show_notes();
  void frame();         // sixty a second while recording
  void show_status();   // four a second while recording
  void show_throw();    // the one that the desk shows
  void show_session();  // the open one: this page's recording, or none
  void list_nothing();
  void show_next();  // who throws next, while this page has no recording
  void show_lamps();
  void show_load();
  void show_foot(const drivers::LiveFeet& feet);
  void dress_anew();
  [[nodiscard]] bool has_recording() const { return !file_.empty(); }
  /// Null while the desk shows nothing of this page's recording.
  [[nodiscard]] const session::ResultThrow* shown() const;
  [[nodiscard]] int newest() const;  // number; 0 for none

  DeskState& state_;
  Jobs& jobs_;
  LiveDay day_;
  Practice practice_;
  QUndoStack undo_;
  ThrowList* list_;

  RecordingBar* bar_;
  LampsLine* lamps_;
  Notice* remark_;
  UnfinishedOffer* unfinished_;
  SweepTraces* traces_;
  LastThrowPanel* last_;
  FollowLine* following_;
  FootPicture* foot_;
  ThrowTable* table_;
  TagPanel* tags_;
  CueOrderLine* cue_order_;

  QTimer frames_, status_, come_back_;
  int frame_ = 0;
  LiveFollow follow_;
  bool practice_over_ = false;
  // The recording that runs, or ran last on this page; none as soon as somebody else is next or
  // another session is opened.
  std::string warned_;  // of the recorder, and shown
  std::filesystem::path file_;
  session::Session recorded_;
  std::vector<ThrowTrail> trails_;
  FootScene scene_;
  PitchLoad pitches_;
};

}  // namespace moundwork::desk
