// SPDX-License-Identifier: GPL-3.0-or-later
// Expected values: what docs/delimited-import.md says, units by hand.
#include "core/table/import_settings.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

using namespace moundwork;
using table::parse_import_settings;

namespace {

std::string document_example() {
  const auto path = std::filesystem::path(MOUNDWORK_DOCS) / "delimited-import.md";
  std::ifstream stream(path);
  REQUIRE(stream);
  const std::string text{std::istreambuf_iterator<char>(stream), {}};
  const std::string opening = "```toml\n";
  const std::size_t begin = text.find(opening);
  REQUIRE(begin != std::string::npos);
  const std::size_t end = text.find("```", begin + opening.size());
  REQUIRE(end != std::string::npos);
  return text.substr(begin + opening.size(), end - begin - opening.size());
}

// The least that is a valid file; lines are counted in the tests below.
const std::string least =
    "[time]\n"
    "rate = \"1 kHz\"\n"
    "[[plate]]\n"
    "role = \"lead\"\n"
    "type = 2\n"
    "columns = [\"a\", \"b\", \"c\", \"d\", \"e\", \"f\"]\n"
    "units = [\"N\", \"N\", \"kN\", \"N m\", \"Nmm\", \"N cm\"]\n"
    "corners = [[0.3, 0.2, 0], [-0.3, 0.2, 0], [-0.3, -0.2, 0], [0.3, -0.2, 0]]\n";

std::string replaced(std::string text, const std::string& what, const std::string& with) {
  const std::size_t at = text.find(what);
  if (at == std::string::npos) throw std::logic_error("the example no longer has " + what);
  return text.replace(at, what.size(), with);
}

std::string refusal(const std::string& text) {
  const auto settings = parse_import_settings(text, "import.toml");
  return settings ? std::string("accepted") : settings.error().sentence();
}

void check(const Eigen::VectorXd& found, const Eigen::VectorXd& wanted) {
  REQUIRE(found.size() == wanted.size());
  for (Eigen::Index i = 0; i < found.size(); ++i)
    CHECK(found(i) == Approx(wanted(i)).margin(1e-12));
}

}  // namespace

TEST_CASE("the document's example is read as it says", "[table][settings]") {
  const auto settings = parse_import_settings(document_example(), "import.toml");
  if (!settings) FAIL(settings.error().sentence());
  CHECK(settings->file.separator == ';');
  CHECK(settings->file.decimal == ',');
  CHECK(settings->file.skip_lines == 2);
  CHECK(settings->file.header_rows == 2);
  REQUIRE(settings->time_column);
  CHECK(settings->time_column->name == "t");
  CHECK(settings->time_column->seconds_per_unit == 1e-3);
  CHECK_FALSE(settings->sample_rate);
  // Home is the file's -y and up its z, so left is its x.
  check(settings->to_lab * Eigen::Vector3d(1, 2, 3), Eigen::Vector3d(-2, 1, 3));

  REQUIRE(settings->plates.size() == 2);
  const auto& back = settings->plates[0];
  CHECK(back.role == session::PlateRole::back);
  CHECK(back.description.type == plate::PlateType::six_component);
  CHECK(back.names[3] == "Mx1");
  CHECK(back.units[3] == "N m");
  CHECK(back.factors == std::vector<double>{1, 1, 1, 1e-3, 1e-3, 1e-3});
  check(back.description.corners[1], Eigen::Vector3d(0.2, 0.3, 0));
  check(back.description.origin, Eigen::Vector3d(0.0005, -0.0008, -0.0402));
  CHECK(back.description.reaction_sign == -1.0);
  CHECK(back.accuracy.gain == 0.005);
  CHECK(back.accuracy.crosstalk == 0.01);
  CHECK(back.accuracy.zero_force == 2.0);
  CHECK(back.accuracy.cop == Approx(0.0015));

  const auto& lead = settings->plates[1];
  CHECK(lead.role == session::PlateRole::lead);
  CHECK(lead.units[0] == "V");
  CHECK(lead.factors == std::vector<double>(6, 1.0));
  CHECK(lead.description.sensitivity(0, 2) == 4.0);
  CHECK(lead.description.sensitivity(5, 0) == 0.8);
  CHECK(lead.accuracy.gain == 0.0);

  CHECK(settings->athlete.id == "A-017");
  CHECK(settings->athlete.born == "2003-05-14");
  CHECK(settings->athlete.throws == session::Hand::right);
  CHECK(settings->athlete.mass.value == 88.2);
  CHECK(settings->athlete.height.value == 1.83);
  REQUIRE(settings->ball_speed);
  CHECK(settings->ball_speed->speed.value ==
        Approx(84.1 * 0.44704));  // 1 mph = 0.44704 m/s exactly
  CHECK(settings->ball_speed->text == "84.1 mph");
  REQUIRE(settings->release);
  CHECK(seconds(settings->release->time) == Approx(1.352));
  CHECK(settings->release->u == Approx(0.004));
  REQUIRE(settings->foot_line);
  check(settings->foot_line->heel, Eigen::Vector3d(0.030, 0.140, 0));
  check(settings->foot_line->toe, Eigen::Vector3d(0.042, -0.135, 0));
  CHECK(settings->foot_line->u == Approx(0.005));
}

