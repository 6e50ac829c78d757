// SPDX-License-Identifier: GPL-3.0-or-later
// Files are made by the test's own writer (support/c3d_builder) after the C3D user guide; expected
// values are what was given to it.
#include "core/c3d/file.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <limits>
#include <string>
#include <vector>

#include "support/c3d_builder.h"

using namespace moundwork;
using test::C3dEntry;
using test::C3dRecipe;

namespace {

Result<c3d::File> parse(const C3dRecipe& recipe) { return c3d::parse(build(recipe), "made.c3d"); }

std::string refusal(const C3dRecipe& recipe) {
  const auto file = parse(recipe);
  return file ? std::string("accepted") : file.error().sentence();
}

// One channel, no points, `frames` frames of one sample: sample i holds i modulo 30000.
C3dRecipe analog_only(std::size_t frames) {
  C3dRecipe recipe;
  recipe.channels = 1;
  recipe.frames = frames;
  recipe.entries = {
      test::int_entry("POINT", "USED", {}, {0}),     test::real_entry("POINT", "SCALE", {}, {0.1}),
      test::real_entry("POINT", "RATE", {}, {1000}), test::text_entry("POINT", "UNITS", {"mm"}),
      test::int_entry("ANALOG", "USED", {}, {1}),    test::real_entry("ANALOG", "SCALE", {1}, {1})};
  recipe.raw = [](std::size_t sample, std::size_t) { return static_cast<double>(sample % 30000); };
  return recipe;
}

}  // namespace

TEST_CASE("every storage variant gives the values that were written", "[c3d]") {
  for (const int processor : {84, 85, 86})
    for (const bool real : {false, true}) {
      INFO("processor " << processor << (real ? " real" : " integer"));
      const auto file = parse(test::four_plate_recipe(processor, real));
      REQUIRE(file);
      CHECK(file->frame_count == 12);
      CHECK(file->point_rate == 100.0);
      CHECK(file->analog.rate == 400.0);
      CHECK(file->samples_per_frame == 4);
      CHECK(c3d::sample_count(file->analog) == 48);
      CHECK(file->remarks.empty());
      CHECK(std::holds_alternative<std::vector<float>>(file->analog.raw) == real);

      REQUIRE(file->points.labels == std::vector<std::string>{"HEEL", "TOE", "someone:HAND"});
      CHECK(c3d::find_point(*file, "toe") == 1);
      CHECK(c3d::find_point(*file, "hand") == 2);
      CHECK_FALSE(c3d::find_point(*file, "and"));
      const auto toe = c3d::trajectory(*file, 1);
      // mm: 100 + 10 axis + frame - 50.
      CHECK(toe(11, 2) == Approx(0.081).margin(1e-8));
      CHECK(toe(0, 0) == Approx(0.050).margin(1e-8));
      CHECK(c3d::trajectory(*file, 0)(0, 0) == Approx(-0.050).margin(1e-8));
      CHECK(std::isnan(toe(3, 0)));
      CHECK(std::isnan(toe(3, 2)));

      REQUIRE(file->analog.channels.size() == 26);
      CHECK(file->analog.channels[9].label == "Mx2");
      CHECK(file->analog.channels[9].unit == "Nmm");
      CHECK(file->analog.channels[9].scale == Approx(5.0));  // 10 times GEN_SCALE 0.5
      CHECK(file->analog.channels[9].offset == 0.0);
      const std::vector<int> channels{2, 9};
      const Eigen::MatrixXd values = c3d::scaled(file->analog, channels);
      CHECK(values(19, 0) == 0.0);
      CHECK(values(20, 0) == Approx(800.0));
      CHECK(values(47, 1) == Approx(-91600.0));
      CHECK(file->analog.channels[0].highest ==
            (real ? std::numeric_limits<double>::infinity() : 32767.0));
    }
}

