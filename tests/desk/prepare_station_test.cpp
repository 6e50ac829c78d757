// SPDX-License-Identifier: GPL-3.0-or-later
#include <QPlainTextEdit>
#include <QUndoStack>
#include <catch2/catch.hpp>
#include <fstream>
#include <numbers>
#include <sstream>

#include "app/desk/kinds/radar/radar.h"
#include "app/desk/plot/station_drawing.h"
#include "app/desk/prepare/plate_place.h"
#include "app/desk/prepare/station_draft.h"
#include "app/desk/prepare/station_form.h"
#include "app/desk/prepare/station_text.h"
#include "app/desk/prepare/text_steps.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

// computed apart with NumPy: a 600 x 400 mm plate pitched by atan(1/12), centre (500, 0, 250) mm.
constexpr double fall = 4.763641690726 * std::numbers::pi / 180.0;
const Corners pitched{Eigen::Vector3d{0.798963727473464, -0.2, 0.225086356043878},
                      Eigen::Vector3d{0.201036272526536, -0.2, 0.274913643956122},
                      Eigen::Vector3d{0.201036272526536, 0.2, 0.274913643956122},
                      Eigen::Vector3d{0.798963727473464, 0.2, 0.225086356043878}};

drivers::Station station_of(const std::string& text) {
  const auto station = drivers::parse_station(text, "station.toml");
  if (!station) FAIL(station.error().sentence());
  return *station;
}

double apart(const Corners& a, const Corners& b) {
  double worst = 0.0;
  for (std::size_t i = 0; i < 4; ++i) worst = std::max(worst, (a[i] - b[i]).norm());
  return worst;
}

}  // namespace

TEST_CASE("a plate's corners and its measures say the same", "[prepare]") {
  const auto place = place_of(pitched);
  REQUIRE(place);
  CHECK((place->centre - Eigen::Vector3d(0.5, 0.0, 0.25)).norm() < 1e-12);
  CHECK(place->length == Approx(0.6));
  CHECK(place->width == Approx(0.4));
  CHECK(place->fall == Approx(fall));
  CHECK(place->turn == Approx(0.0).margin(1e-12));
  CHECK(place->lean == Approx(0.0).margin(1e-12));
  CHECK(apart(corners_at(*place, pitched), pitched) < 1e-9);

  // However the corners are numbered, and turned and leaning too: there and back is the same.
  PlatePlace crooked = *place;
  crooked.turn = 0.1;
  crooked.lean = -0.03;
  Corners numbered = pitched;
  const int shift = GENERATE(0, 1, 2, 3);
  std::rotate(numbered.begin(), numbered.begin() + shift, numbered.end());
  const Corners moved = corners_at(crooked, numbered);
  const auto again = place_of(moved);
  REQUIRE(again);
  CHECK(again->turn == Approx(0.1));
  CHECK(again->lean == Approx(-0.03));
  CHECK(again->fall == Approx(fall));
  CHECK(apart(corners_at(*again, moved), moved) < 1e-9);
  // Moving a plate leaves each corner where its number was.
  for (std::size_t i = 0; i < 4; ++i) CHECK((moved[i] - numbered[i]).norm() < 0.05);
}

TEST_CASE("quadrants are told by where they lie", "[prepare]") {
  CHECK(quadrant_words(pitched, 0) == QStringLiteral("home, third-base side"));
  CHECK(quadrant_words(pitched, 2) == QStringLiteral("rubber, first-base side"));
}

