// SPDX-License-Identifier: GPL-3.0-or-later
#include <QUndoStack>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>

#include "app/desk/prepare/roster_columns.h"
#include "app/desk/prepare/roster_history.h"
#include "app/desk/prepare/roster_import.h"
#include "app/desk/prepare/roster_model.h"
#include "app/desk/prepare/typed_quantity.h"
#include "core/people/roster_file.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

const std::string this_day = "2026-04-18";

RosterAthlete pitcher(const std::string& id, const std::string& name) {
  RosterAthlete athlete;
  athlete.id = id;
  athlete.name = name;
  athlete.born = "2009-05-03";
  athlete.consent = "2026-01-10";
  return athlete;
}

RosterImport import_of(const support::Folder& folder, const std::string& text,
                       const std::vector<RosterAthlete>& roster = {}) {
  std::ofstream(folder / "list.csv", std::ios::binary) << text;
  const auto import = read_roster_import(folder / "list.csv", roster, this_day);
  if (!import) FAIL(import.error().sentence());
  return *import;
}

}  // namespace

TEST_CASE("numbers are read as people type them", "[prepare]") {
  const auto length = [](const char* text) {
    const auto read = typed_quantity(text, Dimension::length, "m", "height");
    return read ? *read : std::nan("");
  };
  CHECK(length("1.88") == Approx(1.88));
  CHECK(length("1,88") == Approx(1.88));
  CHECK(length(" 188 cm ") == Approx(1.88));
  // 0.3048 m to the foot, 0.0254 m to the inch: international agreement of 1959.
  CHECK(length("6 ft 2 in") == Approx(1.8796));
  CHECK(length("6'2\"") == Approx(1.8796));
  CHECK(length("6’2”") == Approx(1.8796));
  CHECK(length("6 ft") == Approx(1.8288));
  CHECK(std::isnan(length("tall")));
  CHECK(std::isnan(length("")));
  // 0.45359237 kg to the pound: the same agreement.
  CHECK(*typed_quantity("181 lbs", Dimension::mass, "kg", "mass") == Approx(82.10021897));
  CHECK_FALSE(typed_quantity("188", Dimension::length, "", "height"));
}

TEST_CASE("days are read where they cannot be misread", "[prepare]") {
  CHECK(*typed_day("2009-5-3", "born") == "2009-05-03");
  CHECK(*typed_day("2009/05/03", "born") == "2009-05-03");
  CHECK(*typed_day("3.5.2009", "born") == "2009-05-03");
  CHECK_FALSE(typed_day("03/05/2009", "born"));
  CHECK_THAT(typed_day("03/05/2009", "born").error().sentence(),
             Catch::Contains("2009-03-05") && Catch::Contains("2009-05-03"));
  // Only one order makes these a day.
  CHECK(*typed_day("7/14/2003", "born") == "2003-07-14");
  CHECK(*typed_day("14/7/2003", "born") == "2003-07-14");
  CHECK(*typed_day("7/7/2003", "born") == "2003-07-07");
  CHECK(*typed_day("7/8/2003", "born", DayOrder::month_first) == "2003-07-08");
  CHECK(*typed_day("7/8/2003", "born", DayOrder::day_first) == "2003-08-07");
  CHECK_FALSE(typed_day("14/7/2003", "born", DayOrder::month_first));
  CHECK_FALSE(typed_day("14/15/2003", "born"));
  CHECK_FALSE(typed_day("2009-02-30", "born"));
}

