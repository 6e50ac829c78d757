// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/summary/page.h"

#include <algorithm>

#include "core/base/sentence.h"
#include "core/summary/figures.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

// Heights in mm; what paper has beyond them goes to the figures.
constexpr double head_height = 15.4;
constexpr double row_height = 12.6;
constexpr double column_heads = 4.6;
constexpr double notes_height = 12.0;
constexpr double footer_height = 4.0;
constexpr double gap = 3.2;
constexpr double section_head = 4.8;

constexpr TextStyle section_style{3.3, 3.0, true, Ink::text, false};
constexpr TextStyle small{2.6, 2.2, false, Ink::quiet, false};
constexpr TextStyle body{2.8, 2.2, false, Ink::text, false};

std::string joined(const std::vector<std::string>& items) {
  std::string text;
  for (const auto& item : items) text += (text.empty() ? "" : " · ") + item;
  return text;
}

void draw_head(Sheet& sheet, const Summary& summary, const Box& box) {
  const double left = 0.58 * box.width;
  // A long name takes two lines or three rather than lose its end.
  sheet.block({box.x, box.y, left, 8.9}, summary.who, {6.6, 2.6, true, Ink::text, false});
  sheet.line({box.x, box.y + 9.0, left, 4.0}, joined(summary.person),
             {3.0, 2.3, false, Ink::quiet});
  const Box right{box.x + left + gap, box.y, box.width - left - gap, 4.0};
  sheet.line({right.x, box.y + 0.6, right.width, 4.0}, summary.when,
             {3.3, 2.5, true, Ink::text, true});
  sheet.line({right.x, box.y + 4.9, right.width, 4.0}, joined(summary.conditions),
             {3.0, 2.3, false, Ink::quiet, true});
  sheet.line({right.x, box.y + 8.6, right.width, 4.0}, summary.counted,
             {3.0, 2.3, false, Ink::quiet, true});
  sheet.rule({box.x, box.bottom() - 1.4}, {box.right(), box.bottom() - 1.4}, Ink::text, 0.7);
}

// Left edges of the table's columns as shares of its width.
struct Columns {
  double value = 0.41, range = 0.575, change = 0.70, place = 0.86;
};

void draw_number(Sheet& sheet, const Number& number, const Box& box) {
  const Columns columns;
  const auto cell = [&](double from, double to, double down, double height) {
    return Box{box.x + from * box.width, box.y + down, (to - from) * box.width - 2.0, height};
  };
  sheet.line(cell(0.0, columns.value, 1.0, 4.0), number.name, {3.3, 2.8, true});
  sheet.block(cell(0.0, columns.value, 5.0, box.height - 5.4), number.meaning, small);
  if (number.value.empty()) {
    sheet.line(cell(columns.value, 1.0, 1.6, 4.0), sentence("not measured"),
               {3.0, 2.4, false, Ink::quiet});
    return;
  }
  const Box value = cell(columns.value, columns.range, 0.9, 6.0);
  const double width = sheet.line(value, number.value, {5.4, 3.6, true});
  if (!number.plus_minus.empty())
    sheet.line({value.x + width + 1.0, value.y + 2.35, value.width - width - 1.0, 4.0},
               "± " + number.plus_minus, {3.0, 2.2});
  sheet.line(cell(columns.value, columns.range, 7.2, 4.0), number.unit, small);
  sheet.line(cell(columns.range, columns.change, 2.6, 4.0), number.range, {3.0, 2.2});
  sheet.line(cell(columns.range, columns.change, 7.2, 4.0), count_of_throws(number.throws), small);
  if (number.change) {
    sheet.line(cell(columns.change, columns.place, 2.6, 4.0),
               number.change->difference.empty() ? "–" : number.change->difference,
               {3.0, 2.2, number.change->real});
    sheet.block(cell(columns.change, columns.place, 7.2, box.height - 7.6), number.change->verdict,
                {2.6, 1.9, false, number.change->real ? Ink::text : Ink::quiet});
  } else {
    sheet.line(cell(columns.change, columns.place, 2.6, 4.0), "–", {3.0, 2.2, false, Ink::quiet});
  }
  if (number.place.empty()) {
    sheet.line(cell(columns.place, 1.0, 2.6, 4.0), "–", {3.0, 2.2, false, Ink::quiet});
    return;
  }
  const Box strip = cell(columns.place, 1.0, 2.6, 3.2);
  sheet.place(draw_place(number, strip.width + 2.0, strip.height), {strip.x, strip.y});
  // A percentile and its interval take two lines.
  const double down = number.others.size() < least_for_percentile ? 7.2 : 6.3;
  sheet.block(cell(columns.place, 1.0, down, box.height - down - 0.4), number.place,
              {2.6, 2.0, false, Ink::quiet});
}