TEST_CASE("one value changes and the rest of the file stays as written", "[prepare]") {
  const std::string text =
      "# é is two bytes, and one character\n"
      "name = \"here\"  # a comment\n"
      "\n"
      "[radar]  # mine\n"
      "delay = \"80 ms\"\t# é measured\n"
      "position = [1.0,\n  2.0, 3.0]\n"
      "[[plate]]\n"
      "role = \"back\"\n"
      "[[plate]]\n"
      "corners = [[1,2,3]] # last";
  const auto changed = [&](const StationKey& key, const char* value) {
    const auto done = with_value(text, key, value);
    if (!done) FAIL(done.error().sentence());
    return *done;
  };
  const auto replaced = [&](const std::string& from, const std::string& to) {
    std::string expected = text;
    return expected.replace(expected.find(from), from.size(), to);
  };
  CHECK(changed({"", -1, "name"}, "\"there\"") == replaced("\"here\"", "\"there\""));
  CHECK(changed({"radar", -1, "delay"}, "\"5 ms\"") == replaced("\"80 ms\"", "\"5 ms\""));
  CHECK(changed({"radar", -1, "position"}, "[0, 0, 1]") ==
        replaced("[1.0,\n  2.0, 3.0]", "[0, 0, 1]"));
  CHECK(changed({"plate", 1, "corners"}, "[]") == replaced("[[1,2,3]]", "[]"));
  // What is not there yet goes under its heading.
  CHECK(changed({"radar", -1, "delay_u"}, "\"1 ms\"") ==
        replaced("# mine\n", "# mine\ndelay_u = \"1 ms\"\n"));
  CHECK_FALSE(with_value(text, {"device", 0, "name"}, "1"));
  CHECK_FALSE(with_value("name = ", {"", -1, "name"}, "1"));
}

TEST_CASE("the example to begin with is a station, all of whose numbers the form shows",
          "[prepare]") {
  const drivers::Station station = station_of(new_station_text());
  REQUIRE(station.session.plates.size() == 2);
  REQUIRE(station.session.radar);
  CHECK(*form_number(station, FormColumn::lead_plate, FormRow::x) == Approx(1.6));
  CHECK(*form_number(station, FormColumn::lead_plate, FormRow::length) ==
        Approx(std::hypot(0.9, 0.075)));
  // A mound falls 1 in a foot (design, section 2).
  CHECK(*form_number(station, FormColumn::lead_plate, FormRow::fall) ==
        Approx(4.7636).margin(0.01));
  CHECK(*form_number(station, FormColumn::back_plate, FormRow::rate) == 1000.0);
  CHECK(*form_number(station, FormColumn::radar, FormRow::delay) == Approx(80.0));
  CHECK(*form_port(station, FormColumn::back_plate) == "/dev/ttyUSB0");
  CHECK_FALSE(form_number(station, FormColumn::radar, FormRow::length));
}

TEST_CASE("each field of the form changes its own measure and no other", "[prepare]") {
  const std::string text = new_station_text();
  const drivers::Station station = station_of(text);
  for (int c = 0; c < form_column_count; ++c)
    for (int r = 0; r < form_row_count; ++r) {
      const auto column = static_cast<FormColumn>(c);
      const auto row = static_cast<FormRow>(r);
      const auto before = form_number(station, column, row);
      if (!before) continue;
      const double wanted = *before + 0.25;
      const auto changed = with_form_number(text, station, column, row, wanted);
      REQUIRE(changed);
      const drivers::Station after = station_of(*changed);
      for (int c2 = 0; c2 < form_column_count; ++c2)
        for (int r2 = 0; r2 < form_row_count; ++r2) {
          const auto there =
              form_number(after, static_cast<FormColumn>(c2), static_cast<FormRow>(r2));
          const auto was =
              form_number(station, static_cast<FormColumn>(c2), static_cast<FormRow>(r2));
          REQUIRE(there.has_value() == was.has_value());
          // Corners are written to a tenth of a millimetre: 0.02 degrees on half a metre.
          if (there) {
            INFO(c << ' ' << r << ' ' << c2 << ' ' << r2);
            CHECK(*there == Approx(c2 == c && r2 == r ? wanted : *was).margin(0.03));
          }
        }
    }
}

TEST_CASE("ports come and go as one line", "[prepare]") {
  const drivers::Station station = station_of(new_station_text());
  for (const char* line : {"/dev/ttyACM3", "USB 0403:6001 NM-B", "USB 0403:6001",
                           "192.168.7.20:4001", "stream /run/back", "replay /data/back.bin"}) {
    const auto changed = with_form_port(new_station_text(), station, FormColumn::back_plate, line);
    REQUIRE(changed);
    CHECK(*form_port(station_of(*changed), FormColumn::back_plate) == line);
  }
  // The baud rate of the example stays when only the port is another.
  const auto moved =
      with_form_port(new_station_text(), station, FormColumn::back_plate, "/dev/ttyS1");
  const drivers::Station there = station_of(*moved);
  const auto* serial = std::get_if<drivers::SerialSettings>(&there.devices[0].port);
  REQUIRE(serial != nullptr);
  CHECK(serial->baud_rate == 921600);
  CHECK_FALSE(with_form_port(new_station_text(), station, FormColumn::radar, "USB zz"));
  CHECK_FALSE(with_form_port(new_station_text(), station, FormColumn::radar, "  "));
}

