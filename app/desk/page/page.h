// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <QUndoStack>
#include <QWidget>

#include "app/desk/state/day_pages.h"

namespace moundwork::desk {

/// One station on the way through the day. Pages know DeskState and Jobs, never one another.
class Page : public QWidget {
  Q_OBJECT
 public:
  using QWidget::QWidget;

  [[nodiscard]] virtual QString title() const = 0;
  /// One line under the title: what to do here now.
  [[nodiscard]] virtual QString hint() const = 0;
  /// What Ctrl+Z takes back while this page is shown; null where there is nothing to undo.
  [[nodiscard]] virtual QUndoStack* undo_stack() { return nullptr; }
  /// Why the window must not close or leave the session now (a recording runs); empty when it may.
  [[nodiscard]] virtual QString busy_with() const { return {}; }

 Q_SIGNALS:
  void hint_changed();
  void wants_page(moundwork::desk::DayPage page);
  void wants_practice();  ///< "Play invented athletes on virtual instruments"
};

}  // namespace moundwork::desk