double draw_numbers(Sheet& sheet, const Summary& summary, const Box& box) {
  const Columns columns;
  const auto head = [&](double from, const std::string& text) {
    sheet.line({box.x + from * box.width, box.y + 0.4, 0.2 * box.width, 3.0}, text, small);
  };
  sheet.line({box.x, box.y, 0.4 * box.width, 4.0}, sentence("The five numbers"), section_style);
  head(columns.value, sentence("this session"));
  head(columns.range, sentence("range"));
  head(columns.change, sentence("change"));
  head(columns.place, sentence("among the others"));
  double y = box.y + column_heads;
  for (const Number& number : summary.numbers) {
    sheet.rule({box.x, y}, {box.right(), y}, Ink::grid, 0.25);
    draw_number(sheet, number, {box.x, y, box.width, row_height});
    y += row_height;
  }
  sheet.rule({box.x, y}, {box.right(), y}, Ink::rule, 0.3);
  std::string notes;
  for (const std::string* note :
       {&summary.excluded, &summary.change_note, &summary.group_note, &summary.uncertainty_note})
    if (!note->empty()) notes += (notes.empty() ? "" : " ") + *note;
  sheet.block({box.x, y + 0.8, box.width, notes_height - 1.2}, notes, small);
  return y + notes_height;
}

void draw_foot_section(Sheet& sheet, const Summary& summary, const Box& box) {
  sheet.line(box, sentence("The back foot"), section_style);
  const Box inner{box.x, box.y + section_head, box.width, box.height - section_head};
  if (!summary.foot) {
    sheet.block(inner, summary.no_foot, body);
    return;
  }
  constexpr double caption = 7.0;
  sheet.place(draw_foot(*summary.foot, inner.width, inner.height - caption), {inner.x, inner.y});
  sheet.block({inner.x, inner.bottom() - caption + 0.4, inner.width, caption - 0.4},
              foot_caption(*summary.foot), small);
}

void draw_forces_section(Sheet& sheet, const Summary& summary, const Box& box) {
  sheet.line(box, sentence("Forces around lead contact"), section_style);
  const Box inner{box.x, box.y + section_head, box.width, box.height - section_head};
  if (summary.forces.throws == 0)
    sheet.block(inner, sentence("No throw counts."), body);
  else
    sheet.place(draw_forces(summary.forces, inner.width, inner.height), {inner.x, inner.y});
}

void draw_against_section(Sheet& sheet, const Summary& summary, const Box& box) {
  sheet.line(box, sentence("What goes with ball speed"), section_style);
  const Box inner{box.x, box.y + section_head, box.width, box.height - section_head};
  if (!summary.against) {
    sheet.block(inner, summary.no_against, body);
    return;
  }
  constexpr double caption = 14.0;
  sheet.place(draw_against(*summary.against, inner.width, inner.height - caption),
              {inner.x, inner.y});
  sheet.block({inner.x, inner.bottom() - caption + 0.8, inner.width, caption - 0.8},
              against_caption(*summary.against), {2.6, 2.0});
}

void draw_doubts(Sheet& sheet, const Summary& summary, const Box& box) {
  sheet.line(box, sentence("Not measured, or in doubt"), section_style);
  const Box inner{box.x, box.y + section_head, box.width, box.height - section_head};
  if (summary.doubts.empty())
    sheet.block(inner, summary.no_doubts, body);
  else
    sheet.list(inner, summary.doubts, body);
}

// The cautions stand whole; doubts get what is left above them.
void draw_doubts_and_cautions(Sheet& sheet, const Summary& summary, const Box& box) {
  constexpr TextStyle style{2.6, 1.9};
  constexpr double margin = 1.8;
  constexpr double least_doubts = 20.0;
  const double width = box.width - 2.0 * margin;
  const double wanted =
      sheet.height_of_list(summary.cautions, width, style) + 2.0 * margin + section_head + 0.5;
  const double height = std::min(wanted, box.height - least_doubts);
  const Box cautions{box.x, box.bottom() - height, box.width, height};
  draw_doubts(sheet, summary, {box.x, box.y, box.width, box.height - height - gap});
  sheet.frame(cautions, Ink::text, 0.35);
  const Box inner{cautions.x + margin, cautions.y + margin, width, height - 2.0 * margin};
  sheet.line(inner, sentence("Before the next throw"), section_style);
  sheet.list({inner.x, inner.y + section_head, inner.width, inner.height - section_head},
             summary.cautions, style);
}

}  // namespace

