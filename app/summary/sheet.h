// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QPainter>
#include <string>
#include <vector>

#include "app/summary/paint.h"

namespace moundwork::summary {

/// A rectangle on the page, mm.
struct Box {
  double x = 0.0, y = 0.0, width = 0.0, height = 0.0;

  [[nodiscard]] double right() const { return x + width; }
  [[nodiscard]] double bottom() const { return y + height; }
};

struct TextStyle {
  double size = 2.8;   ///< mm
  double least = 2.2;  ///< how far it may shrink to fit
  bool bold = false;
  Ink ink = Ink::text;
  bool to_right = false;
};

/// A page measured in mm, on which text always keeps to its box: it shrinks to a least size, then
/// ends in an ellipsis.
class Sheet {
 public:
  /// `dots`: device dots to a millimetre.
  Sheet(QPainter& painter, double dots) : painter_(painter), dots_(dots) {}

  /// One line. Returns its width, mm.
  double line(const Box& box, const std::string& text, const TextStyle& style);
  /// Wrapped at words. Returns the height used, mm.
  double block(const Box& box, const std::string& text, const TextStyle& style);
  /// Paragraphs with a hanging dot, all of one size; those that find no room are counted in a last
  /// line. Returns the height used, mm.
  double list(const Box& box, const std::vector<std::string>& items, const TextStyle& style);
  /// What it takes at its full size, mm.
  [[nodiscard]] double height_of_list(const std::vector<std::string>& items, double width,
                                      const TextStyle& style) const;

  void rule(Point from, Point to, Ink ink, double width);
  void frame(const Box& box, Ink ink, double width);
  void place(const Drawing& drawing, Point at);
  [[nodiscard]] double width_of(const std::string& text, double size, bool bold) const;

 private:
  [[nodiscard]] double height_of(const QString& text, double width, double size, bool bold) const;
  void draw(const Box& box, const QString& text, double size, const TextStyle& style);
  [[nodiscard]] double list_height(const std::vector<QString>& items, double width, double size,
                                   bool bold) const;

  QPainter& painter_;
  double dots_;
};

}  // namespace moundwork::summary