TEST_CASE("unsigned counts above 32767 keep their values", "[c3d]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  recipe.entries.push_back(test::text_entry("ANALOG", "FORMAT", {"UNSIGNED"}));
  recipe.entry("ANALOG", "OFFSET")->numbers.assign(26, 40000.0);
  recipe.raw = [](std::size_t sample, std::size_t channel) {
    return 40000.0 + 100.0 * static_cast<double>(channel) - 20.0 * static_cast<double>(sample);
  };
  const auto file = parse(recipe);
  REQUIRE(file);
  const std::vector<int> channels{2};
  // (raw - offset) x scale, by hand: (200 - 20 i) x 0.5.
  CHECK(c3d::scaled(file->analog, channels)(0, 0) == Approx(100.0));
  CHECK(c3d::scaled(file->analog, channels)(47, 0) == Approx(-370.0));
  // The same in the session file's terms.
  const auto& raw = std::get<std::vector<std::int16_t>>(file->analog.raw);
  CHECK(raw[2] == 40200 - 32768);
  CHECK(file->analog.channels[2].offset == 40000.0 - 32768.0);
}

TEST_CASE("ANALOG:BITS narrows where a channel clips unless the data deny it", "[c3d]") {
  C3dRecipe recipe = analog_only(100);
  recipe.entries.push_back(test::int_entry("ANALOG", "BITS", {}, {12}));
  SECTION("offset binary") {
    recipe.entries.push_back(test::int_entry("ANALOG", "OFFSET", {1}, {2048}));
    const auto file = parse(recipe);
    REQUIRE(file);
    CHECK(file->analog.channels[0].lowest == 0.0);
    CHECK(file->analog.channels[0].highest == 4095.0);
  }
  SECTION("two's complement") {
    const auto file = parse(recipe);
    REQUIRE(file);
    CHECK(file->analog.channels[0].lowest == -2048.0);
    CHECK(file->analog.channels[0].highest == 2047.0);
  }
  SECTION("data beyond") {
    recipe.frames = 3000;
    const auto file = parse(recipe);
    REQUIRE(file);
    CHECK(file->analog.channels[0].highest == 32767.0);
  }
}

TEST_CASE("the parameter section may be written in any order and length", "[c3d]") {
  C3dRecipe recipe = test::four_plate_recipe(85, false);
  SECTION("groups after their entries") { recipe.groups_last = true; }
  SECTION("a zero link ends it") { recipe.end_by_zero_link = true; }
  SECTION("its block count is a lie") { recipe.block_count_byte = 1; }
  SECTION("every entry locked") {
    for (auto& entry : recipe.entries) entry.locked = true;
  }
  SECTION("its block count overflows a byte") {
    // 600 entries of 255 bytes make some 310 blocks.
    for (int i = 0; i < 600; ++i)
      recipe.entries.insert(
          recipe.entries.begin(),
          test::text_entry("NOTES", "N" + std::to_string(i), {std::string(255, 'x')}));
  }
  SECTION("an entry longer than a signed link can span") {
    recipe.entries.insert(
        recipe.entries.begin(),
        test::text_entry("NOTES", "LONG", std::vector<std::string>(200, std::string(255, 'x'))));
  }
  SECTION("an empty text and a repeated name") {
    recipe.entries.push_back(test::text_entry("NOTES", "EMPTY", {""}));
    recipe.entries.push_back(test::real_entry("POINT", "RATE", {}, {0}));
  }
  const auto file = parse(recipe);
  REQUIRE(file);
  CHECK(file->point_rate == 100.0);
  CHECK(file->analog.channels.size() == 26);
  const std::vector<int> channels{2};
  CHECK(c3d::scaled(file->analog, channels)(47, 0) == Approx(800.0));
}

