// SPDX-License-Identifier: GPL-3.0-or-later
#include <hdf5.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/fact.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"
#include "support/version_0_1.h"

using namespace moundwork;
using namespace moundwork::session;

TEST_CASE("a throw can be tagged while its session is still being recorded") {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  auto writer = Writer::create(path, support::example_session(), {.appear_when_closed = false});
  REQUIRE(writer);
  Edit tag;
  tag.action = Action::tag;
  tag.target = "pitch_type";
  tag.text = "four seam";
  REQUIRE(append_edit(path, tag));
  REQUIRE(writer->close());
  const auto edits = read_edits(path);
  REQUIRE(edits);
  REQUIRE(edits->size() == 1);
  CHECK(edits->front().text == "four seam");
}

TEST_CASE("each of several undos at the same time takes back another edit") {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  {
    auto writer = Writer::create(path, support::example_session());
    REQUIRE(writer);
    REQUIRE(writer->close());
  }
  constexpr int edits = 12;
  for (int i = 0; i < edits; ++i) {
    Edit edit;
    edit.action = Action::tag;
    REQUIRE(append_edit(path, edit));
  }
  const auto undo = [&] {
    return append_edit(path, [](std::span<const Edit> all) -> Result<Edit> {
      const auto place = place_to_undo(all);
      if (!place) return fail("the list", "has nothing to undo");
      return undo_of(all[*place]);
    });
  };
  {
    std::vector<std::jthread> threads;
    for (int t = 0; t < 4; ++t)
      threads.emplace_back([&] {
        for (int i = 0; i < edits / 4; ++i)
          if (!undo()) std::abort();
      });
  }
  const auto all = read_edits(path).value();
  REQUIRE(all.size() == 2U * edits);
  const std::vector<bool> stands = standing(all);
  CHECK(std::none_of(stands.begin(), stands.begin() + edits, [](bool stood) { return stood; }));
  CHECK_FALSE(undo());
  CHECK(read_edits(path)->size() == all.size());
}

TEST_CASE("edits and results written at the same time all stay") {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  {
    auto writer = Writer::create(path, support::example_session());
    REQUIRE(writer);
    REQUIRE(writer->close());
  }
  constexpr int writers = 4, each = 15;
  // On a crowded computer a writer may wait longer than one is let to: it is told so, nothing is
  // written, and it asks again.
  const auto insist = [](const auto& write) {
    while (true) {
      const auto done = write();
      if (done) return;
      if (done.error().sentence().find("locked") == std::string::npos) std::abort();
    }
  };
  {
    std::vector<std::jthread> threads;
    for (int w = 0; w < writers; ++w)
      threads.emplace_back([&, w] {
        for (int i = 0; i < each; ++i) {
          Edit edit;
          edit.who = std::to_string(w);
          edit.action = Action::tag;
          edit.value = i;
          insist([&] { return append_edit(path, edit); });
          if (w == 0 && i % 5 == 0)
            insist([&] { return append_results(path, {"2026-01-01", "x", "{}", {}}); });
        }
      });
  }
  const auto edits = read_edits(path);
  REQUIRE(edits);
  CHECK(edits->size() == static_cast<std::size_t>(writers * each));
  std::vector<double> last(writers, -1.0);
  for (const Edit& edit : *edits) {
    double& before = last[static_cast<std::size_t>(std::stoi(edit.who))];
    CHECK(edit.value == before + 1.0);
    before = edit.value;
  }
}

namespace {

void write_session(const std::filesystem::path& path, const std::string& id) {
  Session made = support::example_session();
  made.id = id;
  auto writer = Writer::create(path, made);
  REQUIRE(writer);
  REQUIRE(writer->close());
}

}  // namespace