TEST_CASE("a text that would be cut where it is stored is refused", "[table][settings]") {
  CHECK(refusal(least + "[athlete]\nid = \"A\\u0000B\"\n").find("NUL") != std::string::npos);
  CHECK(refusal(least + "[athlete]\nid = \"AB\"\n") == "accepted");
}

TEST_CASE("what is left out has the document's defaults", "[table][settings]") {
  const auto settings = parse_import_settings(least, "import.toml");
  if (!settings) FAIL(settings.error().sentence());
  CHECK_FALSE(settings->file.separator);
  CHECK_FALSE(settings->file.decimal);
  CHECK(settings->file.skip_lines == 0);
  CHECK(settings->file.header_rows == 1);
  CHECK(settings->sample_rate == 1000.0);
  CHECK(settings->to_lab.isIdentity());
  REQUIRE(settings->plates.size() == 1);
  CHECK(settings->plates[0].factors == std::vector<double>{1, 1, 1000, 1, 1e-3, 1e-2});
  CHECK(settings->plates[0].description.origin.isZero());
  check(settings->plates[0].description.corners[0], Eigen::Vector3d(0.3, 0.2, 0));
  CHECK_FALSE(settings->athlete.throws);
  CHECK_FALSE(settings->athlete.mass.known());
  CHECK_FALSE(settings->ball_speed);
  CHECK_FALSE(settings->release);
  CHECK_FALSE(settings->foot_line);
}

TEST_CASE("an unknown key is refused with the nearest known one", "[table][settings]") {
  CHECK(refusal(replaced(least, "role =", "roll =")) ==
        "import.toml, line 4: [[plate]] 1 has no key 'roll'; did you mean 'role'?.");
  CHECK(refusal(least + "sensitivty = [[1]]\n")
            .find("line 9: [[plate]] 1 has no key 'sensitivty'; "
                  "did you mean 'sensitivity'?") != std::string::npos);
  CHECK(refusal(least + "[atlete]\nid = \"A\"\n").find("did you mean 'athlete'?") !=
        std::string::npos);
  CHECK(refusal("wholly_other = 1\n" + least).find("its keys are file, time") != std::string::npos);
}

