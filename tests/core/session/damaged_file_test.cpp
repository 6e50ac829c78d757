// SPDX-License-Identifier: GPL-3.0-or-later
// Files that are whole for HDF5, or nearly, and lie: made with its C API, independently of ours.
#include <fcntl.h>
#include <hdf5.h>
#include <sys/stat.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>
#include <thread>

#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using support::example_session;
using support::Folder;

namespace {

void write_session(const std::filesystem::path& path) {
  auto writer = session::Writer::create(path, example_session());
  REQUIRE(writer);
  REQUIRE(writer->close());
}

session::ResultSet some_results() {
  session::ResultSet results;
  results.made = "2026-03-01T10:00:00Z";
  results.settings = "{}";
  session::ResultThrow thrown;
  thrown.number = 1;
  thrown.contact = session_time(10.0);
  thrown.events = {{"lead_contact", {10.0, 0.001}, "s"}};
  thrown.flags = {{"no_radar", "no reading was found for this throw"}};
  results.throws.push_back(thrown);
  return results;
}

session::Edit some_edit() {
  session::Edit edit;
  edit.who = "a reviewer";
  edit.why = "a test";
  edit.throw_contact = 10.0;
  edit.action = "exclude";
  return edit;
}

std::filesystem::path session_with_companion(const Folder& folder) {
  write_session(folder / "a.h5");
  REQUIRE(session::append_results(folder / "a.h5", some_results()));
  REQUIRE(session::append_edit(folder / "a.h5", some_edit()));
  return folder / "a.h5";
}

std::string bytes_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

void tell_rows(const std::filesystem::path& path, const char* table, hsize_t rows) {
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
  const hid_t set = H5Dopen2(file, table, H5P_DEFAULT);
  REQUIRE(H5Dset_extent(set, &rows) >= 0);
  H5Dclose(set);
  H5Fclose(file);
}

}  // namespace

TEST_CASE("a companion that tells of absurdly many rows is refused and left alone", "[damage]") {
  for (const char* table :
       {"results/runs", "results/throws", "results/values", "results/flags", "edits/list"}) {
    for (const hsize_t rows : {hsize_t{1} << 31, hsize_t{1} << 50, hsize_t{1} << 62}) {
      CAPTURE(table, rows);
      const Folder folder;
      const auto path = session_with_companion(folder);
      tell_rows(session::companion_path(path), table, rows);
      const std::string before = bytes_of(session::companion_path(path));
      const bool edits = std::string(table) == "edits/list";
      if (edits) {
        CHECK_FALSE(session::read_edits(path));
        CHECK_FALSE(session::append_edit(path, some_edit()));
      } else {
        CHECK_FALSE(session::append_results(path, some_results()));
      }
      if (std::string(table) == "results/runs") CHECK_FALSE(session::read_results(path));
      CHECK(bytes_of(session::companion_path(path)) == before);
    }
  }
}

TEST_CASE("a session that tells of absurdly many blocks or records is refused", "[damage]") {
  for (const hsize_t rows : {hsize_t{1} << 31, hsize_t{1} << 50, hsize_t{1} << 62}) {
    CAPTURE(rows);
    const Folder folder;
    write_session(folder / "a.h5");
    const std::string blocks = "devices/" + example_session().devices.front().name + "/blocks";
    tell_rows(folder / "a.h5", blocks.c_str(), rows);
    tell_rows(folder / "a.h5", "records/radar_readings", rows);
    {
      const auto reader = session::Reader::open(folder / "a.h5");
      REQUIRE(reader);
      CHECK_FALSE(reader->blocks(0));
      CHECK_FALSE(reader->radar_readings());
    }
    tell_rows(folder / "a.h5", "records/known_releases", rows);
    CHECK_FALSE(session::Reader::open(folder / "a.h5"));
  }
}

