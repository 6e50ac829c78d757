// SPDX-License-Identifier: GPL-3.0-or-later
#include <hdf5.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <fstream>
#include <functional>
#include <limits>
#include <numeric>
#include <vector>

#include "core/session/edit_list.h"
#include "core/session/file_lock.h"
#include "core/session/plate_name.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using support::example_session;
using support::Folder;

namespace {

std::vector<std::int32_t> counting(std::size_t cells) {
  std::vector<std::int32_t> raw(cells);
  std::iota(raw.begin(), raw.end(), 100);
  return raw;
}

void write_example(const std::filesystem::path& path) {
  auto writer = session::Writer::create(path, example_session());
  REQUIRE(writer);
  const auto raw = counting(60);
  REQUIRE(writer->append(0, {0, DeviceTicks{500}, session_time(0.1), 0}, std::span(raw)));
  REQUIRE(writer->append(0, {10, DeviceTicks{30500}, session_time(0.2), 20}, std::span(raw)));
  REQUIRE(writer->append({session_time(0.15), 36.2, 1, "R 81.0 mph"}));
  REQUIRE(writer->close());
}

session::ResultSet example_results(const std::string& made) {
  session::ResultSet results;
  results.made = made;
  results.software = "Moundwork test";
  results.settings = R"({"low_pass":50})";
  for (int number : {1, 2}) {
    session::ResultThrow thrown;
    thrown.number = number;
    thrown.contact = session_time(10.0 * number);
    thrown.events = {{"lead_contact", {10.0 * number, 0.001}, "s"}};
    thrown.quantities = {{"braking_impulse", {120.0 + number, 0.8}, "N s"}};
    if (number == 2) thrown.flags = {{"no_radar", "no reading was found for this throw"}};
    results.throws.push_back(thrown);
  }
  return results;
}

}  // namespace

TEST_CASE("a session that another is making is left to it") {
  Folder folder;
  auto first = session::Writer::create(folder / "a.h5", example_session());
  REQUIRE(first);
  const auto refused = session::Writer::create(folder / "a.h5", example_session());
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("another program is writing") != std::string::npos);
  REQUIRE(first->close());
  CHECK(session::Reader::open(folder / "a.h5"));
  CHECK_FALSE(std::filesystem::exists(folder / "a.h5.part"));
}

TEST_CASE("what may not be read, or would be waited for, is told in the system's words") {
  Folder folder;
  write_example(folder / "a.h5");
  REQUIRE(mkfifo((folder / "a.results.hdf5").c_str(), 0600) == 0);
  REQUIRE(mkfifo((folder / "b.h5").c_str(), 0600) == 0);
  const auto pipe = session::Reader::open(folder / "b.h5");
  REQUIRE_FALSE(pipe);
  CHECK(pipe.error().sentence().find("is a pipe") != std::string::npos);
  CHECK_FALSE(session::read_results(folder / "a.h5"));
  CHECK_FALSE(session::read_edits(folder / "a.h5"));
  CHECK_FALSE(session::append_results(folder / "a.h5", example_results("now")));
  if (geteuid() == 0) return;  // may read anything
  std::filesystem::permissions(folder / "a.h5", std::filesystem::perms::none);
  const auto refused = session::Reader::open(folder / "a.h5");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find(std::strerror(EACCES)) != std::string::npos);
}

TEST_CASE("results of a session that was deleted meanwhile are not kept") {
  Folder folder;
  write_example(folder / "a.h5");
  std::filesystem::remove(folder / "a.h5");
  CHECK_FALSE(session::append_results(folder / "a.h5", example_results("now")));
  CHECK_FALSE(std::filesystem::exists(folder / "a.results.hdf5"));
}

TEST_CASE("a session comes back from its file as it was written") {
  Folder folder;
  write_example(folder / "a.h5");
  const auto reader = session::Reader::open(folder / "a.h5");
  REQUIRE(reader);
  const session::Session& s = reader->session();
  const session::Session expected = example_session();
  CHECK(s.id == expected.id);
  CHECK(s.athlete.name == "Mara Quill");
  CHECK(s.athlete.throws == session::Hand::left);
  CHECK(s.athlete.mass.u == 0.1);
  CHECK(s.conditions.pressure.value == 100900.0);
  REQUIRE(s.devices.size() == 3);
  CHECK(s.devices[0].name == "back plate");
  CHECK(s.devices[2].sample_type == session::SampleType::int16);
  CHECK(s.devices[1].channels[3].scale == 1e-6);
  REQUIRE(s.plates.size() == 2);
  CHECK(s.plates[1].description.corners[2] == expected.plates[1].description.corners[2]);
  CHECK(s.plates[0].description.sensitivity == expected.plates[0].description.sensitivity);
  CHECK(s.radar->detection_distance.u == 0.3);
  CHECK(s.trigger->channel == 5);
  CHECK(s.foot_line->source == session::FootLineSource::stances);
  REQUIRE(s.known_releases.size() == 1);
  CHECK(s.known_releases[0].source == "typed in");
  CHECK(s.known_ball_speed->text == "81 mph");

  REQUIRE(reader->sample_count(0) == 20);
  const auto raw = reader->read_raw(0, 9, 2);
  REQUIRE(raw);
  CHECK((*raw)(0, 0) == 154.0);  // row 9 of six channels counted from 100
  CHECK((*raw)(1, 5) == 105.0);  // row 10 begins the second block
  const auto blocks = reader->blocks(0);
  REQUIRE(blocks);
  REQUIRE(blocks->size() == 2);
  CHECK(blocks->at(1).missing_before == 20);
  CHECK(blocks->at(1).ticks == DeviceTicks{30500});
  CHECK(reader->radar_readings()->at(0).text == "R 81.0 mph");
}

