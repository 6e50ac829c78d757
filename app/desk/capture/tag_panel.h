// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>
#include <array>
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

  /// `number` 0: no throw to note anything of.
  void show_state(int number, const session::EditState& state, session::Hand hand);
  /// The cue to note with each throw that comes; empty when it is not to be.
  [[nodiscard]] std::string lasting_cue() const;
  /// What the cue key notes.
  [[nodiscard]] std::string cue_name() const;
  /// Opens the reasons for leaving the throw out, or takes it in again.
  void exclude_key();
  /// A reason is being chosen for the throw that is shown.
  [[nodiscard]] bool deciding() const;

 Q_SIGNALS:
  /// Empty text takes the tag off.
  void tag_chosen(const std::string& tag, const std::string& text);
  void exclude_chosen(const std::string& why);
  void include_chosen();

 private:
  QLabel* heading_;
  std::array<QToolButton*, 8> pitches_{};
  std::array<QToolButton*, 9> misses_{};  // by digit, from 1
  QToolButton* cue_;
  QLineEdit* cue_name_;
  QCheckBox* cue_lasts_;
  QToolButton* exclude_;
  QWidget* reasons_;
  QComboBox* reason_;
  session::EditState state_;
  session::Hand hand_ = session::Hand::right;
};

}  // namespace moundwork::desk