TEST_CASE("back and lead plate change places", "[prepare]") {
  const std::string text = new_station_text();
  const auto swapped = with_roles_swapped(text, station_of(text));
  REQUIRE(swapped);
  CHECK(*form_number(station_of(*swapped), FormColumn::back_plate, FormRow::x) == Approx(1.6));
}

TEST_CASE("a station is saved whole or not at all", "[prepare]") {
  const support::Folder folder;
  const auto path = folder / "station.toml";
  StationDraft draft;
  REQUIRE(draft.load(path));
  CHECK(draft.empty());
  draft.set_text(new_station_text());
  CHECK_FALSE(draft.saved());
  REQUIRE(draft.save());
  CHECK(draft.saved());
  const auto on_disk = [&] {
    std::ostringstream text;
    text << std::ifstream(path).rdbuf();
    return text.str();
  };
  CHECK(on_disk() == new_station_text());
  // Half typed: the sentence names the line, the last station stays, the file too.
  draft.set_text("name = \"x\nsurface");
  REQUIRE(draft.fault());
  CHECK_THAT(draft.fault()->sentence(), Catch::Contains("line 1"));
  CHECK(draft.station() != nullptr);
  CHECK_FALSE(draft.save());
  CHECK(on_disk() == new_station_text());
  const auto aside = draft.put_aside();
  REQUIRE(aside);
  CHECK(std::filesystem::exists(*aside));
}

TEST_CASE("a station that somebody else has changed is not written over", "[prepare]") {
  const support::Folder folder;
  const auto path = folder / "station.toml";
  StationDraft draft;
  REQUIRE(draft.load(path));
  draft.set_text(new_station_text());
  // Another window made the first one meanwhile.
  std::ofstream(path) << "name = \"theirs\"\n";
  CHECK(draft.changed_by_others());
  CHECK_FALSE(draft.save());
  REQUIRE(draft.load(path));
  CHECK_FALSE(draft.changed_by_others());
  draft.set_text(new_station_text());
  REQUIRE(draft.save());
  CHECK_FALSE(draft.changed_by_others());
  std::filesystem::remove(path);
  CHECK(draft.changed_by_others());
}

TEST_CASE("typing and fields are taken back in the order they were done", "[prepare]") {
  QUndoStack stack;
  QPlainTextEdit editor;
  editor.setPlainText(QStringLiteral("one two three"));
  TextSteps steps(editor, stack, QStringLiteral("station"));
  steps.replace(QStringLiteral("one 2 three"));
  editor.moveCursor(QTextCursor::End);
  editor.insertPlainText(QStringLiteral("!"));
  steps.replace(QStringLiteral("1 2 three!"));
  CHECK(editor.toPlainText() == QStringLiteral("1 2 three!"));
  stack.undo();
  CHECK(editor.toPlainText() == QStringLiteral("one 2 three!"));
  stack.undo();
  CHECK(editor.toPlainText() == QStringLiteral("one 2 three"));
  stack.undo();
  CHECK(editor.toPlainText() == QStringLiteral("one two three"));
  CHECK_FALSE(stack.canUndo());
  stack.redo();
  stack.redo();
  stack.redo();
  CHECK(editor.toPlainText() == QStringLiteral("1 2 three!"));
}

TEST_CASE("the drawing's words give the measures", "[prepare]") {
  session::Radar radar;
  radar.position = {20.0, -1.0, 1.2};
  // atan(1 / 20) = 2.86 degrees.
  CHECK(radar_words(radar) ==
        QStringLiteral("Radar: 20.00 m in front of the rubber, 1.00 m to the third-base side, "
                       "1.20 m high, 2.9° off the line"));
  session::Plate plate;
  plate.description.corners = pitched;
  CHECK(plate_words(plate).contains(QStringLiteral("falls 4.8°")));
}