TEST_CASE("rows and columns are where an independent reader of the C API expects them") {
  Folder folder;
  write_example(folder / "a.h5");
  const hid_t file = H5Fopen((folder / "a.h5").c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  const hid_t samples = H5Dopen2(file, "/devices/back plate/samples", H5P_DEFAULT);
  std::vector<std::int32_t> all(120);
  REQUIRE(H5Dread(samples, H5T_NATIVE_INT32, H5S_ALL, H5S_ALL, H5P_DEFAULT, all.data()) >= 0);
  CHECK(all[6 * 3 + 2] == 100 + 6 * 3 + 2);  // sample 3, channel 2, row-major
  H5Dclose(samples);
  H5Fclose(file);
}

TEST_CASE("a session file appears only when it is whole") {
  Folder folder;
  {
    auto writer = session::Writer::create(folder / "a.h5", example_session());
    REQUIRE(writer);
    CHECK_FALSE(std::filesystem::exists(folder / "a.h5"));
  }
  CHECK(std::filesystem::is_empty(folder.path()));
}

TEST_CASE("a session is not written through a link that lies in wait") {
  Folder folder;
  std::ofstream(folder / "victim") << "another's";
  for (const bool symbolic : {true, false}) {
    if (symbolic)
      std::filesystem::create_symlink(folder / "victim", folder / "a.h5.part");
    else
      std::filesystem::create_hard_link(folder / "victim", folder / "a.h5.part");
    const auto refused = session::Writer::create(folder / "a.h5", example_session());
    REQUIRE_FALSE(refused);
    CHECK(refused.error().sentence().find("is a link") != std::string::npos);
    CHECK(std::filesystem::file_size(folder / "victim") == 9);
    std::filesystem::remove(folder / "a.h5.part");
  }
}

TEST_CASE("analyses are appended and the last one counts") {
  Folder folder;
  write_example(folder / "a.h5");
  CHECK(session::read_results(folder / "a.h5")->made.empty());
  REQUIRE(session::append_results(folder / "a.h5", example_results("2026-03-01T10:00:00Z")));
  REQUIRE(session::append_results(folder / "a.h5", example_results("2026-03-01T11:00:00Z")));
  const auto results = session::read_results(folder / "a.h5");
  REQUIRE(results);
  CHECK(results->made == "2026-03-01T11:00:00Z");
  REQUIRE(results->throws.size() == 2);
  CHECK(results->throws[1].quantities.at(0).measured.value == 122.0);
  CHECK(results->throws[1].flags.at(0).key == "no_radar");
  CHECK(results->throws[0].flags.empty());
  CHECK(results->settings == R"({"low_pass":50})");
}

TEST_CASE("edits are a list that only grows") {
  Folder folder;
  write_example(folder / "a.h5");
  session::Edit edit;
  edit.action = session::Action::exclude;
  edit.why = "slipped";
  edit.throw_contact = 10.0;
  const auto first = session::append_edit(folder / "a.h5", edit);
  REQUIRE(first);
  edit = {};
  edit.action = session::Action::move_event;
  edit.target = "release";
  edit.value = 20.14;
  const auto second = session::append_edit(folder / "a.h5", edit);
  REQUIRE(second);
  CHECK(*first != *second);
  const auto edits = session::read_edits(folder / "a.h5");
  REQUIRE(edits);
  REQUIRE(edits->size() == 2);
  CHECK(edits->at(0).id == *first);
  CHECK(edits->at(1).id == *second);
  CHECK(edits->at(1).value == 20.14);
  CHECK(edits->at(0).why == "slipped");
}

namespace {

/// Kills a program that holds the session open for writing, so that the file stays marked so.
void leave_marked(const std::filesystem::path& path) {
  const pid_t child = fork();
  if (child == 0) {
    const hid_t access = H5Pcreate(H5P_FILE_ACCESS);
    (void)H5Pset_libver_bounds(access, H5F_LIBVER_LATEST, H5F_LIBVER_LATEST);
    _exit(H5Fopen(path.c_str(), H5F_ACC_RDWR, access) < 0 ? 1 : 0);
  }
  int status = 0;
  waitpid(child, &status, 0);
  REQUIRE((WIFEXITED(status) && WEXITSTATUS(status) == 0));
}

/// HDF5 file format specification, superblock version 3: file consistency flags.
int consistency_flags(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  file.seekg(11);
  return file.get();
}

/// As a reader that knows nothing of our locks would.
bool plainly_readable(const std::filesystem::path& path) {
  (void)H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  if (file >= 0) (void)H5Fclose(file);
  return file >= 0;
}

}  // namespace

TEST_CASE("a session left marked as open for writing is read, and freed of the mark", "[stale]") {
  const Folder folder;
  const auto path = folder / "session.h5";
  write_example(path);
  REQUIRE(consistency_flags(path) == 0);
  leave_marked(path);
  REQUIRE(consistency_flags(path) != 0);
  REQUIRE_FALSE(plainly_readable(path));
  SECTION("without a writer") {
    {
      const auto reader = session::Reader::open(path);
      REQUIRE(reader);
      CHECK(reader->sample_count(0) == 20);
      CHECK((*reader->read_raw(0, 0, 20))(19, 5) == 159);  // counting from 100, 60 cells a block
    }
    CHECK(consistency_flags(path) == 0);
    CHECK(plainly_readable(path));
  }
  SECTION("while another program holds the session's lock the mark is its own") {
    const auto lock = session::FileLock::acquire(path);
    REQUIRE(lock);
    const auto reader = session::Reader::open(path);
    REQUIRE_FALSE(reader);
    CHECK(reader.error().sentence().find("session.h5") != std::string::npos);
    CHECK(consistency_flags(path) != 0);
  }
}

TEST_CASE("two writers of one session cannot meet") {
  Folder folder;
  write_example(folder / "a.h5");
  const auto held = session::FileLock::acquire(folder / "a.h5");
  REQUIRE(held);
  const auto refused = session::FileLock::acquire(folder / "a.h5");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("another program is writing this session") !=
        std::string::npos);
}

