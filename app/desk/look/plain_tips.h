// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <QString>

namespace moundwork::desk {

/// Tool tips letter by letter, whoever gives them: Qt takes what looks like markup for markup.
/// Watches the whole application.
class PlainTips : public QObject {
  Q_OBJECT
 public:
  using QObject::QObject;
  bool eventFilter(QObject* watched, QEvent* event) override;
};

/// As a tool tip shows these words and nothing else.
[[nodiscard]] QString plain_tip(const QString& words);

}  // namespace moundwork::desk