void draw_page(Sheet& sheet, const Summary& summary, const Box& box) {
  draw_head(sheet, summary, {box.x, box.y, box.width, head_height});
  const double figures_top =
      draw_numbers(sheet, summary, {box.x, box.y + head_height, box.width, 0.0}) + gap;
  const double figures = box.bottom() - footer_height - gap - figures_top;
  const double upper = 0.48 * figures;
  const double lower = figures - upper;
  const double left = 0.44 * box.width;
  const double right = box.width - left - 2.0 * gap;
  const double right_x = box.right() - right;
  draw_foot_section(sheet, summary, {box.x, figures_top, left, upper});
  draw_forces_section(sheet, summary, {right_x, figures_top, right, upper});
  const double lower_top = figures_top + upper + gap;
  draw_against_section(sheet, summary, {box.x, lower_top, left, lower});
  draw_doubts_and_cautions(sheet, summary, {right_x, lower_top, right, lower});
  sheet.line({box.x, box.bottom() - footer_height + 1.4, box.width, 3.0}, summary.made,
             {2.2, 1.9, false, Ink::quiet});
}

std::size_t draw_cover(Sheet& sheet, const Cover& cover, const Box& box, std::size_t first) {
  constexpr double cover_row = 10.5;
  constexpr double heads = 9.0;
  sheet.line({box.x, box.y, box.width, 8.0}, cover.title, {6.6, 3.8, true});
  sheet.line({box.x, box.y + 8.6, box.width, 4.0}, cover.says, {3.0, 2.3, false, Ink::quiet});
  sheet.rule({box.x, box.y + 13.6}, {box.right(), box.y + 13.6}, Ink::text, 0.7);

  const double who = 0.18 * box.width;
  const double throws = 0.075 * box.width;
  const double look = 0.18 * box.width;
  const auto count = static_cast<double>(std::max<std::size_t>(1, cover.columns.size()));
  const double column = (box.width - who - throws - look) / count;
  double y = box.y + 15.0;
  sheet.line({box.x, y, who - 2.0, 4.0}, sentence("athlete"), small);
  sheet.line({box.x + who, y, throws - 2.0, 4.0}, sentence("throws"), small);
  for (std::size_t c = 0; c < cover.columns.size(); ++c)
    sheet.block(
        {box.x + who + throws + static_cast<double>(c) * column, y, column - 2.0, heads - 1.0},
        cover.columns[c], small);
  sheet.line({box.right() - look, y, look, 4.0}, sentence("look at"), small);
  y += heads;

  // What stands beneath the rows is on every page, so that no page is without it.
  constexpr double notes = 18.0;
  const double failed_height =
      cover.failed.empty()
          ? 0.0
          : section_head + std::min(40.0, 5.0 * static_cast<double>(cover.failed.size()));
  const double rows_bottom = box.bottom() - footer_height - notes - failed_height;
  std::size_t row = first;
  for (; row < cover.rows.size() && y + cover_row <= rows_bottom; ++row, y += cover_row) {
    const CoverRow& one = cover.rows[row];
    sheet.rule({box.x, y}, {box.right(), y}, Ink::grid, 0.25);
    sheet.line({box.x, y + 1.2, who - 2.0, 4.0}, one.who, {3.0, 2.2, true});
    sheet.line({box.x, y + 5.4, who - 2.0, 4.0}, one.when, {2.5, 2.0, false, Ink::quiet});
    sheet.line({box.x + who, y + 1.2, throws - 2.0, 4.0}, one.throws, {2.8, 2.2});
    for (std::size_t c = 0; c < one.numbers.size(); ++c)
      sheet.line(
          {box.x + who + throws + static_cast<double>(c) * column, y + 1.2, column - 2.0, 4.0},
          one.numbers[c], {2.8, 2.2});
    sheet.block({box.right() - look, y + 1.2, look, cover_row - 1.6}, one.look, {2.5, 2.0});
  }
  sheet.rule({box.x, y}, {box.right(), y}, Ink::rule, 0.3);
  if (!cover.failed.empty()) {
    sheet.line({box.x, rows_bottom + 1.0, box.width, 4.0}, sentence("Without a summary"),
               section_style);
    sheet.list({box.x, rows_bottom + 1.0 + section_head, box.width, failed_height - section_head},
               cover.failed, {2.6, 2.0});
  }
  sheet.list({box.x, box.bottom() - footer_height - notes + 2.0, box.width, notes - 2.0},
             cover.notes, {2.6, 2.2, false, Ink::quiet});
  sheet.line({box.x, box.bottom() - footer_height + 1.4, box.width, 3.0}, cover.made,
             {2.2, 1.9, false, Ink::quiet});
  return row;
}

}  // namespace moundwork::summary