TEST_CASE("a kill while results are written leaves the session readable", "[kill]") {
  Folder folder;
  const auto path = folder / "a.h5";
  write_example(path);
  REQUIRE(session::append_results(path, example_results("first")));
  for (int round = 0; round < 60; ++round) {
    const pid_t child = ::fork();
    if (child == 0) {
      for (;;)
        if (!session::append_results(path, example_results("again"))) ::_exit(2);
    }
    ::usleep(static_cast<useconds_t>(3000 + 700 * round));
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    REQUIRE(WIFSIGNALED(status));  // it was still appending, not refused
    const auto results = session::read_results(path);
    INFO("round " << round << ": " << (results ? "" : results.error().sentence()));
    REQUIRE(results);
    CHECK(results->throws.size() == 2);
    const auto reader = session::Reader::open(path);
    REQUIRE(reader);
    CHECK((*reader->read_raw(0, 9, 1))(0, 0) == 154.0);
  }
  // The session file itself leads any reader to the companion's tables.
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  const hid_t values = H5Dopen2(file, "/results/values", H5P_DEFAULT);
  CHECK(values >= 0);
  H5Dclose(values);
  H5Fclose(file);
  CHECK(session::append_results(path, example_results("after the kills")));
  CHECK(session::read_results(path)->made == "after the kills");
}

TEST_CASE("files that are no session are refused in one sentence") {
  Folder folder;
  std::ofstream(folder / "text.h5") << "time,force\n0,1\n";
  CHECK(session::Reader::open(folder / "text.h5").error().sentence().find("is not an HDF5 file") !=
        std::string::npos);
  CHECK(
      session::Reader::open(folder / "none.h5").error().sentence().find("there is no such file") !=
      std::string::npos);
  CHECK(session::Reader::open(folder.path()).error().sentence().find("is a folder") !=
        std::string::npos);
  const hid_t other =
      H5Fcreate((folder / "other.h5").c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, H5P_DEFAULT);
  H5Fclose(other);
  CHECK(session::Reader::open(folder / "other.h5")
            .error()
            .sentence()
            .find("not a Moundwork session") != std::string::npos);
}