TEST_CASE("each wrong value is refused with its line", "[table][settings]") {
  struct Case {
    std::string what, with, says;
  };
  const std::vector<Case> cases{
      {"rate = \"1 kHz\"", "", "line 1: [time] needs one of 'column' and 'rate'"},
      {"rate = \"1 kHz\"", "rate = \"1 kHz\"\ncolumn = \"t\"", "line 1: [time] needs one of"},
      {"rate = \"1 kHz\"", "rate = 1000", "line 2: 'rate' of [time] is a number, where text"},
      {"rate = \"1 kHz\"", "rate = \"1000\"",
       "line 2: 'rate' of [time] is wrong: '1000' has no unit"},
      {"rate = \"1 kHz\"", "rate = \"0 Hz\"", "line 2: 'rate' of [time] is '0 Hz'"},
      {"rate = \"1 kHz\"", "rate = \"-5 Hz\"", "where a positive value is wanted"},
      {"rate = \"1 kHz\"", "rate = \"nan Hz\"", "line 2"},
      {"rate = \"1 kHz\"", "rate = \"1 kHz\"\nunit = \"s\"", "line 3: 'unit' of [time] belongs"},
      {"rate = \"1 kHz\"", "column = \"t\"\nunit = \"h\"", "line 3: 'unit' of [time] is 'h'"},
      {"rate = \"1 kHz\"", "column = \"c\"", "uses the column 'c' twice"},
      {"\"b\"", "\"a\"", "uses the column 'a' twice"},
      {"\"b\"", "\"\"", "names a column ''"},
      {"\"b\"", "2", "line 6: 'columns' of [[plate]] 1 holds a number"},
      {"\"b\", ", "", "line 7: 'units' of [[plate]] 1 has 6 entries for 5 columns"},
      {"role = \"lead\"", "", "line 3: [[plate]] 1 needs 'role'"},
      {"\"lead\"", "\"front\"",
       "line 4: 'role' of [[plate]] 1 is 'front', where one of back, lead"},
      {"type = 2", "type = 5", "line 5: 'type' of [[plate]] 1 is not a whole number from 1 to 4"},
      {"type = 2", "type = 2.0", "whole number"},
      {"type = 2", "type = 3", "names 6 columns, where a type 3 plate has 8"},
      {"type = 2", "type = 4", "line 3: [[plate]] 1 needs 'sensitivity'"},
      {"type = 2", "type = 1",
       "line 7: 'units' of [[plate]] 1 has number 4 that cannot be turned into m"},
      {"\"kN\"", "\"V\"",
       "line 7: 'units' of [[plate]] 1 has number 3 that cannot be turned into N"},
      {"[0.3, 0.2, 0], ", "", "line 8: 'corners' of [[plate]] 1 has 3 points of 3"},
      {"[0.3, 0.2, 0]", "[0.3, 0.2]", "3 numbers in row 2 and 2 in the first"},
      {"[0.3, 0.2, 0]", "[0.3, nan, 0]", "no finite number in row 1, column 2"},
      {"[0.3, 0.2, 0]", "[0.3, inf, 0]", "no finite number in row 1, column 2"},
      {"[0.3, 0.2, 0]", "[0.3, \"2\", 0]", "no finite number in row 1, column 2"},
      {"[0.3, 0.2, 0]", "[-0.3, 0.2, 0]", "line 3: [[plate]] 1 cannot be used: plate corners"},
      {"[[plate]]", "[plate]", "'plate' of the file is not 1 to 16 tables"},
      {"[time]", "[time]\n[time]", "line 2: is not TOML"},
      {"[time]\nrate = \"1 kHz\"", "time = 3",
       "line 1: 'time' of the file is a number, where a table"},
  };
  for (const Case& one : cases) {
    const std::string found = refusal(replaced(least, one.what, one.with));
    INFO(one.what << " -> " << one.with << ": " << found);
    CHECK(found.find(one.says) != std::string::npos);
  }
  const std::vector<std::pair<std::string, std::string>> additions{
      {"origin = [0, 0]", "'origin' of [[plate]] 1 is not a list of three numbers"},
      {"origin = [0, 0, nan]", "line 9: 'origin'"},
      {"reaction_sign = 0", "where -1 or 1 is wanted"},
      {"reaction_sign = 2", "whole number from -1 to 1"},
      {"sensitivity = [[1, 2], [3, 4]]", "is 2 x 2, where 6 components from 6 columns"},
      {"sensitivity = []", "is not a list of rows"},
      {"accuracy = 3", "is a number, where a table"},
      {"accuracy = { gain = -1 }",
       "'gain' of 'accuracy' of [[plate]] 1 is not a number from 0 to 1"},
      {"accuracy = { cop = \"2 N\" }", "'N' is not a unit known here"},
      {"[athlete]\nthrows = \"both\"", "line 10: 'throws' of [athlete] is 'both'"},
      {"[athlete]\nborn = \"14.5.2003\"", "line 10: 'born' of [athlete] is not a date"},
      {"[athlete]\nborn = 2003-05-14", "is a date or time, where text in quotes"},
      {"[athlete]\nmass = \"88 stone\"", "'stone' is not a unit known here"},
      {"[ball]", "line 9: [ball] needs 'speed'"},
      {"[ball]\nspeed = \"fast\"", "does not begin with a number"},
      {"[release]\ntime = \"1 s\"", "[release] needs 'uncertainty'"},
      {"[foot_line]\nheel = [0, 0, 0]\ntoe = [0, 0.01, 0]\nuncertainty = \"1 mm\"", "within 5 cm"},
      {"[foot_line]\nheel = [0, 0, 0]\nuncertainty = \"1 mm\"", "[foot_line] needs 'toe'"},
      {"[frame]\nhome = \"+x\"\nup = \"-x\"",
       "line 9: [frame] is wrong: home '+x' and up '-x' lie"},
      {"[frame]\nhome = \"north\"", "'north' is not an axis"},
      {"[frame]\nup = \"y\"", "stands upright"},
      {"[frame]\nlength_unit = \"mile\"", "'mile' is not a unit known here"},
      {"[file]\nseparator = \"|\"", "where one of ,, ;, tab"},
      {"[file]\nseparator = \",\"\ndecimal = \",\"", "line 11: 'decimal' of [file] is ','"},
      {"[file]\nheader_rows = 11", "whole number from 0 to 10"},
      {"[file]\nskip_lines = -1", "whole number from 0 to 1000"},
  };
  for (const auto& [line, says] : additions) {
    const std::string found = refusal(least + line + "\n");
    INFO(line << ": " << found);
    CHECK(found.find(says) != std::string::npos);
  }
}

