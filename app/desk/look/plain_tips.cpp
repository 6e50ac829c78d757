// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/look/plain_tips.h"

#include <QAbstractItemView>
#include <QHelpEvent>
#include <QTextDocument>
#include <QToolTip>

namespace moundwork::desk {

QString plain_tip(const QString& words) {
  return Qt::mightBeRichText(words) ? Qt::convertFromPlainText(words) : words;
}

bool PlainTips::eventFilter(QObject* watched, QEvent* event) {
  if (event->type() != QEvent::ToolTip) return false;
  auto* widget = qobject_cast<QWidget*>(watched);
  if (widget == nullptr) return false;
  const auto* help = static_cast<QHelpEvent*>(event);
  // Cells have tips of their own.
  if (auto* view = qobject_cast<QAbstractItemView*>(widget->parentWidget());
      view != nullptr && view->viewport() == widget) {
    const QModelIndex index = view->indexAt(help->pos());
    const QString words = index.data(Qt::ToolTipRole).toString();
    if (words.isEmpty()) return false;
    QToolTip::showText(help->globalPos(), plain_tip(words), widget, view->visualRect(index));
    return true;
  }
  if (widget->toolTip().isEmpty()) return false;
  QToolTip::showText(help->globalPos(), plain_tip(widget->toolTip()), widget, QRect(),
                     widget->toolTipDuration());
  return true;
}

}  // namespace moundwork::desk