TEST_CASE("a cell is taken or refused with what to write", "[prepare]") {
  const RosterAthlete athlete = pitcher("A01", "Ivo Brandt");
  const auto with = [&](RosterColumn column, const char* text) {
    return with_cell(athlete, column, QString::fromUtf8(text), this_day);
  };
  CHECK(with(RosterColumn::height, "6 ft 1 in")->height == Approx(1.8542));
  CHECK(with(RosterColumn::foot_length, "27.5")->foot_length == Approx(0.275));
  CHECK(std::isnan(with(RosterColumn::mass, "")->mass));
  CHECK(with(RosterColumn::consent, "yes")->consent == this_day);
  CHECK(with(RosterColumn::consent, "no")->consent.empty());
  CHECK(with(RosterColumn::hand, "L")->throws == session::Hand::left);
  const auto tall = with(RosterColumn::height, "188");
  REQUIRE_FALSE(tall);
  CHECK_THAT(tall.error().sentence(), Catch::Contains("188 m") && Catch::Contains("cm"));
  CHECK_FALSE(with(RosterColumn::id, " "));
  CHECK_FALSE(with(RosterColumn::born, "2030-01-01"));
  CHECK_FALSE(with(RosterColumn::hand, "both"));
}

TEST_CASE("the age group's limit is told with its source", "[prepare]") {
  RosterAthlete athlete = pitcher("A01", "Ivo Brandt");
  const auto& table = safety::common_pitch_counts();
  // The daily limits that youth leagues publish (restated by two league pages): ages 13 to 16, at
  // most 95 a day.
  const QString words = age_caution(athlete, this_day, table);
  CHECK(words.contains(QStringLiteral("Age 16")));
  CHECK(words.contains(QStringLiteral("95")));
  CHECK(words.contains(QString::fromStdString(table.source)));
  athlete.born.clear();
  CHECK(age_caution(athlete, this_day, table).contains(QStringLiteral("not noted")));
  athlete.born = "1990-01-01";
  CHECK(age_caution(athlete, this_day, table).contains(QStringLiteral("no pitch count")));
}

TEST_CASE("a list comes in by its headings, whatever separates it", "[prepare]") {
  const support::Folder folder;
  const std::string separator = GENERATE(std::string(";"), std::string("\t"), std::string("|"));
  std::string text =
      "Code;Full name;Date of birth;Throwing hand;Height (cm);weight_lb;Club\r\n"
      "B1;Otto Lang;2008-02-11;L;181,5;176;Reds\r\n"
      "B2;Nia Holm;2012-09-30;right;5 ft 4 in;52 kg;\r\n";
  for (std::size_t at = 0; (at = text.find(';', at)) != std::string::npos; ++at)
    text.replace(at, 1, separator);
  const RosterImport import = import_of(folder, text);
  REQUIRE(import.coming() == 2);
  CHECK(import.ignored() == QStringList{QStringLiteral("Club")});
  const RosterAthlete& first = *import.lines[0].athlete;
  CHECK(first.id == "B1");
  CHECK(first.name == "Otto Lang");
  CHECK(first.throws == session::Hand::left);
  CHECK(first.height == Approx(1.815));
  CHECK(first.mass == Approx(176 * 0.45359237));
  // A unit in the cell is what the person meant.
  CHECK(import.lines[1].athlete->height == Approx(1.6256));
  CHECK(import.lines[1].athlete->mass == Approx(52.0));
}

TEST_CASE("a line that will not do is refused alone, with why", "[prepare]") {
  const support::Folder folder;
  const RosterImport import = import_of(folder,
                                        "id,name,throws,height\n"
                                        "B1,Otto Lang,left,1.81 m\n"
                                        "B2,Nia Holm,right,164\n"
                                        "B3,Kit,right\n"
                                        "B4,Sol Ray,,1.9 m\n"
                                        ",Nobody,right,1.8 m\n"
                                        "B1,Otto Again,left,1.8 m\n"
                                        "B7,Last One,right,1.7 m\n");
  CHECK(import.lines.size() == 7);
  CHECK(import.coming() == 2);
  const auto why = [&](std::size_t i) { return import.lines[i].words.toStdString(); };
  CHECK_THAT(why(1), Catch::Contains("unit"));
  CHECK_THAT(why(2), Catch::Contains("3 cells"));
  CHECK_THAT(why(3), Catch::Contains("throwing hand"));
  CHECK_THAT(why(4), Catch::Contains("no id"));
  CHECK_THAT(why(5), Catch::Contains("second time"));
  CHECK(import.lines[6].athlete->id == "B7");
}