TEST_CASE("several plates may serve a foot, each with columns of its own", "[table][settings]") {
  const std::string plate = least.substr(least.find("[[plate]]"));
  std::string second = plate;
  for (const char letter : {'a', 'b', 'c', 'd', 'e', 'f'})
    second =
        replaced(second, std::string("\"") + letter + "\"", std::string("\"") + letter + "2\"");
  CHECK(refusal(least + second) == "accepted");
  CHECK(refusal(least + replaced(second, "lead", "back")) == "accepted");
  CHECK(refusal(least + second + second).find("uses the column 'a2' twice") != std::string::npos);
  std::string many = least;
  for (int i = 0; i < 16; ++i) many += second;
  CHECK(refusal(many).find("not 1 to 16 tables") != std::string::npos);
}

TEST_CASE("settings that are no file, or far too long, are refused", "[table][settings]") {
  CHECK_FALSE(table::read_import_settings("no-such-settings.toml"));
  CHECK_FALSE(table::read_import_settings(std::filesystem::temp_directory_path()));
  const auto path = std::filesystem::temp_directory_path() / "moundwork-settings-test.toml";
  { std::ofstream(path) << least; }
  CHECK(table::read_import_settings(path));
  { std::ofstream(path) << std::string((1 << 20) + 1, '#'); }
  const auto long_one = table::read_import_settings(path);
  std::filesystem::remove(path);
  REQUIRE_FALSE(long_one);
  CHECK(long_one.error().what.find("too long") != std::string::npos);
}

TEST_CASE("settings cut anywhere or with any byte changed are read or refused",
          "[table][settings][garbage]") {
  const std::string example = document_example();
  std::size_t refused = 0;
  for (std::size_t length = 0; length < example.size(); ++length)
    if (!parse_import_settings(example.substr(0, length), "import.toml")) ++refused;
  CHECK(refused > example.size() / 2);
  std::string changed = example;
  for (std::size_t at = 0; at < example.size(); ++at) {
    for (const char value : {'\0', '\n', '"', '[', '-', '9', '\xff'}) {
      changed[at] = value;
      const auto settings = parse_import_settings(changed, "import.toml");
      if (!settings && settings.error().what.empty()) FAIL("an error without a sentence");
    }
    changed[at] = example[at];
  }
}
