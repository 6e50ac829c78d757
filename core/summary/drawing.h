// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <variant>
#include <vector>

/// A figure as a list of strokes and labels, so that one drawing goes to paper, to a page for a
/// browser and to a window, and tests can look at it. Millimetres; y grows downward.
namespace moundwork::summary {

struct Point {
  double x = 0.0;
  double y = 0.0;
};

/// What a colour stands for; nothing is told by colour alone.
enum class Ink {
  none,
  text,
  quiet,  ///< labels beside the point
  rule,   ///< axes and frames
  grid,
  paper,
  back,  ///< the back foot
  lead,  ///< the lead foot
  wash   ///< a pale ground
};
/// "#rrggbb"; empty for none. Back and lead differ in lightness too.
[[nodiscard]] const char* colour_of(Ink ink);

enum class Dash { solid, dashed, dotted };

struct Stroke {
  std::vector<Point> points;
  Ink ink = Ink::text;  ///< of the line
  double width = 0.3;   ///< mm
  Dash dash = Dash::solid;
  Ink fill = Ink::none;  ///< closes the outline
  double fill_opacity = 1.0;
  bool closed = false;
};

enum class Anchor { start, middle, end };

inline constexpr double figure_text = 2.5;  ///< mm, of the font of a figure's words

struct Label {
  Point at;  ///< on the base line
  std::string text;
  double size = figure_text;  ///< mm, of the font
  Anchor anchor = Anchor::start;
  Ink ink = Ink::text;
  bool bold = false;
};

using Shape = std::variant<Stroke, Label>;

struct Drawing {
  double width = 0.0, height = 0.0;
  std::string title;        ///< short name
  std::string description;  ///< in words, for those who do not see it
  std::vector<Shape> shapes;
};

enum class MarkShape { disc, ring, diamond, square, triangle };
/// A mark centred at a point; a ring is filled with paper.
[[nodiscard]] Stroke mark(MarkShape shape, Point at, double size, Ink ink);

/// Width of a text as a layout may assume it where no font is at hand: 0.53 of the size for each
/// character, the mean of the usual sans serif faces.
[[nodiscard]] double assumed_width(const std::string& text, double size);

}  // namespace moundwork::summary
