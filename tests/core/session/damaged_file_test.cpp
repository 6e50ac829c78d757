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
#include <limits>
#include <string>
#include <thread>
#include <vector>

#include "core/session/edit_list.h"
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
  edit.action = session::Action::exclude;
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

namespace {

std::string samples_name() {
  return "devices/" + example_session().devices.front().name + "/samples";
}

/// Puts other samples in place of a session's first device's, with the descriptions of the old.
void replace_samples(const std::filesystem::path& path, hid_t properties, hsize_t rows) {
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
  const std::string name = samples_name();
  REQUIRE(H5Lmove(file, name.c_str(), file, "old", H5P_DEFAULT, H5P_DEFAULT) >= 0);
  const hid_t old = H5Dopen2(file, "old", H5P_DEFAULT);
  const hid_t type = H5Dget_type(old);
  const hsize_t shape[2] = {rows, example_session().devices.front().channels.size()};
  const hid_t space = H5Screate_simple(2, shape, nullptr);
  const hid_t table =
      H5Dcreate2(file, name.c_str(), type, space, H5P_DEFAULT, properties, H5P_DEFAULT);
  REQUIRE(table >= 0);
  for (const char* text :
       {"channel_names", "channel_units", "scale", "offset", "lowest", "highest"}) {
    const hid_t from = H5Aopen(old, text, H5P_DEFAULT);
    const hid_t kind = H5Aget_type(from);
    const hid_t extent = H5Aget_space(from);
    const hid_t to = H5Acreate2(table, text, kind, extent, H5P_DEFAULT, H5P_DEFAULT);
    std::vector<char> cells(static_cast<std::size_t>(H5Aget_storage_size(from)));
    REQUIRE(H5Aread(from, kind, cells.data()) >= 0);
    REQUIRE(H5Awrite(to, kind, cells.data()) >= 0);
    H5Aclose(to);
    H5Aclose(from);
  }
  H5Dclose(table);
  H5Dclose(old);
  H5Ldelete(file, "old", H5P_DEFAULT);
  H5Fclose(file);
}

std::string refusal_of(const std::filesystem::path& path) {
  const auto reader = session::Reader::open(path);
  return reader ? std::string() : reader.error().sentence();
}

bool holds(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("samples that lie in another file are not read as the session's", "[damage]") {
  const Folder folder;
  write_session(folder / "a.h5");
  CHECK(refusal_of(folder / "a.h5").empty());
  std::filesystem::copy_file(folder / "a.h5", folder / "b.h5");
  SECTION("by a link") {
    const hid_t file = H5Fopen((folder / "a.h5").c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    const std::string name = samples_name();
    REQUIRE(H5Ldelete(file, name.c_str(), H5P_DEFAULT) >= 0);
    REQUIRE(H5Lcreate_external("b.h5", name.c_str(), file, name.c_str(), H5P_DEFAULT,
                               H5P_DEFAULT) >= 0);
    H5Fclose(file);
    CHECK(holds(refusal_of(folder / "a.h5"), "is a link to somewhere else"));
  }
  SECTION("by a link of a whole part") {
    const hid_t file = H5Fopen((folder / "a.h5").c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    REQUIRE(H5Ldelete(file, "athlete", H5P_DEFAULT) >= 0);
    REQUIRE(H5Lcreate_external("b.h5", "athlete", file, "athlete", H5P_DEFAULT, H5P_DEFAULT) >= 0);
    H5Fclose(file);
    CHECK(holds(refusal_of(folder / "a.h5"), "'athlete' is a link to somewhere else"));
  }
  SECTION("by external storage, which need not be HDF5") {
    std::ofstream(folder / "secret.txt") << std::string(4096, 's');
    const hid_t properties = H5Pcreate(H5P_DATASET_CREATE);
    REQUIRE(H5Pset_external(properties, (folder / "secret.txt").c_str(), 0, 4096) >= 0);
    replace_samples(folder / "a.h5", properties, 4);
    H5Pclose(properties);
    CHECK(holds(refusal_of(folder / "a.h5"), "lie in another file"));
  }
  SECTION("nor a companion's tables") {
    REQUIRE(session::append_edit(folder / "a.h5", some_edit()));
    const auto companion = session::companion_path(folder / "a.h5");
    const hid_t file = H5Fopen(companion.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    REQUIRE(H5Ldelete(file, "edits", H5P_DEFAULT) >= 0);
    REQUIRE(H5Lcreate_external("b.h5", "edits", file, "edits", H5P_DEFAULT, H5P_DEFAULT) >= 0);
    H5Fclose(file);
    const auto edits = session::read_edits(folder / "a.h5");
    REQUIRE_FALSE(edits);
    CHECK(holds(edits.error().sentence(), "is a link to somewhere else"));
  }
}

TEST_CASE("samples that claim more than the file holds, or lie in crumbs, are refused",
          "[damage]") {
  const Folder folder;
  write_session(folder / "a.h5");
  const hsize_t channels = example_session().devices.front().channels.size();
  const hid_t properties = H5Pcreate(H5P_DATASET_CREATE);
  SECTION("10^12 rows of which none is there") {
    const hsize_t piece[2] = {1000, channels};
    H5Pset_chunk(properties, 2, piece);
    replace_samples(folder / "a.h5", properties, hsize_t{1'000'000'000'000});
    CHECK(holds(refusal_of(folder / "a.h5"), "more than the file holds"));
  }
  SECTION("a piece for each value") {
    const hsize_t piece[2] = {1, 1};
    H5Pset_chunk(properties, 2, piece);
    H5Pset_alloc_time(properties, H5D_ALLOC_TIME_EARLY);
    replace_samples(folder / "a.h5", properties, 70'000 / channels);
    CHECK(holds(refusal_of(folder / "a.h5"), "in pieces of 1 x 1 values"));
  }
  H5Pclose(properties);
}

TEST_CASE("a text longer than any session's is neither read nor written", "[damage]") {
  const Folder folder;
  write_session(folder / "a.h5");
  {
    const hid_t file = H5Fopen((folder / "a.h5").c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    const hid_t athlete = H5Gopen2(file, "athlete", H5P_DEFAULT);
    REQUIRE(H5Adelete(athlete, "name") >= 0);
    const hid_t type = H5Tcopy(H5T_C_S1);
    REQUIRE(H5Tset_size(type, 60'000) >= 0);
    const hid_t space = H5Screate(H5S_SCALAR);
    const hid_t name = H5Acreate2(athlete, "name", type, space, H5P_DEFAULT, H5P_DEFAULT);
    REQUIRE(name >= 0);
    const std::string text(60'000, 'x');
    REQUIRE(H5Awrite(name, type, text.data()) >= 0);
    H5Aclose(name);
    H5Gclose(athlete);
    H5Fclose(file);
  }
  CHECK(holds(refusal_of(folder / "a.h5"), "name is a text of 60000 bytes"));
  session::Session long_id = example_session();
  long_id.athlete.id.assign(100'000, 'i');
  const auto writer = session::Writer::create(folder / "b.h5", long_id);
  REQUIRE_FALSE(writer);
  CHECK(holds(writer.error().sentence(), "the athlete's id has 100000 bytes"));
  CHECK_FALSE(std::filesystem::exists(folder / "b.h5"));
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

TEST_CASE("an uncertainty that cannot be is named when a session is opened", "[damage]") {
  for (const double u : {-std::numeric_limits<double>::infinity(), -0.1, 1e300}) {
    const Folder folder;
    session::Session session = example_session();
    session.athlete.mass.u = u;
    {
      auto writer = session::Writer::create(folder / "a.h5", session);
      REQUIRE(writer);
      REQUIRE(writer->close());
    }
    const auto reader = session::Reader::open(folder / "a.h5");
    REQUIRE_FALSE(reader);
    CHECK(reader.error().sentence().find("mass_kg_u") != std::string::npos);
  }
}