TEST_CASE("a session keeps several plates of a foot and those of none, in their order") {
  const Folder folder;
  session::Session made = example_session();
  // Each on a device and at a place of its own.
  const auto add_beside = [&](std::size_t plate, const char* device, double gain) {
    made.devices.push_back(made.devices[0]);
    made.devices.back().name = device;
    made.plates.push_back(made.plates[plate]);
    made.plates.back().device = static_cast<int>(made.devices.size()) - 1;
    for (auto& corner : made.plates.back().description.corners) corner.y() += 0.41;
    made.plates.back().accuracy.gain = gain;
  };
  add_beside(1, "second lead plate", 0.011);
  add_beside(0, "second back plate", 0.012);
  made.other_plates = {made.plates[0], made.plates[1]};
  made.other_plates[1].accuracy.gain = 0.013;
  made.other_plates[1].number = 5;
  {
    auto writer = session::Writer::create(folder / "a.h5", made);
    REQUIRE(writer);
    REQUIRE(writer->close());
  }
  const auto reader = session::Reader::open(folder / "a.h5");
  REQUIRE(reader);
  const session::Session& read = reader->session();
  REQUIRE(read.plates.size() == 4);
  const auto gains = [](const std::vector<session::Plate>& plates) {
    std::vector<std::pair<session::PlateRole, double>> all;
    for (const session::Plate& plate : plates) all.emplace_back(plate.role, plate.accuracy.gain);
    return all;
  };
  using enum session::PlateRole;
  CHECK(gains(read.plates) == std::vector<std::pair<session::PlateRole, double>>{
                                  {back, 0.002}, {back, 0.012}, {lead, 0.002}, {lead, 0.011}});
  CHECK(read.plates[3].device == 3);
  REQUIRE(read.other_plates.size() == 2);
  CHECK(read.other_plates[1].accuracy.gain == 0.013);
  CHECK(read.other_plates[1].number == 5);
  CHECK(read.other_plates[0].number == 0);
  CHECK(session::plate_name(read, 0) == "first back plate");
  CHECK(session::plate_name(read, 3) == "second lead plate");
  CHECK(session::plate_name(example_session(), 1) == "lead plate");

  // One out of the row would be a part of a foot that nobody reads.
  std::filesystem::copy_file(folder / "a.h5", folder / "b.h5");
  {
    const hid_t file = H5Fopen((folder / "b.h5").c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    REQUIRE(file >= 0);
    H5Lmove(file, "plates/lead_2", file, "plates/lead_3", H5P_DEFAULT, H5P_DEFAULT);
    H5Fclose(file);
  }
  const auto refused = session::Reader::open(folder / "b.h5");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("no plate in the order") != std::string::npos);
}

TEST_CASE("plates whose forces cannot be summed are neither written nor read") {
  const Folder folder;
  const auto refused = [&](const std::function<void(session::Session&)>& change) {
    session::Session made = example_session();
    made.devices.push_back(made.devices[1]);
    made.devices.back().name = "second lead plate";
    made.plates.push_back(made.plates[1]);
    made.plates.back().device = 3;
    for (auto& corner : made.plates.back().description.corners) corner.y() += 0.41;
    change(made);
    const auto writer = session::Writer::create(folder / "a.h5", made);
    return writer ? std::string() : writer.error().sentence();
  };
  CHECK(refused([](auto&) {}).empty());
  CHECK(refused([](auto& made) { made.plates[2].device = 1; }).find("is read twice") !=
        std::string::npos);
  CHECK(refused([](auto& made) { made.plates[0].channels[1] = 0; }).find("is read twice") !=
        std::string::npos);
  CHECK(refused([](auto& made) {
          made.plates[2].description.corners = made.plates[1].description.corners;
        }).find("lie in one place") != std::string::npos);
  CHECK(refused([](auto& made) {
          made.plates[0].description.reaction_sign = 0.0;
        }).find("reaction sign 0") != std::string::npos);
  for (const double u : {-1.0, std::numeric_limits<double>::quiet_NaN()})
    CHECK(refused([u](auto& made) {
            made.plates[2].accuracy.gain = u;
          }).find("uncertainty of the second lead plate") != std::string::npos);

  {
    auto writer = session::Writer::create(folder / "b.h5", example_session());
    REQUIRE(writer);
    REQUIRE(writer->close());
  }
  {
    const hid_t file = H5Fopen((folder / "b.h5").c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    const hid_t plate = H5Gopen2(file, "plates/lead", H5P_DEFAULT);
    REQUIRE(H5Adelete(plate, "reaction_sign") >= 0);
    const hid_t scalar = H5Screate(H5S_SCALAR);
    const hid_t sign =
        H5Acreate2(plate, "reaction_sign", H5T_IEEE_F64LE, scalar, H5P_DEFAULT, H5P_DEFAULT);
    const double none = 0.0;
    REQUIRE(H5Awrite(sign, H5T_NATIVE_DOUBLE, &none) >= 0);
    H5Aclose(sign);
    H5Sclose(scalar);
    H5Gclose(plate);
    H5Fclose(file);
  }
  const auto read = session::Reader::open(folder / "b.h5");
  REQUIRE_FALSE(read);
  CHECK(read.error().sentence().find("reaction sign 0") != std::string::npos);
}
