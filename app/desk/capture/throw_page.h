// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTimer>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "app/desk/capture/foot_trail.h"
#include "app/desk/capture/live_day.h"
#include "app/desk/capture/pitch_load.h"
#include "app/desk/capture/practice.h"
#include "app/desk/jobs/jobs.h"
#include "app/desk/page/page.h"
#include "app/desk/state/desk_state.h"

class QComboBox;
class QLabel;
class QPushButton;
class QTableView;

namespace moundwork::desk {

class LampsLine;
class LastThrowPanel;
class Notice;
class SweepTraces;
class TagPanel;
class ThrowList;

/// The page of the throws as they come: record, watch, note.
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
  void make_keys();
  void start();
  void offer_unfinished();
  void recording_began();
  void recording_ended(const RecordingEnd& end);
  void measure(const std::filesystem::path& file, const QString& before);
  void count_pitches();
  void take_throw(int number);
  void note(session::Edit edit, const QString& words);
  void show_notes();
  void frame();         // sixty a second while recording
  void show_status();   // four a second while recording
  void show_throw();    // the chosen one
  void show_session();  // the open one, while nothing is recorded
  void show_athletes();
  void show_load();
  void show_foot(const drivers::LiveSnapshot& snapshot);
  void dress_anew();
  [[nodiscard]] const session::ResultThrow* chosen() const;

  DeskState& state_;
  Jobs& jobs_;
  LiveDay day_;
  Practice practice_;
  QUndoStack undo_;
  ThrowList* list_;

  QComboBox* athlete_;
  QPushButton* start_;
  QPushButton* practise_;
  QPushButton* zero_;
  QLabel* elapsed_;
  QLabel* lost_;
  QLabel* disk_;
  QLabel* load_;
  QLabel* practice_words_;
  LampsLine* lamps_;
  Notice* remark_;
  QWidget* unfinished_;
  QLabel* unfinished_words_;
  QPushButton* go_on_;
  QPushButton* leave_;
  SweepTraces* traces_;
  LastThrowPanel* last_;
  FootPicture* foot_;
  QTableView* table_;
  TagPanel* tags_;

  QTimer frames_, status_;
  int frame_ = 0;
  session::Session recorded_;   // of the throws that are listed
  std::filesystem::path file_;  // the same
  std::vector<ThrowTrail> trails_;
  FootScene scene_;
  PitchLoad pitches_;
  std::filesystem::path counted_;  // the recording that pitches_ is about
  std::vector<std::filesystem::path> unfinished_files_;
};

}  // namespace moundwork::desk
