// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QDialog>
#include <vector>

#include "app/desk/review/facts_form.h"

class QCheckBox;
class QLabel;
class QLineEdit;

namespace moundwork::desk {

/// Asks what is right about a session's athlete and air, and why. Closes only with something that
/// can be.
class FactsDialog : public QDialog {
  Q_OBJECT
 public:
  explicit FactsDialog(const session::Session& session, QWidget* parent = nullptr);
  /// After it was accepted; empty where nothing was changed.
  [[nodiscard]] const std::vector<session::Edit>& edits() const { return edits_; }
  void accept() override;

 private:
  const session::Session session_;
  std::vector<session::Edit> edits_;
  QLineEdit *athlete_, *name_, *born_, *mass_, *height_, *temperature_, *pressure_, *humidity_;
  QCheckBox* left_handed_;
  QLineEdit* why_;
  QLabel* refused_;
};

}  // namespace moundwork::desk
