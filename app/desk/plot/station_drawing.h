// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <QWidget>
#include <array>
#include <optional>

#include "app/desk/look/look.h"
#include "core/session/session.h"

namespace moundwork::desk {

/// The station to scale: from above and from the third-base side, with rubber, plates, their corner
/// numbers and measures, the throwing line; beneath it the whole way to what stands apart
/// (the radar), from above.
class StationDrawing : public QWidget {
  Q_OBJECT
 public:
  explicit StationDrawing(const Look& look, QWidget* parent = nullptr);

  /// Instruments of a session or station; nothing shows an empty field.
  void show_station(std::optional<session::Session> station);
  void set_look(const Look& look);

  [[nodiscard]] QSize sizeHint() const override { return {620, 460}; }
  [[nodiscard]] QSize minimumSizeHint() const override { return {320, 260}; }

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  Look look_;
  std::optional<session::Session> station_;
};

/// Where a plate lies: "0.60 m long, 0.60 m wide, from -0.10 m to 0.50 m, falls 0.0°".
[[nodiscard]] QString plate_words(const session::Plate& plate);

}  // namespace moundwork::desk
