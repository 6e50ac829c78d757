// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

class QLabel;
class QPushButton;

namespace moundwork::desk {

/// Beside the big number while recording: whether it is the newest throw's, and the way back.
class FollowLine : public QWidget {
  Q_OBJECT
 public:
  explicit FollowLine(QWidget* parent = nullptr);
  /// Numbers of throws; 0 for none.
  void show_following(int shown, int newest);

 Q_SIGNALS:
  void newest_wanted();

 private:
  QLabel* words_;
  QPushButton* back_;
};

}  // namespace moundwork::desk
