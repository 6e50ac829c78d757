// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/drawing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace moundwork::summary {

const char* colour_of(Ink ink) {
  switch (ink) {
    case Ink::none:
      return "";
    case Ink::text:
      return "#1b2430";
    case Ink::quiet:
      return "#55606d";
    case Ink::rule:
      return "#7b8693";
    case Ink::grid:
      return "#d9dee4";
    case Ink::paper:
      return "#ffffff";
    case Ink::back:
      return "#0a4a75";
    case Ink::lead:
      return "#c25a12";
    case Ink::wash:
      return "#eef1f4";
  }
  return "";
}

Stroke mark(MarkShape shape, Point at, double size, Ink ink) {
  // Corners of a regular outline: turned so that a square stands on its side.
  int corners = 24;
  double turn = 0.0;
  if (shape == MarkShape::diamond) corners = 4;
  if (shape == MarkShape::square) corners = 4, turn = std::numbers::pi / 4.0;
  if (shape == MarkShape::triangle) corners = 3, turn = -std::numbers::pi / 2.0;
  Stroke stroke;
  stroke.ink = ink;
  stroke.closed = true;
  stroke.fill = shape == MarkShape::ring ? Ink::paper : ink;
  for (int i = 0; i < corners; ++i) {
    const double angle = turn + 2.0 * std::numbers::pi * i / corners;
    stroke.points.push_back(
        {at.x + 0.5 * size * std::cos(angle), at.y + 0.5 * size * std::sin(angle)});
  }
  return stroke;
}

double assumed_width(const std::string& text, double size) {
  const auto characters = std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  });
  return 0.53 * size * static_cast<double>(characters);
}

}  // namespace moundwork::summary
