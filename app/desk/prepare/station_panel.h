// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTimer>
#include <QWidget>

#include "app/desk/jobs/jobs.h"
#include "app/desk/prepare/station_draft.h"
#include "app/desk/prepare/station_form.h"
#include "app/desk/state/desk_state.h"

class QLabel;
class QPlainTextEdit;
class QPushButton;
class QTabWidget;
class QUndoStack;

namespace moundwork::desk {

class Notice;
class StationDrawing;
class StationFields;
class TextSteps;

/// The lab's station: measures and file text, with a drawing to scale that follows both.
class StationPanel : public QWidget {
  Q_OBJECT
 public:
  StationPanel(DeskState& state, Jobs& jobs, QUndoStack& stack, QWidget* parent = nullptr);

  [[nodiscard]] const StationDraft& draft() const { return draft_; }
  /// Whether there are changes that the file does not have yet.
  [[nodiscard]] bool unsaved() const { return !draft_.saved(); }
  void save();

 Q_SIGNALS:
  void draft_changed();

 protected:
  /// Adapters are plugged in while the program runs: ports are looked for as the panel comes up.
  void showEvent(QShowEvent* event) override;

 private:
  void load();
  /// Takes what another window or an editor has made of the file; what is not saved here is put
  /// aside.
  void take_from_disk();
  void show_fresh(StationDraft fresh, const Result<void>& loaded);
  void begin_new();
  void look_for_ports();
  void read_text();
  void show_draft();
  void take(const Result<std::string>& text);

  DeskState& state_;
  Jobs& jobs_;
  QUndoStack& stack_;
  StationDraft draft_;
  QTimer typing_;  // the text is read when the typing rests
  QTimer follow_;
  StationFields* fields_;
  QPlainTextEdit* text_;
  TextSteps* steps_;
  StationDrawing* drawing_;
  QTabWidget* tabs_;
  Notice* remark_;
  QLabel* saved_;
  QPushButton* save_;
  QPushButton* begin_;
  QPushButton* swap_;
};

}  // namespace moundwork::desk
