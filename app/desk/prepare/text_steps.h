// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <QString>

class QPlainTextEdit;
class QUndoStack;

namespace moundwork::desk {

/// Makes an editor's own steps back part of the page's: typing and form fields are then undone in
/// the order in which they were done, from the one Edit menu.
class TextSteps : public QObject {
  Q_OBJECT
 public:
  TextSteps(QPlainTextEdit& editor, QUndoStack& stack, const QString& what);

  /// Replaces what differs, as one step; cursor and scroll stay where they are.
  void replace(const QString& text);

 protected:
  bool eventFilter(QObject* watched, QEvent* event) override;

 private:
  QPlainTextEdit& editor_;
};

}  // namespace moundwork::desk