TEST_CASE("a refused line takes nobody's id", "[prepare]") {
  const support::Folder folder;
  const RosterImport import = import_of(folder,
                                        "name,throws,height\n"
                                        "Otto Lang,left,164\n"
                                        "Nia Holm,right,1.64 m\n"
                                        "Sol Ray,right,1.9 m\n");
  CHECK(import.coming() == 2);
  CHECK_FALSE(import.lines[0].athlete);
  REQUIRE(import.lines[1].athlete);
  CHECK(import.lines[1].athlete->id == "A01");
  REQUIRE(import.lines[2].athlete);
  CHECK(import.lines[2].athlete->id == "A02");
}

TEST_CASE("days of a list are read in the order that one of them settles, or is asked for",
          "[prepare]") {
  const support::Folder folder;
  const RosterImport settled = import_of(folder,
                                         "id,throws,born,Parent\nB1,left,7/8/2010,yes\n"
                                         "B2,right,7/14/2011,no\n");
  REQUIRE(settled.coming() == 2);
  CHECK(settled.lines[0].athlete->born == "2010-07-08");
  CHECK(settled.lines[0].athlete->guardian_consent == this_day);
  const std::string open_text = "id,throws,born\nB1,left,7/8/2010\nB2,right,1/2/2011\n";
  const RosterImport open = import_of(folder, open_text);
  CHECK(open.has_slashes);
  CHECK(open.order == DayOrder::unsettled);
  CHECK(open.coming() == 0);
  ImportChoices choices;
  choices.order = DayOrder::day_first;
  const auto chosen = read_roster_import(folder / "list.csv", {}, this_day, choices);
  REQUIRE(chosen);
  REQUIRE(chosen->coming() == 2);
  CHECK(chosen->lines[0].athlete->born == "2010-08-07");
}

TEST_CASE("what a column holds can be said, and the unit of its numbers", "[prepare]") {
  const support::Folder folder;
  const RosterImport guessed = import_of(folder, "Who,Wirft,Gewicht\nKurt,left,176\n");
  CHECK_FALSE(guessed.problem.isEmpty());
  ImportChoices choices;
  choices.columns = guessed.columns;
  choices.columns[0].field = RosterColumn::name;
  choices.columns[1].field = RosterColumn::hand;
  choices.columns[2].field = RosterColumn::mass;
  choices.columns[2].unit = QStringLiteral("lb");
  const auto said = read_roster_import(folder / "list.csv", {}, this_day, choices);
  REQUIRE(said);
  REQUIRE(said->coming() == 1);
  CHECK(said->lines[0].athlete->name == "Kurt");
  // 0.45359237 kg to the pound: the agreement of 1959.
  CHECK(said->lines[0].athlete->mass == Approx(176 * 0.45359237));
}

TEST_CASE("two windows on one lab keep each other's athletes and are told", "[prepare]") {
  const support::Folder folder;
  DeskState a({}), b({});
  REQUIRE(a.open_lab(folder.path()));
  REQUIRE(b.open_lab(folder.path()));
  QStringList told;
  QObject::connect(&b, &DeskState::roster_told, [&](const QString& words) { told << words; });
  const auto fresh = [](DeskState& state) {
    const auto made = state.change_roster({people::RowChange{std::nullopt, RosterAthlete(), true}});
    REQUIRE(made);
    return made->front().after->id;
  };
  CHECK(fresh(a) == "A01");
  CHECK(fresh(b) == "A02");
  CHECK(b.roster().size() == 2);
  a.take_over_roster();
  REQUIRE(a.roster().size() == 2);
  RosterAthlete named = a.roster()[0];
  named.name = "Ivo Brandt";
  REQUIRE(a.set_roster({named, a.roster()[1]}));
  b.take_over_roster();
  CHECK(b.roster()[0].name == "Ivo Brandt");
  CHECK(told.size() == 1);
}