TEST_CASE("where the data begin is said twice", "[c3d]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  recipe.entries.push_back(test::int_entry("POINT", "DATA_START", {}, {0}));
  // The header's word 9 holds the writer's true block; adding a number does not move the data.
  const int block = std::to_integer<int>(build(recipe)[16]);
  recipe.entry("POINT", "DATA_START")->numbers = {static_cast<double>(block)};
  std::size_t remarks = 0;
  auto bytes = build(recipe);
  SECTION("both agree") {}
  SECTION("the header's is missing") { bytes[16] = std::byte{0}; }
  SECTION("the parameter's is wrong") {
    recipe.entry("POINT", "DATA_START")->numbers = {3000};
    bytes = build(recipe);
    remarks = 1;
  }
  const auto file = c3d::parse(bytes, "made.c3d");
  REQUIRE(file);
  CHECK(file->remarks.size() == remarks);
  const std::vector<int> channels{2};
  CHECK(c3d::scaled(file->analog, channels)(47, 0) == Approx(800.0));
  SECTION("neither is usable") {
    recipe.entry("POINT", "DATA_START")->numbers = {0};
    bytes = build(recipe);
    bytes[16] = std::byte{0};
    const auto refused = c3d::parse(bytes, "made.c3d");
    REQUIRE_FALSE(refused);
    CHECK(refused.error().what.find("data begin at block 0") != std::string::npos);
  }
}

TEST_CASE("lists beyond 255 go on in a second entry", "[c3d]") {
  C3dRecipe recipe;
  recipe.points = 300;
  recipe.channels = 260;
  recipe.frames = 2;
  std::vector<std::string> labels, more_labels;
  for (int i = 0; i < 300; ++i) (i < 255 ? labels : more_labels).push_back("P" + std::to_string(i));
  std::vector<double> scales(255, 2.0), offsets(255, 0.0);
  recipe.entries = {test::int_entry("POINT", "USED", {}, {300}),
                    test::real_entry("POINT", "SCALE", {}, {0.1}),
                    test::text_entry("POINT", "LABELS", labels),
                    test::text_entry("POINT", "LABELS2", more_labels),
                    test::text_entry("POINT", "UNITS", {"cm"}),
                    test::int_entry("ANALOG", "USED", {}, {260}),
                    test::real_entry("ANALOG", "SCALE", {255}, scales),
                    test::real_entry("ANALOG", "SCALE2", {5}, {3, 3, 3, 3, 3}),
                    test::int_entry("ANALOG", "OFFSET", {255}, offsets),
                    test::int_entry("ANALOG", "OFFSET2", {5}, {7, 7, 7, 7, 7})};
  recipe.position = [](std::size_t, std::size_t point, std::size_t) {
    return static_cast<double>(point);
  };
  recipe.raw = [](std::size_t, std::size_t channel) { return static_cast<double>(channel); };
  const auto file = parse(recipe);
  REQUIRE(file);
  CHECK(c3d::find_point(*file, "P299") == 299);
  CHECK(c3d::trajectory(*file, 299)(1, 1) == Approx(2.99));  // cm
  const std::vector<int> channels{254, 259};
  const Eigen::MatrixXd values = c3d::scaled(file->analog, channels);
  CHECK(values(0, 0) == 508.0);
  CHECK(values(0, 1) == 756.0);  // (259 - 7) x 3
}

TEST_CASE("more than 65535 frames are counted where the standard puts them", "[c3d]") {
  C3dRecipe recipe = analog_only(70000);
  SECTION("trial fields") {
    recipe.entries.push_back(test::int_entry("POINT", "FRAMES", {}, {65535}));
    recipe.entries.push_back(test::int_entry("TRIAL", "ACTUAL_START_FIELD", {2}, {1, 0}));
    recipe.entries.push_back(test::int_entry("TRIAL", "ACTUAL_END_FIELD", {2}, {70000 - 65536, 1}));
  }
  SECTION("long frames") {
    recipe.entries.push_back(test::int_entry("POINT", "FRAMES", {}, {65535}));
    recipe.entries.push_back(test::real_entry("POINT", "LONG_FRAMES", {}, {70000}));
  }
  SECTION("real frames") {
    recipe.entries.push_back(test::real_entry("POINT", "FRAMES", {}, {70000}));
  }
  const auto file = parse(recipe);
  REQUIRE(file);
  CHECK(file->frame_count == 70000);
  CHECK(file->remarks.empty());
  const std::vector<int> channels{0};
  CHECK(c3d::scaled(file->analog, channels)(69999, 0) == 9999.0);
}

TEST_CASE("frame counts above 32767 are unsigned", "[c3d]") {
  C3dRecipe recipe = analog_only(40000);
  recipe.entries.push_back(test::int_entry("POINT", "FRAMES", {}, {40000}));
  const auto file = parse(recipe);
  REQUIRE(file);
  CHECK(file->frame_count == 40000);
}

