// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/tidy.h"

#include <hdf5.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "core/definitions/catalogue.h"
#include "core/output/event_tables.h"
#include "core/output/hdf5_tables.h"
#include "core/output/pseudonymous.h"
#include "core/session/kinds/list.h"
#include "support/folder.h"

using namespace moundwork;
using output::Table;

namespace {

session::ResultThrow thrown(int number, double contact, double impulse) {
  session::ResultThrow one;
  one.number = number;
  one.contact = session_time(contact);
  one.events = {{"lead_contact", {contact, 0.0005}, "s"}};
  one.quantities = {{"braking_impulse", {impulse, 0.5}, "N s"}};
  return one;
}

session::Edit edit(double contact, const char* action, const char* target, const char* text,
                   const char* why) {
  session::Edit one;
  one.when = "2026-05-04T10:00:00Z";
  one.who = "Tamsin Oake";
  one.throw_contact = contact;
  one.action = session::action_from(action);
  one.target = target;
  one.text = text;
  one.why = why;
  return one;
}

relate::AnalysedSession example() {
  relate::AnalysedSession s;
  s.file = "mara.h5";
  s.id = "5b9f7c6e-0000-4000-8000-000000000001";
  s.started = "2026-05-04T09:30:00Z";
  s.athlete = {"A-01", "Mara Quill", session::Hand::left, {71.5, 0.1}, {}, "2004-05-06"};
  s.results.made = "2026-05-04T11:00:00Z";
  s.results.throws = {thrown(1, 10.0, 60.0), thrown(2, 30.0, 62.5)};
  s.results.throws[1].flags = {{"no_radar", "Mara's reading is missing"},
                               {"moved_by_hand", "by Tamsin Oake"}};
  s.edits = {edit(30.02, "exclude", "", "", "Quill slipped"),
             edit(10.0, "tag", "Pitch type", "=fastball", ""),
             edit(10.0, "tag", "cue", "stay tall", ""),
             edit(30.0, "tag", "effort", "9/10", ""),
             edit(30.0, "tag", "warm_up", "yes", ""),
             edit(30.0, "tag", "ball", "200g", "")};
  return s;
}

const Table& table(const std::vector<Table>& tables, const std::string& name) {
  const auto found = std::find_if(tables.begin(), tables.end(),
                                  [&](const Table& one) { return one.name == name; });
  REQUIRE(found != tables.end());
  return *found;
}

template <class Value>
std::vector<Value> cells(const Table& from, const std::string& column) {
  const auto found = std::find_if(from.columns.begin(), from.columns.end(),
                                  [&](const auto& one) { return one.name == column; });
  REQUIRE(found != from.columns.end());
  return std::get<std::vector<Value>>(found->cells);
}

using Texts = std::vector<std::string>;

}  // namespace

TEST_CASE("throws: a row each, excluded ones marked, tags in columns", "[output]") {
  const std::vector sessions{output::exported(example())};
  const auto tables = output::tidy_tables(sessions);
  const Table& throws = table(tables, "throws");
  REQUIRE(throws.row_count() == 2);
  CHECK(cells<std::string>(throws, "athlete") == Texts{"A-01", "A-01"});
  CHECK(cells<double>(throws, "age") == std::vector<double>{21.0, 21.0});
  CHECK(cells<std::string>(throws, "hand") == Texts{"left", "left"});
  CHECK(std::isnan(cells<double>(throws, "height")[0]));
  const auto excluded = cells<output::YesNo>(throws, "excluded");
  CHECK(!excluded[0].value);
  CHECK(excluded[1].value);
  CHECK(cells<std::string>(throws, "excluded_why") == Texts{"", "Quill slipped"});
  CHECK(cells<std::string>(throws, "tag_pitch_type") == Texts{"=fastball", ""});
  CHECK(cells<std::string>(throws, "tag_cue") == Texts{"stay tall", ""});
  CHECK(cells<std::string>(throws, "pitch_type") == Texts{"=fastball", ""});
  CHECK(cells<std::string>(throws, "delivery") == Texts{"", ""});
  CHECK(cells<std::string>(throws, "block") == Texts{"", ""});
  CHECK(std::isnan(cells<double>(throws, "effort")[0]));
  CHECK(cells<double>(throws, "effort")[1] == Approx(0.9));
  CHECK_FALSE(cells<output::YesNo>(throws, "warm_up")[0].value);
  CHECK(cells<output::YesNo>(throws, "warm_up")[1].value);
  CHECK(cells<double>(throws, "ball_mass")[0] == 0.145);
  CHECK(cells<double>(throws, "ball_mass")[1] == Approx(0.2));
  CHECK(cells<std::string>(throws, "flags") == Texts{"", "no_radar moved_by_hand"});
  CHECK(cells<double>(throws, "braking_impulse") == std::vector<double>{60.0, 62.5});
  CHECK(cells<double>(throws, "braking_impulse_u") == std::vector<double>{0.5, 0.5});
  CHECK(std::isnan(cells<double>(throws, "ball_speed")[0]));

  const Table& values = table(tables, "values");
  CHECK(values.row_count() == 4);
  CHECK(cells<std::string>(values, "key") ==
        Texts{"lead_contact", "braking_impulse", "lead_contact", "braking_impulse"});
  CHECK(cells<std::string>(values, "unit") == Texts{"s", "N s", "s", "N s"});
  CHECK(cells<output::YesNo>(values, "excluded")[3].value);
  CHECK(table(tables, "flags").row_count() == 2);
}