TEST_CASE("another session's results are refused in a sentence, whatever is asked of them") {
  const support::Folder folder;
  write_session(folder / "one.h5", "session one");
  write_session(folder / "two.h5", "session two");
  REQUIRE(append_results(folder / "two.h5", {"2026-01-01", "x", "{}", {}}));
  Edit heavier = set_fact(Fact::mass, Measured{99.0, 0.1});
  REQUIRE(append_edit(folder / "two.h5", heavier));
  const auto companion = companion_path(folder / "one.h5");
  std::filesystem::copy_file(companion_path(folder / "two.h5"), companion);
  const std::string before = support::bytes_of(companion);

  for (const Unidentified unidentified : {Unidentified::refused, Unidentified::accepted}) {
    const auto results = read_results(folder / "one.h5", unidentified);
    REQUIRE_FALSE(results);
    CHECK(results.error().sentence().find("another session (session two)") != std::string::npos);
    CHECK_FALSE(read_edits(folder / "one.h5", unidentified));
  }
  CHECK_FALSE(companion_of(folder / "one.h5"));
  CHECK_FALSE(append_edit(folder / "one.h5", heavier));
  CHECK_FALSE(append_results(folder / "one.h5", {"2026-01-02", "x", "{}", {}}));
  CHECK_FALSE(claim_companion(folder / "one.h5"));
  CHECK(support::bytes_of(companion) == before);
  const auto reader = Reader::open(folder / "one.h5");
  REQUIRE(reader);
  CHECK(reader->session().athlete.mass.value == 71.5);
  CHECK(Reader::open(folder / "two.h5")->session().athlete.mass.value == 99.0);
}

TEST_CASE("a new session does not take over results that lie under its name") {
  const support::Folder folder;
  write_session(folder / "a.h5", "session one");
  REQUIRE(append_results(folder / "a.h5", {"2026-01-01", "x", "{}", {}}));
  const std::string results = support::bytes_of(companion_path(folder / "a.h5"));
  const auto make = [&](bool recorded) {
    Session made = support::example_session();
    made.id = recorded ? "session two" : "session three";
    auto writer = Writer::create(folder / "a.h5", made, {.appear_when_closed = !recorded});
    REQUIRE(writer);
    REQUIRE(writer->close());
    REQUIRE(writer->set_aside());
    CHECK(support::bytes_of(*writer->set_aside()) == results);
    CHECK(read_results(folder / "a.h5")->made.empty());
    std::filesystem::copy_file(*writer->set_aside(), companion_path(folder / "a.h5"));
  };
  std::filesystem::remove(folder / "a.h5");
  make(true);
  make(false);
  CHECK(std::filesystem::exists(folder / "a.results.hdf5.of-another-session"));
  CHECK(std::filesystem::exists(folder / "a.results.hdf5.of-another-session-2"));
}

TEST_CASE("the companion stays small") {
  const support::Folder folder;
  const auto path = folder / "a.h5";
  write_session(path, "session one");
  const auto size = [&] { return std::filesystem::file_size(companion_path(path)); };
  ResultSet results{"0", "x", "{}", {}};
  for (int number = 1; number <= 60; ++number) {
    ResultThrow thrown;
    thrown.number = number;
    thrown.contact = session_time(20.0 * number);
    for (int i = 0; i < 40; ++i)
      thrown.quantities.push_back({"quantity_" + std::to_string(i), {0.1 * i, 1.0 / (i + 1)}, "N"});
    results.throws.push_back(thrown);
  }
  std::uintmax_t after_kept = 0;
  for (int i = 1; i <= 12; ++i) {
    results.made = std::to_string(i);
    REQUIRE(append_results(path, results));
    if (i == analyses_kept) after_kept = size();
  }
  CHECK(size() < after_kept + 1000);
  CHECK(read_results(path)->made == "12");
  CHECK(read_results(path)->throws.size() == 60);

  Edit tag;
  tag.action = Action::tag;
  tag.target = "pitch_type";
  const auto add = [&](int count) {
    for (int i = 0; i < count; ++i) {
      tag.throw_contact = 20.0 * (i % 60);
      tag.text = i % 2 == 0 ? "fastball" : "slider";
      tag.id.clear();
      REQUIRE(append_edit(path, tag));
    }
  };
  add(10);
  const auto after_ten = size();
  add(190);
  // Identities are random and cannot be packed: 36 signs of 16 are 18 bytes, and the rest of a row
  // is mostly empty.
  CHECK(size() < after_ten + 190 * 120);
  CHECK(read_edits(path)->size() == 200);
}