TEST_CASE("of frame counts that disagree the one that fills the file is taken, and said", "[c3d]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  recipe.entries.push_back(test::int_entry("TRIAL", "ACTUAL_START_FIELD", {2}, {1, 0}));
  recipe.entries.push_back(test::int_entry("TRIAL", "ACTUAL_END_FIELD", {2}, {400, 0}));
  const auto file = parse(recipe);
  REQUIRE(file);
  CHECK(file->frame_count == 12);
  REQUIRE(file->remarks.size() == 1);
  CHECK(file->remarks[0].find("400") != std::string::npos);
}

TEST_CASE("lengths come out in metres whatever the file's unit", "[c3d]") {
  const std::pair<const char*, double> units[] = {
      {"m", 1.0}, {"cm", 1e-2}, {"mm", 1e-3}, {"MM", 1e-3}};
  for (const auto& [unit, factor] : units) {
    C3dRecipe recipe = test::four_plate_recipe(84, true);
    *recipe.entry("POINT", "UNITS") = test::text_entry("POINT", "UNITS", {unit});
    const auto file = parse(recipe);
    REQUIRE(file);
    CHECK(c3d::trajectory(*file, 2)(0, 0) == Approx(150.0 * factor));
  }
  C3dRecipe recipe = test::four_plate_recipe(84, true);
  recipe.remove("POINT", "UNITS");
  const auto file = parse(recipe);
  REQUIRE(file);
  CHECK(c3d::trajectory(*file, 2)(0, 0) == Approx(0.150));
  CHECK(file->remarks.size() == 1);
}

TEST_CASE("a recording without a frame rate takes it from the analog rate", "[c3d]") {
  C3dRecipe recipe = analog_only(10);
  recipe.header_rate = 0.0;
  recipe.samples_per_frame = 2;
  recipe.entry("POINT", "RATE")->numbers = {0};
  recipe.entries.push_back(test::real_entry("ANALOG", "RATE", {}, {500}));
  const auto file = parse(recipe);
  REQUIRE(file);
  CHECK(file->point_rate == 250.0);
  CHECK(file->analog.rate == 500.0);
}

TEST_CASE("labels that are not UTF-8 are read as Latin-1", "[c3d]") {
  C3dRecipe recipe = test::four_plate_recipe(84, true);
  *recipe.entry("POINT", "LABELS") =
      test::text_entry("POINT", "LABELS", {"F\xfc\xdf", "Fu\xc3\x9f", "a\tb"});
  const auto file = parse(recipe);
  REQUIRE(file);
  CHECK(file->points.labels == std::vector<std::string>{"F\xc3\xbc\xc3\x9f", "Fu\xc3\x9f", "a b"});
}

