// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTimer>
#include <QUndoStack>

#include "app/desk/jobs/jobs.h"
#include "app/desk/page/page.h"
#include "app/desk/review/throws_in_memory.h"
#include "app/desk/state/desk_state.h"
#include "core/marks/frame_marks.h"

class QCheckBox;
class QComboBox;
class QLabel;
class QLineEdit;
class QPushButton;

namespace moundwork::desk {

class EventsPanel;
class FootPicture;
class MarksPanel;
class NumbersPanel;
class Notice;
class SessionStrip;
class ThrowPicker;
class TracePlot;

/// One throw or several over each other: traces, events that can be moved, numbers that follow.
class ReviewPage : public Page {
  Q_OBJECT
 public:
  ReviewPage(DeskState& state, Jobs& jobs, QWidget* parent = nullptr);
  [[nodiscard]] QString title() const override { return QStringLiteral("Review"); }
  [[nodiscard]] QString hint() const override;
  [[nodiscard]] QUndoStack* undo_stack() override { return &undo_; }
  /// Asks what is right about the open session's athlete and air, and measures again with it.
  void correct_facts();

 private:
  void lay_out();
  void connect_parts();
  void show_session();
  void show_throw();
  void show_markers(const pitch::AnalysedThrow& now);
  void show_foot(const pitch::ThrowInMemory& thrown, const pitch::AnalysedThrow& now);
  void follow_drag(definitions::Event event, double time);
  void place_event(definitions::Event event, double time);
  void exclude_or_include();
  void reset();
  void import_marks();
  void take_mark_away(marks::BodyMark mark);
  void edit(session::Edit edit, const QString& words);
  void measure_again();
  /// One that was never measured, or not with the facts as they are.
  void measure_if_due();
  void show_standing();

  [[nodiscard]] double origin_of(const pitch::AnalysedThrow& thrown) const;
  [[nodiscard]] double mass() const;
  [[nodiscard]] bool is_measured(int number) const;
  [[nodiscard]] session::EditState edits_of(const pitch::ThrowInMemory& thrown) const;

  DeskState& state_;
  Jobs& jobs_;
  ThrowsInMemory throws_;
  QUndoStack undo_;
  QTimer measure_soon_;
  bool measuring_ = false;  // the session that is open

  QLabel* empty_;     // in place of all that follows while no session is open
  QWidget* session_;  // what shows one
  SessionStrip* strip_;
  ThrowPicker* picker_;
  FootPicture* foot_;
  TracePlot* plot_;
  EventsPanel* events_;
  NumbersPanel* numbers_;
  MarksPanel* marks_;
  Notice* session_remark_;  // how the session stands
  Notice* remark_;          // what was done, or went wrong
  QComboBox* align_;
  QCheckBox* single_plates_;  // there where a foot of the shown throw has several
  QLineEdit* reason_;
  QPushButton* exclude_;
  QPushButton* reset_;

  // Of the throw that is shown.
  std::shared_ptr<const pitch::ThrowInMemory> at_hand_;
  pitch::AnalysedThrow now_;
  int plotted_ = 0;  // number whose whole view has been set
};

}  // namespace moundwork::desk
