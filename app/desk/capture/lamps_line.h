// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QLabel>
#include <vector>

#include "app/desk/capture/device_words.h"
#include "app/desk/look/look.h"

namespace moundwork::desk {

/// One lamp for each instrument with its name and how it does: the shape says what the colour says,
/// and the words say it again.
class LampsLine : public QLabel {
  Q_OBJECT
 public:
  explicit LampsLine(QWidget* parent = nullptr);
  /// `cue` is noted with each throw that comes; empty for none.
  void show_lamps(const std::vector<DeviceLamp>& lamps, const QString& cue, const Look& look);
};

}  // namespace moundwork::desk