TEST_CASE("each lie is refused in a sentence that names it", "[c3d]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  std::string names;
  SECTION("no frame rate anywhere") {
    recipe.header_rate = 0.0;
    recipe.entry("POINT", "RATE")->numbers = {0};
    recipe.remove("ANALOG", "RATE");
    names = "POINT:RATE";
  }
  SECTION("a frame rate that is no number") {
    recipe.header_rate = NAN;
    recipe.entry("POINT", "RATE")->numbers = {NAN};
    recipe.entry("ANALOG", "RATE")->numbers = {NAN};
    names = "POINT:RATE";
  }
  SECTION("an analog rate that contradicts the frames") {
    recipe.entry("ANALOG", "RATE")->numbers = {1000};
    names = "ANALOG:RATE";
  }
  SECTION("a point scale that is no number") {
    recipe.entry("POINT", "SCALE")->numbers = {NAN};
    names = "POINT:SCALE";
  }
  SECTION("a point scale of zero") {
    recipe.entry("POINT", "SCALE")->numbers = {0};
    names = "POINT:SCALE";
  }
  SECTION("integer and real at once") {
    recipe.entry("POINT", "SCALE")->numbers = {-0.1};
    names = "POINT:SCALE";
  }
  SECTION("an analog scale that is no number") {
    recipe.entry("ANALOG", "SCALE")->numbers[7] = NAN;
    names = "analog channel 8";
  }
  SECTION("an infinite general scale") {
    recipe.entry("ANALOG", "GEN_SCALE")->numbers = {INFINITY};
    names = "analog channel 1";
  }
  SECTION("a point count that is not the header's") {
    recipe.entry("POINT", "USED")->numbers = {4};
    names = "POINT:USED";
  }
  SECTION("an absurd channel count") {
    recipe.entry("ANALOG", "USED")->numbers = {30000};
    names = "ANALOG:USED";
  }
  SECTION("samples that do not divide") {
    recipe.entry("ANALOG", "USED")->numbers = {-1};
    names = "ANALOG:USED";
  }
  SECTION("an unknown unit of length") {
    *recipe.entry("POINT", "UNITS") = test::text_entry("POINT", "UNITS", {"furlong"});
    names = "furlong";
  }
  SECTION("nothing in it") {
    recipe.points = recipe.channels = 0;
    recipe.entry("POINT", "USED")->numbers = {0};
    names = "neither";
  }
  SECTION("an entry type that does not exist") {
    recipe.entry("FORCE_PLATFORM", "TYPE")->type = static_cast<C3dEntry::Type>(3);
    names = "'TYPE'";
  }
  SECTION("an array longer than its entry") {
    recipe.entry("FORCE_PLATFORM", "TYPE")->dimensions = {200};
    names = "'TYPE'";
  }
  SECTION("dimensions whose product overflows") {
    recipe.entry("FORCE_PLATFORM", "TYPE")->dimensions.assign(4, 255);
    names = "'TYPE'";
  }
  CAPTURE(refusal(recipe));
  CHECK(refusal(recipe).find(names) != std::string::npos);
}

TEST_CASE("files that end too early or are something else are refused", "[c3d]") {
  auto bytes = build(test::four_plate_recipe(84, false));
  const auto sentence = [&bytes] {
    const auto file = c3d::parse(bytes, "made.c3d");
    return file ? std::string("accepted") : file.error().sentence();
  };
  SECTION("empty") {
    bytes.clear();
    CHECK(sentence().find("0 bytes") != std::string::npos);
  }
  SECTION("cut in the data") {
    bytes.resize(bytes.size() - 512);
    CHECK(sentence().find("the file ends after") != std::string::npos);
  }
  SECTION("cut in the parameters") {
    bytes.resize(1024);
    CHECK(sentence().find("parameter section") != std::string::npos);
  }
  SECTION("only a header") {
    bytes.resize(512);
    CHECK(sentence().find("block 2") != std::string::npos);
  }
  SECTION("frame counts that agree on nothing") {
    C3dRecipe recipe = test::four_plate_recipe(84, false);
    recipe.entry("POINT", "FRAMES")->numbers = {13000};
    recipe.entries.push_back(test::real_entry("POINT", "LONG_FRAMES", {}, {4e9}));
    bytes = build(recipe);
    bytes[8] = std::byte{0xff};  // the header's last frame becomes 255
    CHECK(sentence().find("POINT:LONG_FRAMES says 4000000000, POINT:FRAMES says 13000, the header "
                          "says 255 frames, but the file ends after") != std::string::npos);
  }
  SECTION("another kind of file") {
    bytes[1] = std::byte{0x4b};
    CHECK(sentence().find("not a C3D file") != std::string::npos);
  }
  SECTION("a processor nobody built") {
    bytes[515] = std::byte{87};
    CHECK(sentence().find("processor 87") != std::string::npos);
  }
  SECTION("parameters said to be in the header") {
    bytes[0] = std::byte{1};
    CHECK(sentence().find("block 1") != std::string::npos);
  }
}

TEST_CASE("a path that is no file is refused", "[c3d]") {
  const auto folder = std::filesystem::temp_directory_path();
  CHECK_FALSE(c3d::read(folder));
  const auto absent = c3d::read(folder / "no-such-recording.c3d");
  REQUIRE_FALSE(absent);
  CHECK(absent.error().where.find("no-such-recording.c3d") != std::string::npos);
}