TEST_CASE("athletes who are there keep what the list leaves empty", "[prepare]") {
  const support::Folder folder;
  RosterAthlete known = pitcher("A01", "Ivo Brandt");
  known.height = 1.84;
  known.notes = "sore in March";
  const std::vector<RosterAthlete> roster{known, pitcher("A02", "Lea Moor")};
  const RosterImport import =
      import_of(folder, "id,height (cm),mass (kg),notes\nA01,,81.5,\n", roster);
  REQUIRE(import.coming() == 1);
  CHECK(import.lines[0].known);
  CHECK(import.lines[0].words == QStringLiteral("changes mass"));
  const auto changes = changes_of(import, roster);
  REQUIRE(changes.size() == 1);
  REQUIRE(changes[0].before);
  const RosterAthlete& after = *changes[0].after;
  CHECK(after.mass == Approx(81.5));
  CHECK(after.height == Approx(1.84));
  CHECK(after.notes == "sore in March");
  CHECK(after.name == "Ivo Brandt");
}

TEST_CASE("a list without ids gives free ones; old alphabets are read", "[prepare]") {
  const support::Folder folder;
  // 0xFC is u with two dots in Latin-1, and no UTF-8.
  const RosterImport import = import_of(
      folder, "first name,last name,throws\nKurt,M\xFCller,left\n", {pitcher("A01", "Ivo Brandt")});
  REQUIRE(import.coming() == 1);
  CHECK(import.lines[0].athlete->id == "A02");
  CHECK(import.lines[0].athlete->name == "Kurt M\xC3\xBCller");
}

TEST_CASE("files that are no list say so", "[prepare]") {
  const support::Folder folder;
  const auto refusal = [&](const std::string& text) {
    std::ofstream(folder / "x.csv", std::ios::binary) << text;
    const auto import = read_roster_import(folder / "x.csv", {}, this_day);
    return import ? import->problem.toStdString() : import.error().sentence();
  };
  CHECK_THAT(refusal("x,y\n1,2\n"), Catch::Contains("neither"));
  CHECK_FALSE(refusal("").empty());
  CHECK_FALSE(refusal(std::string(64, '\0')).empty());
  CHECK_FALSE(read_roster_import(folder / "absent.csv", {}, this_day));
}

TEST_CASE("every change of the roster is on disk and can be taken back", "[prepare]") {
  const support::Folder folder;
  DeskState state({});
  REQUIRE(state.open_lab(folder.path()));
  QUndoStack stack;
  RosterHistory history(state, stack);
  RosterModel model(state, history);
  REQUIRE(history.change(QStringLiteral("two"),
                         {pitcher("A01", "Ivo Brandt"), pitcher("A02", "Lea Moor")}));
  REQUIRE(model.rowCount() == 2);
  state.choose_athlete("A02");
  const auto cell = [&](int row, RosterColumn column) {
    return model.index(row, static_cast<int>(column));
  };
  QStringList refusals;
  QObject::connect(&model, &RosterModel::refused, [&](const Error& error) {
    refusals << QString::fromStdString(error.sentence());
  });
  REQUIRE(model.setData(cell(1, RosterColumn::height), QStringLiteral("188 cm"), Qt::EditRole));
  CHECK(people::read_roster(folder / "roster.csv")->at(1).height == Approx(1.88));
  // A new id takes the turn along.
  REQUIRE(model.setData(cell(1, RosterColumn::id), QStringLiteral("L7"), Qt::EditRole));
  REQUIRE(state.athlete() != nullptr);
  CHECK(state.athlete()->id == "L7");
  CHECK_FALSE(model.setData(cell(1, RosterColumn::id), QStringLiteral("A01"), Qt::EditRole));
  CHECK(refusals.size() == 1);
  stack.undo();
  stack.undo();
  CHECK(std::isnan(people::read_roster(folder / "roster.csv")->at(1).height));
  stack.undo();
  CHECK(people::read_roster(folder / "roster.csv")->empty());
  stack.redo();
  CHECK(state.roster().size() == 2);
  // Somebody else's change: what was before it cannot be undone any more.
  REQUIRE(state.set_roster({pitcher("P1", "Practice")}));
  CHECK_FALSE(stack.canUndo());
}
