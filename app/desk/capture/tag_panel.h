// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTimer>
#include <QWidget>
#include <array>
#include <cstddef>
#include <limits>
#include <string>

#include "core/session/edit_state.h"
#include "core/session/session.h"

class QCheckBox;
class QComboBox;
class QLabel;
class QLineEdit;
class QPushButton;
class QToolButton;

namespace moundwork::desk {

/// What can be noted of a throw, each with its key on it. Says what was chosen; writes nothing.
class TagPanel : public QWidget {
  Q_OBJECT
 public:
  explicit TagPanel(QWidget* parent = nullptr);

  /// `number` 0: no throw to note anything of. `contact`: its lead contact, s, by which a reason
  /// that is being written keeps to its throw, whatever number that has by then.
  void show_state(int number, double contact, const session::EditState& state, session::Hand hand);
  /// The cue to note with each throw that comes; empty when it is not to be.
  [[nodiscard]] std::string lasting_cue() const;
  /// As it stands in the field.
  [[nodiscard]] std::string cue_name() const;
  /// Says that no cue is given any more: it was for one recording.
  void end_lasting_cue();
  // What the keys do, to the throw that is shown; nothing where there is none. The same key again
  // takes a note off.
  void pitch_key(std::size_t pitch);  ///< index in pitch_keys
  void miss_key(int digit);
  void cue_key();
  void warm_up_key();
  void stretch_key();
  void effort_key();  ///< from one effort to the next lower, then to none
  /// Opens the reasons for leaving the throw out, or takes it in again.
  void exclude_key();
  /// A reason is being chosen: until Enter, Esc, the same key again or another throw that somebody
  /// chooses, whatever comes meanwhile.
  [[nodiscard]] bool deciding() const;
  /// Nothing is left out; the reasons close.
  void stop_deciding();
  /// Keys go to one of the text fields.
  [[nodiscard]] bool typing() const;

 Q_SIGNALS:
  /// Empty text takes the tag off.
  void tag_chosen(const std::string& tag, const std::string& text);
  /// Of the throw whose reason was asked for.
  void exclude_chosen(double contact, const std::string& why);
  void include_chosen();
  void lasting_cue_changed();
  /// A text field was left, or forgotten: keys are notes again.
  void typing_ended();

 protected:
  bool eventFilter(QObject* watched, QEvent* event) override;

 private:
  QLabel* heading_;
  std::array<QToolButton*, 8> pitches_{};
  std::array<QToolButton*, 9> misses_{};  // by digit, from 1
  QToolButton *warm_up_, *stretch_, *effort_;
  QToolButton* cue_;
  QLineEdit* cue_name_;
  QCheckBox* cue_lasts_;
  QToolButton* exclude_;
  QWidget* reasons_;
  QLabel* asked_;
  QComboBox* reason_;
  QTimer forgotten_;  // since the last key in the cue's field
  int number_ = 0;    // of the throw that is shown
  double contact_ = std::numeric_limits<double>::quiet_NaN();   // likewise
  double asked_of_ = std::numeric_limits<double>::quiet_NaN();  // whose reason is being chosen
  session::EditState state_;
  session::Hand hand_ = session::Hand::right;
};

}  // namespace moundwork::desk
