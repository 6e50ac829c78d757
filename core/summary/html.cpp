// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/html.h"

#include <fmt/format.h>

#include "core/base/sentence.h"
#include "core/summary/figures.h"
#include "core/summary/svg.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

// Sizes of the figures in their own millimetres: only their shape and the size of their text matter
// here, for a browser fits them to its columns.
constexpr double foot_width = 92.0;
constexpr double foot_height = 62.0;
constexpr double forces_width = 112.0;
constexpr double forces_height = 76.0;
constexpr double against_width = 92.0;
constexpr double against_height = 54.0;
constexpr double place_width = 30.0;
constexpr double place_height = 3.2;

constexpr const char* style = R"(
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1.5rem; max-width: 68rem; background: #fff; color: #1b2430;
  font: 1rem/1.45 Lato, "Segoe UI", "Helvetica Neue", Arial, sans-serif; }
h1 { margin: 0; font-size: 1.9rem; line-height: 1.15; overflow-wrap: anywhere; }
h2 { margin: 0 0 .4rem; font-size: 1.05rem; }
header { display: flex; flex-wrap: wrap; gap: .2rem 2rem; justify-content: space-between;
  align-items: end; border-bottom: .2rem solid #1b2430; padding-bottom: .6rem; }
header p { margin: .15rem 0 0; color: #55606d; }
section { margin-top: 1.5rem; min-width: 0; }
table { width: 100%; border-collapse: collapse; }
caption { text-align: left; font-weight: bold; font-size: 1.05rem; padding-bottom: .3rem; }
th, td { text-align: left; vertical-align: top; padding: .5rem .8rem .5rem 0;
  border-bottom: 1px solid #d9dee4; }
thead th { font-weight: normal; color: #55606d; font-size: .85rem; padding: .2rem .8rem .2rem 0; }
tbody th { width: 42%; }
th p { margin: .1rem 0 0; font-weight: normal; font-size: .85rem; color: #55606d; }
td { font-variant-numeric: tabular-nums; }
td b { font-size: 1.3rem; white-space: nowrap; }
td small { display: block; color: #55606d; }
td svg { display: block; width: 100%; min-width: 6rem; max-width: 9rem; margin-bottom: .2rem; }
.note { font-size: .85rem; color: #55606d; margin: .4rem 0 0; }
.pair { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 24rem), 1fr));
  gap: 0 2.5rem; }
figure { margin: 0; }
figure svg { width: 100%; height: auto; }
figcaption { font-size: .9rem; }
ul { margin: 0; padding-left: 1.2rem; }
.cautions { border: 2px solid #1b2430; padding: .8rem 1rem; }
.wide { overflow-x: auto; }
footer { margin-top: 1.5rem; font-size: .8rem; color: #55606d; overflow-wrap: anywhere; }
@media (max-width: 40rem) { .five thead { display: none; } .five tr { display: block;
  border-bottom: 1px solid #d9dee4; padding: .6rem 0; } .five th, .five td { display: block;
  width: auto; border: 0; padding: .1rem 0; }
  .five td[data-head]::before { content: attr(data-head) ": "; color: #55606d; } }
@media print { @page { margin: 12mm; } html { font-size: 8.5pt; } body { padding: 0; }
  section { margin-top: .8rem; } section, tr { break-inside: avoid; }
  .pair { grid-template-columns: 1fr 1fr; gap: 0 1.5rem; } }
)";

std::string joined(const std::vector<std::string>& items) {
  std::string text;
  for (const auto& item : items) text += (text.empty() ? "" : " · ") + escaped(item);
  return text;
}

std::string page(const std::string& title, const std::string& body) {
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
      "'unsafe-inline'\">\n<meta name=\"referrer\" content=\"no-referrer\">\n"
      "<title>{}</title>\n<style>{}</style>\n</head>\n<body>\n{}</body>\n</html>\n",
      escaped(title), style, body);
}

std::string number_row(const Number& number, std::size_t index) {
  std::string row = fmt::format("<tr><th scope=\"row\">{}<p>{}</p></th>", escaped(number.name),
                                escaped(number.meaning));
  if (number.value.empty())
    return row + fmt::format("<td colspan=\"4\">{}</td></tr>\n", escaped(sentence("not measured")));
  row += fmt::format("<td><b>{}</b>{} {}</td>", escaped(number.value),
                     number.plus_minus.empty() ? "" : " ± " + escaped(number.plus_minus),
                     escaped(number.unit));
  const std::string range = escaped(sentence("range"));
  const std::string change = escaped(sentence("change"));
  const std::string others = escaped(sentence("among the others"));
  row += fmt::format("<td data-head=\"{}\">{}<small>{}</small></td>", range, escaped(number.range),
                     escaped(count_of_throws(number.throws)));
  if (number.change)
    row += fmt::format("<td data-head=\"{}\">{}<small>{}</small></td>", change,
                       escaped(number.change->difference), escaped(number.change->verdict));
  else
    row += fmt::format("<td data-head=\"{}\">–</td>", change);
  if (number.place.empty())
    row += fmt::format("<td data-head=\"{}\">–</td>", others);
  else
    row += fmt::format(
        "<td data-head=\"{}\">{}<small>{}</small></td>", others,
        to_svg(draw_place(number, place_width, place_height), fmt::format("place-{}", index)),
        escaped(number.place));
  return row + "</tr>\n";
}

std::string numbers_section(const Summary& summary) {
  std::string text = fmt::format(
      "<section>\n<table class=\"five\">\n<caption>{}</caption>\n<thead><tr>"
      "<th scope=\"col\"></th><th scope=\"col\">{}</th><th scope=\"col\">{}</th>"
      "<th scope=\"col\">{}</th><th scope=\"col\">{}</th></tr></thead>\n<tbody>\n",
      escaped(sentence("The five numbers")), escaped(sentence("this session")),
      escaped(sentence("range")), escaped(sentence("change")),
      escaped(sentence("among the others")));
  for (std::size_t i = 0; i < summary.numbers.size(); ++i)
    text += number_row(summary.numbers[i], i);
  text += "</tbody>\n</table>\n";
  for (const std::string* note :
       {&summary.uncertainty_note, &summary.change_note, &summary.group_note, &summary.excluded})
    if (!note->empty()) text += fmt::format("<p class=\"note\">{}</p>\n", escaped(*note));
  return text + "</section>\n";
}

std::string figure(const std::string& head, const std::string& content) {
  return fmt::format("<section>\n<h2>{}</h2>\n{}</section>\n", escaped(head), content);
}

std::string foot_section(const Summary& summary) {
  if (!summary.foot)
    return figure(sentence("The back foot"), fmt::format("<p>{}</p>\n", escaped(summary.no_foot)));
  return figure(sentence("The back foot"),
                fmt::format("<figure>\n{}<figcaption>{}</figcaption>\n</figure>\n",
                            to_svg(draw_foot(*summary.foot, foot_width, foot_height), "foot"),
                            escaped(foot_caption(*summary.foot))));
}

std::string forces_section(const Summary& summary) {
  if (summary.forces.throws == 0)
    return figure(sentence("Forces around lead contact"),
                  fmt::format("<p>{}</p>\n", escaped(sentence("No throw counts."))));
  return figure(
      sentence("Forces around lead contact"),
      fmt::format("<figure>\n{}</figure>\n",
                  to_svg(draw_forces(summary.forces, forces_width, forces_height), "forces")));
}

std::string against_section(const Summary& summary) {
  if (!summary.against)
    return figure(sentence("What goes with ball speed"),
                  fmt::format("<p>{}</p>\n", escaped(summary.no_against)));
  return figure(
      sentence("What goes with ball speed"),
      fmt::format("<figure>\n{}<figcaption>{}</figcaption>\n</figure>\n",
                  to_svg(draw_against(*summary.against, against_width, against_height), "against"),
                  escaped(against_caption(*summary.against))));
}

std::string doubts_section(const Summary& summary) {
  if (summary.doubts.empty())
    return figure(sentence("Not measured, or in doubt"),
                  fmt::format("<p>{}</p>\n", escaped(summary.no_doubts)));
  std::string items;
  for (const auto& doubt : summary.doubts) items += fmt::format("<li>{}</li>\n", escaped(doubt));
  return figure(sentence("Not measured, or in doubt"), "<ul>\n" + items + "</ul>\n");
}

std::string cautions_section(const Summary& summary) {
  std::string items;
  for (const auto& caution : summary.cautions)
    items += fmt::format("<li>{}</li>\n", escaped(caution));
  return fmt::format("<section class=\"cautions\">\n<h2>{}</h2>\n<ul>\n{}</ul>\n</section>\n",
                     escaped(sentence("Before the next throw")), items);
}

}  // namespace

std::string to_html(const Summary& summary) {
  std::string body = fmt::format(
      "<header>\n<div><h1>{}</h1><p>{}</p></div>\n<div><p>{}</p><p>{}</p></div>\n</header>\n"
      "<main>\n",
      escaped(summary.who), joined(summary.person), escaped(summary.when),
      joined(summary.conditions) + " · " + escaped(summary.counted));
  body += numbers_section(summary);
  body += "<div class=\"pair\">\n" + foot_section(summary) + forces_section(summary) + "</div>\n";
  body +=
      "<div class=\"pair\">\n" + against_section(summary) + doubts_section(summary) + "</div>\n";
  body += cautions_section(summary);
  body += fmt::format("</main>\n<footer>{}</footer>\n", escaped(summary.made));
  return page(fmt::format("{}, {}", summary.who, summary.when), body);
}

std::string to_html(const Cover& cover) {
  std::string body = fmt::format("<header>\n<div><h1>{}</h1><p>{}</p></div>\n</header>\n<main>\n",
                                 escaped(cover.title), escaped(cover.says));
  body += fmt::format(
      "<section class=\"wide\">\n<table>\n<thead><tr><th scope=\"col\">{}</th>"
      "<th scope=\"col\">{}</th>",
      escaped(sentence("athlete")), escaped(sentence("throws")));
  for (const auto& column : cover.columns)
    body += fmt::format("<th scope=\"col\">{}</th>", escaped(column));
  body += fmt::format("<th scope=\"col\">{}</th></tr></thead>\n<tbody>\n",
                      escaped(sentence("look at")));
  for (const CoverRow& row : cover.rows) {
    body += fmt::format("<tr><td>{}<small>{}</small></td><td>{}</td>", escaped(row.who),
                        escaped(row.when), escaped(row.throws));
    for (const auto& number : row.numbers) body += fmt::format("<td>{}</td>", escaped(number));
    body += fmt::format("<td>{}</td></tr>\n", escaped(row.look));
  }
  body += "</tbody>\n</table>\n</section>\n";
  if (!cover.failed.empty()) {
    body += fmt::format("<section>\n<h2>{}</h2>\n<ul>\n", escaped(sentence("Without a summary")));
    for (const auto& sentence : cover.failed)
      body += fmt::format("<li>{}</li>\n", escaped(sentence));
    body += "</ul>\n</section>\n";
  }
  body += "<section>\n";
  for (const auto& note : cover.notes)
    body += fmt::format("<p class=\"note\">{}</p>\n", escaped(note));
  body += fmt::format("</section>\n</main>\n<footer>{}</footer>\n", escaped(cover.made));
  return page(cover.title, body);
}

}  // namespace moundwork::summary
