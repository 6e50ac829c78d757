// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QElapsedTimer>
#include <QTimer>
#include <QWidget>
#include <memory>

#include "app/desk/jobs/jobs.h"

class QVBoxLayout;

namespace moundwork::desk {

/// A line for each piece of long work: what it is, how far, a way to stop it. No place when idle.
class JobsStrip : public QWidget {
  Q_OBJECT
 public:
  explicit JobsStrip(Jobs& jobs, QWidget* parent = nullptr);

 private:
  void rebuild();
  void show_progress();

  Jobs& jobs_;
  QVBoxLayout* lines_;
  QTimer timer_;
  QElapsedTimer busy_;
};

}  // namespace moundwork::desk
