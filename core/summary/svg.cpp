// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/svg.h"

#include <fmt/format.h>

#include <iterator>

namespace moundwork::summary {
namespace {

using Out = std::back_insert_iterator<std::string>;

void put(const Stroke& stroke, std::string& svg) {
  svg += "<path d=\"";
  for (std::size_t i = 0; i < stroke.points.size(); ++i)
    fmt::format_to(Out(svg), "{}{:.2f} {:.2f}", i == 0 ? "M" : "L", stroke.points[i].x,
                   stroke.points[i].y);
  if (stroke.closed) svg += "Z";
  svg += "\"";
  if (stroke.fill == Ink::none)
    svg += " fill=\"none\"";
  else
    fmt::format_to(Out(svg), " fill=\"{}\"", colour_of(stroke.fill));
  if (stroke.fill_opacity < 1.0)
    fmt::format_to(Out(svg), " fill-opacity=\"{:g}\"", stroke.fill_opacity);
  if (stroke.ink != Ink::none) {
    fmt::format_to(Out(svg), " stroke=\"{}\" stroke-width=\"{:g}\"", colour_of(stroke.ink),
                   stroke.width);
    if (stroke.dash == Dash::dashed) svg += " stroke-dasharray=\"1.8 1.1\"";
    if (stroke.dash == Dash::dotted) svg += " stroke-dasharray=\"0.4 0.9\"";
  }
  svg += "/>\n";
}

void put(const Label& label, std::string& svg) {
  fmt::format_to(Out(svg), "<text x=\"{:.2f}\" y=\"{:.2f}\" font-size=\"{:g}\" fill=\"{}\"",
                 label.at.x, label.at.y, label.size, colour_of(label.ink));
  if (label.anchor == Anchor::middle) svg += " text-anchor=\"middle\"";
  if (label.anchor == Anchor::end) svg += " text-anchor=\"end\"";
  if (label.bold) svg += " font-weight=\"bold\"";
  fmt::format_to(Out(svg), ">{}</text>\n", escaped(label.text));
}

}  // namespace

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        if (static_cast<unsigned char>(c) >= 0x20U && c != 0x7f) out += c;
        if (c == '\n' || c == '\t') out += ' ';
    }
  }
  return out;
}

std::string to_svg(const Drawing& drawing, std::string_view id) {
  std::string svg = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:g} {1:g}\" role=\"img\" "
      "aria-labelledby=\"{2}-title {2}-words\" stroke-linejoin=\"round\">\n"
      "<title id=\"{2}-title\">{3}</title>\n<desc id=\"{2}-words\">{4}</desc>\n",
      drawing.width, drawing.height, id, escaped(drawing.title), escaped(drawing.description));
  for (const Shape& shape : drawing.shapes)
    std::visit([&](const auto& one) { put(one, svg); }, shape);
  return svg + "</svg>\n";
}

}  // namespace moundwork::summary
