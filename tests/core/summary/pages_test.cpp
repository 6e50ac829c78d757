// SPDX-License-Identifier: GPL-3.0-or-later
// The page for a browser and the figures in it.
#include <catch2/catch.hpp>
#include <cmath>
#include <regex>

#include "core/summary/figures.h"
#include "core/summary/html.h"
#include "core/summary/support.h"
#include "core/summary/svg.h"

using namespace moundwork;
using namespace moundwork::summary;
using namespace moundwork::summary_support;

namespace {

Summary whole_summary(int throws) {
  Source source = made_source(throws);
  source.traces = made_traces(throws);
  return summarise(source, {});
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// Every element that is opened is closed, in order: what a strict reader of XML would ask, but for
// the elements that HTML leaves open.
bool balanced(const std::string& html) {
  std::vector<std::string> open;
  for (std::size_t at = html.find('<'); at != std::string::npos; at = html.find('<', at + 1)) {
    const std::size_t end = html.find('>', at);
    if (end == std::string::npos) return false;
    const std::string inside = html.substr(at + 1, end - at - 1);
    if (inside.starts_with("!") || inside.ends_with("/")) continue;
    const std::size_t closing = inside.starts_with("/") ? 1 : 0;
    const std::string name = inside.substr(closing, inside.find_first_of(" \n", closing) - closing);
    if (name == "meta") continue;
    if (closing == 0) {
      open.push_back(name);
    } else {
      if (open.empty() || open.back() != name) return false;
      open.pop_back();
    }
  }
  return open.empty();
}

// Labels and marks stay on the drawing.
void check_within(const Drawing& drawing) {
  constexpr double slack = 1.5;  // mm
  for (const Shape& shape : drawing.shapes) {
    if (const auto* stroke = std::get_if<Stroke>(&shape)) {
      for (const Point& point : stroke->points) {
        CHECK(std::isfinite(point.x));
        CHECK(point.x >= -slack);
        CHECK(point.x <= drawing.width + slack);
        CHECK(point.y >= -slack);
        CHECK(point.y <= drawing.height + slack);
      }
    } else {
      const auto& label = std::get<Label>(shape);
      CAPTURE(label.text);
      CHECK(label.at.x >= -slack);
      CHECK(label.at.x <= drawing.width + slack);
      CHECK(label.at.y <= drawing.height + slack);
    }
  }
}

}  // namespace

TEST_CASE("A page for a browser needs nothing from elsewhere", "[summary]") {
  const std::string html = to_html(whole_summary(12));
  CHECK(html.starts_with("<!DOCTYPE html>\n<html lang=\"en-GB\">"));
  CHECK(holds(html, "<meta charset=\"utf-8\">"));
  CHECK(holds(html, "@media print"));
  CHECK(balanced(html));
  // The one address names SVG's vocabulary; nothing is fetched by it.
  CHECK(std::regex_replace(html, std::regex("xmlns=\"http://www.w3.org/2000/svg\""), "")
            .find("http://") == std::string::npos);
  for (const char* outside : {"https://", "src=", "href=", "url(", "@import", "<script", "<img"})
    CHECK_FALSE(holds(html, outside));
}

TEST_CASE("Figures are told to those who do not see them", "[summary]") {
  const std::string html = to_html(whole_summary(12));
  const auto count = [&](const std::string& part) {
    std::size_t found = 0;
    for (auto at = html.find(part); at != std::string::npos; at = html.find(part, at + 1)) ++found;
    return found;
  };
  CHECK(count("<svg") == 3);  // the foot, the forces, the speed; no group, so no places
  CHECK(count("<desc") == 3);
  CHECK(count("role=\"img\"") == 3);
  CHECK(holds(html, "over the drive from 35 % to 70 %"));
}

TEST_CASE("Names cannot break a page", "[summary]") {
  Source source = made_source(3);
  source.session.athlete.name = "<b>&\"Zo'e\"</b>\x01";
  const std::string html = to_html(summarise(source, {}));
  CHECK(holds(html, "&lt;b&gt;&amp;&quot;Zo&#39;e&quot;&lt;/b&gt;"));
  CHECK_FALSE(holds(html, "<b>&"));
  CHECK_FALSE(holds(html, "\x01"));
  CHECK(balanced(html));
}

TEST_CASE("Figures keep to their size, whatever the throws did", "[summary]") {
  auto traces = made_traces(1);
  check_within(draw_foot(*traces.foot, 80.0, 60.0));
  check_within(draw_forces(traces.forces, 100.0, 70.0));
  // A foot line far from where the athlete stood.
  traces.foot->drive.front() = {-400.0, 0.9};
  traces.foot->each_peak = {{260.0, -0.5}};
  check_within(draw_foot(*traces.foot, 80.0, 60.0));
  // Spread and means that are not known, and an event beyond the trace.
  traces.forces.lead_z.mean.setConstant(NAN);
  traces.forces.back_x.sd.setConstant(NAN);
  traces.forces.release = MeanEvent{3.0, 1};
  check_within(draw_forces(traces.forces, 100.0, 70.0));
  check_within(
      draw_against({"braking", "m/s", "m/s", {1.0, 1.0}, {36.0, 36.0}, {}, "", 1}, 80.0, 50.0));
}

TEST_CASE("The foot lies as it does on the rubber, for either hand", "[summary]") {
  auto foot = *made_traces(3).foot;
  const auto place = [&](const std::string& text) {
    for (const Shape& shape : draw_foot(foot, 80.0, 60.0).shapes)
      if (const auto* label = std::get_if<Label>(&shape); label != nullptr && label->text == text)
        return label->at.x;
    return -1.0;
  };
  // Home plate at the top: a right-hander's toe points right, to third base.
  foot.toe_right = true;
  CHECK(place("toe 100") > place("heel 0"));
  foot.toe_right = false;
  CHECK(place("toe 100") < place("heel 0"));
}

TEST_CASE("Back and lead foot differ in dashes, not in colour alone", "[summary]") {
  const Drawing drawing = draw_forces(made_traces(3).forces, 100.0, 70.0);
  int solid = 0;
  int dashed = 0;
  for (const Shape& shape : drawing.shapes)
    if (const auto* stroke = std::get_if<Stroke>(&shape); stroke != nullptr) {
      solid += stroke->ink == Ink::back && stroke->dash == Dash::solid ? 1 : 0;
      dashed += stroke->ink == Ink::lead && stroke->dash == Dash::dashed ? 1 : 0;
      CHECK_FALSE((stroke->ink == Ink::lead && stroke->dash == Dash::solid));
    }
  CHECK(solid == 1);
  CHECK(dashed == 2);
}

TEST_CASE("A cover sheet lists athletes, and the sessions without a page", "[summary]") {
  std::vector<Summary> summaries{whole_summary(4), whole_summary(6)};
  const Cover cover = cover_of(summaries, {"x.h5: has not been analysed."}, true, "Moundwork");
  REQUIRE(cover.rows.size() == 2);
  CHECK(cover.rows[1].throws == "6");
  CHECK(cover.rows[1].numbers.size() == 5);
  CHECK(cover.says == "2 sessions, 10 throws counted");
  const std::string html = to_html(cover);
  CHECK(balanced(html));
  CHECK(holds(html, "x.h5: has not been analysed."));
  CHECK(holds(html, "this sheet holds names"));
  CHECK(holds(to_html(cover_of(summaries, {}, false, "")), "codes stand for people"));
}
