// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QPointF>
#include <QString>
#include <QWidget>
#include <array>
#include <optional>
#include <vector>

#include "app/desk/look/look.h"
#include "core/plate/geometry.h"
#include "core/session/session.h"

namespace moundwork::desk {

/// A centre of pressure at a time. Lab x and y, m; NaN where the foot hardly pressed, which breaks
/// the path.
struct PressurePoint {
  double time = 0.0;  ///< s
  QPointF at;
};

/// A named place: "drive peak".
struct FootMark {
  QPointF at;  ///< lab, m
  QString words;
};

/// What a foot picture shows; each part may be missing. Lab frame, m.
struct FootScene {
  /// Corners of each of the foot's plates, as plate::PlateDescription.
  std::vector<std::array<Eigen::Vector3d, 4>> plates;
  std::optional<session::FootLine> foot;
  bool foot_is_a_guess = false;  ///< drawn dotted: nobody has stood there yet
  std::vector<PressurePoint> path;
  std::vector<FootMark> marks;
  std::optional<QPointF> now;  ///< where the pressure is at this moment
};

/// Corners of the plates under the session's back foot, for a scene.
[[nodiscard]] std::vector<std::array<Eigen::Vector3d, 4>> back_plate_corners(
    const session::Session& session);

/// Foot from above on its plates, home plate toward the top and the first-base side on the left,
/// with the path of the centre of pressure: a dot every tenth of a second, older parts fainter.
class FootPicture : public QWidget {
  Q_OBJECT
 public:
  explicit FootPicture(const Look& look, QWidget* parent = nullptr);

  void show_scene(FootScene scene);
  void set_look(const Look& look);
  /// Close to the foot (the default), or its whole plates.
  void set_close(bool close);
  [[nodiscard]] const FootScene& scene() const { return scene_; }

  [[nodiscard]] QSize sizeHint() const override;
  [[nodiscard]] QSize minimumSizeHint() const override;

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  Look look_;
  FootScene scene_;
  bool close_ = true;
};

/// "62 % from heel to toe", "no pressure": what the picture tells at a glance, in words.
[[nodiscard]] QString pressure_words(const FootScene& scene);

}  // namespace moundwork::desk
