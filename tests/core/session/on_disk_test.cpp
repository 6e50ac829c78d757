// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/on_disk.h"

#include <catch2/catch.hpp>
#include <cstring>
#include <fstream>
#include <iterator>
#include <string>
#include <utility>

#include "core/session/check_sum.h"
#include "core/session/hdf5_lock.h"
#include "core/session/reader.h"
#include "core/session/reliable_rows.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using support::example_session;
using support::Folder;

namespace {

constexpr std::int32_t mark = 0x5A5A0000;  // in no description

std::string bytes_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

void put(const std::filesystem::path& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

// Block b of device 0 has ten rows, all of whose cells hold mark + b.
void append_block(session::Writer& writer, int b, std::size_t channels) {
  const std::vector<std::int32_t> raw(10 * channels, mark + b);
  REQUIRE(writer.append(0, {10 * b, DeviceTicks{1000 * b}, session_time(0.1 * b + 0.1), 0},
                        std::span(raw)));
  REQUIRE(writer.append({session_time(0.1 * b + 0.15), 30.0 + b, 1, "R"}));
}

/// A recording of ten blocks and readings, of which the disk confirmed four; as a kill leaves it.
std::filesystem::path recording(const Folder& folder) {
  const auto path = folder / "session.h5";
  const session::Session session = example_session();
  const std::size_t channels = session.devices[0].channels.size();
  auto writer = session::Writer::create(path, session, {0, false});
  REQUIRE(writer);
  auto disk = writer->forced_file();
  REQUIRE(disk);
  for (int b = 0; b < 4; ++b) append_block(*writer, b, channels);
  REQUIRE(writer->flush());
  REQUIRE(disk->force());
  REQUIRE(disk->note(writer->rows()));
  for (int b = 4; b < 10; ++b) append_block(*writer, b, channels);
  REQUIRE(writer->flush());
  put(folder / "killed.h5", bytes_of(path));
  REQUIRE(writer->close());
  return folder / "killed.h5";
}

/// As a power cut leaves it whose disk never got the page with the samples of block `b`.
void lose_samples(const std::filesystem::path& path, int b) {
  std::string bytes = bytes_of(path);
  const std::int32_t cell = mark + b;
  std::string sought(sizeof cell, '\0');
  std::memcpy(sought.data(), &cell, sizeof cell);
  std::size_t lost = 0;
  for (std::size_t at = bytes.find(sought); at != std::string::npos; at = bytes.find(sought, at)) {
    std::memset(bytes.data() + at, 0, sizeof cell);
    ++lost;
  }
  REQUIRE(lost >= 10);
  put(path, bytes);
}

/// A recording that has just begun, and what sees to its disk.
struct Begun {
  Folder folder;
  std::filesystem::path path = folder / "session.h5";
  session::Session session = example_session();
  session::Writer writer = begin();
  session::ForcedFile disk = writer.forced_file().value();

 private:
  [[nodiscard]] session::Writer begin() const {
    return std::move(session::Writer::create(path, session, {0, false}).value());
  }
};

struct Held {
  Eigen::Index samples;
  std::size_t blocks, readings;
};
Held held_by(const std::filesystem::path& path) {
  const auto reader = session::Reader::open(path);
  if (!reader) FAIL(reader.error().sentence());
  const auto blocks = reader->blocks(0);
  const auto readings = reader->radar_readings();
  REQUIRE(blocks);
  REQUIRE(readings);
  session::RawTable<std::int32_t> rows;
  REQUIRE(reader->read(0, 0, reader->sample_count(0), rows));
  for (Eigen::Index r = 0; r < rows.rows(); ++r) CHECK(rows(r, 0) == mark + r / 10);
  return {reader->sample_count(0), blocks->size(), readings->size()};
}

}  // namespace

TEST_CASE("the check sum is the standard's", "[session][on disk]") {
  // The check value of CRC-32 in ITU-T V.42's form, of the nine digits: published with the
  // polynomial everywhere (from memory).
  const std::string digits = "123456789";
  CHECK(session::check_sum({std::as_bytes(std::span(digits))}) == 0xCBF43926U);
  const auto bytes = std::as_bytes(std::span(digits));
  CHECK(session::check_sum({bytes.first(4), bytes.subspan(4)}) == 0xCBF43926U);
  const std::string zeros(4096, '\0');
  CHECK(session::check_sum({std::as_bytes(std::span(zeros))}) != 0);
}

TEST_CASE("after a kill every row that was flushed is there", "[session][on disk]") {
  const Folder folder;
  const auto path = recording(folder);
  const Held held = held_by(path);
  CHECK(held.samples == 100);
  CHECK(held.blocks == 10);
  CHECK(held.readings == 10);
}

TEST_CASE("after a power cut rows are shown up to the last that can be relied on",
          "[session][on disk]") {
  const Folder folder;
  const auto path = recording(folder);
  const int lost = GENERATE(4, 7, 9);
  CAPTURE(lost);
  lose_samples(path, lost);
  const Held held = held_by(path);
  CHECK(held.samples == 10 * lost);
  CHECK(held.blocks == static_cast<std::size_t>(lost));
}

TEST_CASE("a reading that did not reach the disk is not shown", "[session][on disk]") {
  const Folder folder;
  const auto path = recording(folder);
  std::string bytes = bytes_of(path);
  const double speed = 36.0;  // of the reading with block 6
  std::string sought(sizeof speed, '\0');
  std::memcpy(sought.data(), &speed, sizeof speed);
  const std::size_t at = bytes.find(sought);
  REQUIRE(at != std::string::npos);
  std::memset(bytes.data() + at, 0, sizeof speed);
  put(path, bytes);
  CHECK(held_by(path).readings == 6);
}

TEST_CASE("a count that was cut short leaves the one before it", "[session][on disk]") {
  Begun begun;
  const auto counted = [&] {
    const auto held = session::hdf5::hold_library();
    const auto bytes = bytes_of(begun.path);
    put(begun.folder / "copy.h5", bytes);
    return session::on_disk::read(session::hdf5::open_to_read(begun.folder / "copy.h5")).value();
  };
  const std::vector<std::int64_t> none(session::on_disk::tables_of(begun.session).size(), 0);
  CHECK(counted() == none);
  std::vector<std::int64_t> first = none, second = none;
  first[0] = 1234567;
  second[0] = 2345678;
  REQUIRE(begun.disk.note(first));
  CHECK(counted() == first);
  REQUIRE(begun.disk.note(second));
  CHECK(counted() == second);
  std::string bytes = bytes_of(begun.path);
  std::string sought(sizeof(std::int64_t), '\0');
  std::memcpy(sought.data(), second.data(), sizeof(std::int64_t));
  const std::size_t at = bytes.find(sought);
  REQUIRE(at != std::string::npos);
  bytes[at] = 0;
  put(begun.path, bytes);
  CHECK(counted() == first);
}

TEST_CASE("a recording that was closed shows all its rows", "[session][on disk]") {
  const Folder folder;
  (void)recording(folder);
  const Held held = held_by(folder / "session.h5");
  CHECK(held.samples == 100);
  CHECK(held.readings == 10);
}

TEST_CASE("a count beyond the tables is refused in words", "[session][on disk]") {
  Begun begun;
  std::vector<std::int64_t> rows(session::on_disk::tables_of(begun.session).size(), 0);
  rows[0] = GENERATE(std::int64_t{1} << 60, std::int64_t{-1});
  REQUIRE(begun.disk.note(rows));
  REQUIRE(begun.writer.close());
  const auto reader = session::Reader::open(begun.path);
  REQUIRE_FALSE(reader);
  CHECK(reader.error().sentence().find("that are said to be on the disk") != std::string::npos);
}

TEST_CASE("what is done to a recording's file is seen", "[session][on disk]") {
  const Folder folder;
  const auto path = folder / "session.h5";
  auto writer = session::Writer::create(path, example_session(), {0, false});
  REQUIRE(writer);
  auto disk = writer->forced_file();
  REQUIRE(disk);
  REQUIRE(disk->note(writer->rows()));
  CHECK_FALSE(disk->loss());
  SECTION("deleted") {
    std::filesystem::remove(path);
    CHECK(disk->loss() == session::FileLoss::deleted);
  }
  SECTION("renamed") {
    std::filesystem::rename(path, folder / "other.h5");
    CHECK(disk->loss() == session::FileLoss::moved);
  }
  SECTION("another file under its name") {
    std::filesystem::rename(path, folder / "other.h5");
    put(path, "another");
    CHECK(disk->loss() == session::FileLoss::moved);
  }
  SECTION("cut short") {
    std::filesystem::resize_file(path, std::filesystem::file_size(path) - 1);
    CHECK(disk->loss() == session::FileLoss::spoilt);
  }
  SECTION("cut short and grown again at once") {
    const auto size = std::filesystem::file_size(path);
    std::ofstream(path, std::ios::binary).close();
    std::filesystem::resize_file(path, size + 1);
    CHECK(disk->loss() == session::FileLoss::spoilt);
  }
  SECTION("overwritten in place") {
    std::fstream file(path, std::ios::in | std::ios::out | std::ios::binary);
    file << std::string(std::filesystem::file_size(path), 'x');
    file.close();
    CHECK(disk->loss() == session::FileLoss::spoilt);
  }
  // Lets go of it whatever became of it; the process ends well, too.
  writer->abandon();
}

TEST_CASE("a table that claims to be full of zeros without end is no work", "[session][on disk]") {
  // Blocks of a million rows each, of which the file has none: their sums are those of zeros.
  const Folder folder;
  const auto path = folder / "session.h5";
  const session::Session session = example_session();
  auto writer = session::Writer::create(path, session, {0, false});
  REQUIRE(writer);
  REQUIRE(writer->close());
  const std::size_t cells = session.devices[0].channels.size();
  constexpr hsize_t rows = 1'000'000, blocks = 500;
  {
    const auto held = session::hdf5::hold_library();
    H5::H5File file(path.string(), H5F_ACC_RDWR);
    const H5::Group device = file.openGroup("devices/" + session.devices[0].name);
    H5::DataSet samples = device.openDataSet("samples"), table = device.openDataSet("blocks");
    const hsize_t shape[2] = {rows * blocks, cells};
    samples.extend(shape);
    const std::vector<std::byte> zeros(rows * cells * sizeof(std::int32_t));
    std::vector<session::schema::BlockRow> made;
    for (hsize_t b = 0; b < blocks; ++b) {
      session::schema::BlockRow row{static_cast<std::int64_t>(b * rows),
                                    static_cast<std::int64_t>(b), 0.1 * static_cast<double>(b), 0,
                                    0};
      if (b < 2) row.check = session::reliable::sum_of(row, zeros);
      made.push_back(row);
    }
    session::hdf5::append_rows(table, session::schema::block_type(), made.data(), blocks);
  }
  const auto reader = session::Reader::open(path);
  REQUIRE(reader);
  CHECK(reader->sample_count(0) == 0);
}