TEST_CASE("so many analyses stay as the lab has settled") {
  const support::Folder folder;
  const auto path = folder / "a.h5";
  write_session(path, "session one");
  const auto runs = [&] {
    const hid_t file = H5Fopen(companion_path(path).c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
    const hid_t table = H5Dopen2(file, "results/runs", H5P_DEFAULT);
    const hid_t space = H5Dget_space(table);
    const auto count = H5Sget_simple_extent_npoints(space);
    H5Sclose(space);
    H5Dclose(table);
    H5Fclose(file);
    return count;
  };
  const auto analyse = [&](std::optional<int> kept = std::nullopt) {
    for (int i = 0; i < 6; ++i)
      REQUIRE(append_results(path, {std::to_string(i), "x", "{}", {}}, kept));
  };
  analyse();
  CHECK(runs() == analyses_kept);
  std::ofstream(folder / "lab.toml") << "analyses_kept = 2\n";
  analyse();
  CHECK(runs() == 2);
  analyse(4);
  CHECK(runs() == 4);
  std::ofstream(folder / "lab.toml") << "analyses_kept = \"all\"\n";
  CHECK_FALSE(append_results(path, {"7", "x", "{}", {}}));
}

TEST_CASE("what other programs put into a companion stays there") {
  const support::Folder folder;
  const auto path = folder / "a.h5";
  write_session(path, "session one");
  REQUIRE(append_results(path, {"2026-01-01", "x", "{}", {}}));
  {
    const hid_t file = H5Fopen(companion_path(path).c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    REQUIRE(file >= 0);
    const hid_t group =
        H5Gcreate2(file, "results/lab_notes", H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT);
    REQUIRE(group >= 0);
    H5Gclose(group);
    H5Fclose(file);
  }
  Edit tag;
  tag.action = Action::tag;
  REQUIRE(append_edit(path, tag));
  const hid_t file = H5Fopen(companion_path(path).c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  CHECK(H5Lexists(file, "results/lab_notes", H5P_DEFAULT) > 0);
  H5Fclose(file);
}

TEST_CASE("what throws share of u is kept, and not known where a companion of before lacks it") {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  {
    auto writer = Writer::create(path, support::example_session());
    REQUIRE(writer);
    REQUIRE(writer->close());
  }
  ResultSet results;
  results.made = "2026-05-01T10:00:00Z";
  ResultThrow thrown;
  thrown.number = 1;
  thrown.quantities = {{"ball_speed", {38.0, 0.3}, "m/s", 0.2},
                       {"stride_length", {1.4, 0.01}, "m"}};
  results.throws = {thrown};
  REQUIRE(append_results(path, results));
  const auto read = read_results(path);
  REQUIRE(read);
  REQUIRE(read->throws.size() == 1);
  CHECK(read->throws[0].quantities[0].shared_u == 0.2);
  CHECK(read->throws[0].quantities[0].measured.u == 0.3);
  CHECK(std::isnan(read->throws[0].quantities[1].shared_u));

  const auto old = folder / "two-pitches.h5";
  support::copy_version_0_1(old);
  const auto of_before = read_results(old, Unidentified::accepted);
  REQUIRE(of_before);
  REQUIRE_FALSE(of_before->throws.empty());
  for (const auto& value : of_before->throws[0].quantities) {
    CHECK(value.measured.u > 0.0);
    CHECK(std::isnan(value.shared_u));
  }
}