TEST_CASE("what HDF5 has to say goes into our sentence, not onto the screen", "[damage]") {
  // Where HDF5 is built with locks, each thread has to tell it so.
  const Folder folder;
  write_session(folder / "a.h5");
  const std::string blocks = "devices/" + example_session().devices.front().name + "/blocks";
  const hid_t file = H5Fopen((folder / "a.h5").c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
  REQUIRE(H5Ldelete(file, blocks.c_str(), H5P_DEFAULT) >= 0);
  H5Fclose(file);
  const auto reader = session::Reader::open(folder / "a.h5");
  REQUIRE(reader);
  std::fflush(stderr);
  const int screen = dup(STDERR_FILENO);
  const int kept =
      open((folder / "said").c_str(), O_CREAT | O_WRONLY | O_CLOEXEC, S_IRUSR | S_IWUSR);
  REQUIRE(dup2(kept, STDERR_FILENO) >= 0);
  bool refused = false;
  std::thread([&] { refused = !reader->blocks(0); }).join();
  std::fflush(stderr);
  dup2(screen, STDERR_FILENO);
  close(screen);
  close(kept);
  CHECK(refused);
  CHECK(bytes_of(folder / "said").empty());
}

TEST_CASE("numbers of an odd width are refused", "[damage]") {
  // HDF5 1.10 wrote beyond its memory when it converted a damaged integer description.
  const Folder folder;
  const auto path = session_with_companion(folder);
  const hid_t file = H5Fopen(session::companion_path(path).c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
  const hid_t odd = H5Tcopy(H5T_STD_I64LE);
  REQUIRE(H5Tset_precision(odd, 13) >= 0);
  const hid_t row = H5Tcreate(H5T_COMPOUND, 16);
  REQUIRE(H5Tinsert(row, "run", 0, odd) >= 0);
  REQUIRE(H5Tinsert(row, "contact", 8, H5T_IEEE_F64LE) >= 0);
  REQUIRE(H5Ldelete(file, "results/throws", H5P_DEFAULT) >= 0);
  const hsize_t one = 1;
  const hid_t space = H5Screate_simple(1, &one, nullptr);
  const hid_t table =
      H5Dcreate2(file, "results/throws", row, space, H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT);
  REQUIRE(table >= 0);
  const char cells[16] = {};
  REQUIRE(H5Dwrite(table, row, H5S_ALL, H5S_ALL, H5P_DEFAULT, cells) >= 0);
  H5Dclose(table);
  H5Sclose(space);
  H5Tclose(row);
  H5Tclose(odd);
  H5Fclose(file);
  const auto results = session::read_results(path);
  REQUIRE_FALSE(results);
  CHECK(results.error().sentence().find("damaged") != std::string::npos);
}

TEST_CASE("a companion of a newer version or of another kind is refused and left alone",
          "[damage]") {
  const Folder folder;
  const auto path = session_with_companion(folder);
  const auto companion = session::companion_path(path);
  {
    const hid_t file = H5Fopen(companion.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    const hid_t schema = H5Aopen(file, "schema", H5P_DEFAULT);
    const std::int64_t newer = 1000;
    REQUIRE(H5Awrite(schema, H5T_NATIVE_INT64, &newer) >= 0);
    H5Aclose(schema);
    H5Fclose(file);
  }
  const std::string before = bytes_of(companion);
  const auto edits = session::read_edits(path);
  REQUIRE_FALSE(edits);
  CHECK(edits.error().sentence().find("results format 1000") != std::string::npos);
  CHECK_FALSE(session::read_results(path));
  CHECK_FALSE(session::append_results(path, some_results()));
  CHECK_FALSE(session::append_edit(path, some_edit()));
  CHECK(bytes_of(companion) == before);
  // A session under the companion's name is not taken for results.
  std::filesystem::copy_file(path, companion, std::filesystem::copy_options::overwrite_existing);
  CHECK_FALSE(session::append_edit(path, some_edit()));
  CHECK(bytes_of(companion) == bytes_of(path));
}

TEST_CASE("a session whose first bytes are damaged is refused at once", "[damage]") {
  // HDF5 reads a file anew while it might be half written, and waits twice as long each time.
  const Folder folder;
  write_session(folder / "a.h5");
  {
    std::fstream file(folder / "a.h5", std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(44);  // the superblock's checksum (HDF5 file format specification, version 2 and 3)
    file.write("\1\2\3\4", 4);
  }
  const auto start = std::chrono::steady_clock::now();
  CHECK_FALSE(session::Reader::open(folder / "a.h5"));
  CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds(10));
}