TEST_CASE("every column and key is defined once", "[output]") {
  const std::vector sessions{output::exported(example())};
  const auto tables = output::tidy_tables(sessions);
  const auto keys = cells<std::string>(table(tables, "definitions"), "key");
  const auto definitions = cells<std::string>(table(tables, "definitions"), "definition");
  const std::set<std::string> listed(keys.begin(), keys.end());
  CHECK(listed.size() == keys.size());
  for (const Table& one : tables)
    for (const auto& column : one.columns)
      if (one.name != "definitions") CHECK(listed.count(column.name) == 1);
  for (std::size_t i = 0; i < definitions::quantity_count; ++i)
    CHECK(listed.count(
              std::string(definitions::entry(static_cast<definitions::Quantity>(i)).key)) == 1);
  CHECK(std::none_of(definitions.begin(), definitions.end(),
                     [](const auto& text) { return text.empty(); }));
}

TEST_CASE("codes stand for everyone named anywhere in a table", "[output]") {
  output::LabKey key;
  key.bytes.fill(7);
  output::Pseudonyms pseudonyms(key);
  output::know_people(example(), pseudonyms);
  const auto code = pseudonyms.athlete_code(example().athlete);
  const std::vector sessions{output::exported(example(), pseudonyms)};
  CHECK(sessions[0].age == 21);
  const auto tables = output::tidy_tables(sessions);
  CHECK(cells<std::string>(table(tables, "throws"), "athlete") == Texts{code, code});
  CHECK(cells<std::string>(table(tables, "throws"), "excluded_why")[1] == code + " slipped");
  CHECK(cells<std::string>(table(tables, "sessions"), "born") == Texts{""});
  for (const Table& one : tables)
    for (const auto& column : one.columns)
      if (const auto* texts = std::get_if<Texts>(&column.cells))
        for (const std::string& text : *texts)
          for (const char* name :
               {"Mara", "Quill", "A-01", "mara.h5", "2004", "Tamsin", "Oake", "5b9f7c6e"}) {
            CAPTURE(one.name, column.name, text);
            CHECK(text.find(name) == std::string::npos);
          }
  CHECK(output::file_stem(sessions[0]) ==
        code + "_2026-05-04_" + pseudonyms.session_code(example().id));
}

TEST_CASE("codes stand for people in what instruments sent", "[output]") {
  output::LabKey key;
  key.bytes.fill(7);
  output::Pseudonyms pseudonyms(key);
  const auto session = example();
  output::know_people(session, pseudonyms);
  const std::string code = pseudonyms.athlete_code(session.athlete);
  const auto out = output::exported(session, pseudonyms);
  session::InstrumentEvent event;
  event.text = "lane of Quill 9.7";
  event.values.fill(0.0);
  output::SentEvents sent{session::kinds().front(), "gate of Mara", &out, {event}};
  output::pseudonymise(sent, pseudonyms);
  CHECK(sent.instrument == "gate of " + code);
  CHECK(sent.events.front().text == "lane of " + code + " 9.7");
}

TEST_CASE("names of files hold what every file system takes", "[output]") {
  auto one = example();
  one.athlete.id = "../A 01/\"x\"";
  CHECK(output::file_stem(output::exported(one)) == "---A-01--x-_2026-05-04_5b9f7c6e");
}

TEST_CASE("HDF5 tables describe themselves to any reader", "[output]") {
  const std::vector sessions{output::exported(example())};
  const support::Folder folder;
  const auto path = folder / "tables.hdf5";
  REQUIRE(output::write_hdf5(output::tidy_tables(sessions), path));
  // HDF5's C library, not the road it was written by.
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  REQUIRE(file >= 0);
  const hid_t column = H5Dopen2(file, "throws/braking_impulse", H5P_DEFAULT);
  double values[2] = {};
  REQUIRE(H5Dread(column, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values) >= 0);
  CHECK(values[0] == 60.0);
  CHECK(values[1] == 62.5);
  char unit[64] = {};
  const hid_t attribute = H5Aopen(column, "unit", H5P_DEFAULT);
  const hid_t type = H5Aget_type(attribute);
  REQUIRE(H5Tget_size(type) < sizeof unit);
  REQUIRE(H5Aread(attribute, type, unit) >= 0);
  CHECK(std::string(unit) == "N s");
  const hid_t excluded = H5Dopen2(file, "throws/excluded", H5P_DEFAULT);
  int answers[2] = {7, 7};
  REQUIRE(H5Dread(excluded, H5T_NATIVE_INT, H5S_ALL, H5S_ALL, H5P_DEFAULT, answers) >= 0);
  CHECK(answers[0] == 0);
  CHECK(answers[1] == 1);
  for (const hid_t dataset : {column, excluded}) H5Dclose(dataset);
  H5Tclose(type);
  H5Aclose(attribute);
  H5Fclose(file);
  CHECK(!output::write_hdf5(output::tidy_tables(sessions), "/proc/nowhere/tables.hdf5"));
}

TEST_CASE("HDF5 tables that a full disk does not take are a sentence", "[output]") {
  const Table table{"t", {{"x", "N", "", std::vector<double>(1000, 1.5)}}};
  const auto written = output::write_hdf5(std::vector{table}, "/dev/full");
  REQUIRE_FALSE(written);
  CHECK(written.error().where == "/dev/full");
  CHECK(written.error().what.find("No space left") != std::string::npos);
}
