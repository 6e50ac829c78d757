// SPDX-License-Identifier: GPL-3.0-or-later
// A recording of version 0.1 that was killed after three seconds, of two invented devices whose
// value c of row r is 64 r + c: it says nothing of the disk and has no check sums.
#include <catch2/catch.hpp>
#include <filesystem>

#include "core/session/reader.h"
#include "support/folder.h"

using namespace moundwork;

TEST_CASE("a killed recording of version 0.1 is read as it was", "[session][version 0.1]") {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  std::filesystem::copy_file(std::filesystem::path(MOUNDWORK_DOCS).parent_path() / "tests" /
                                 "data" / "version-0.1" / "killed-recording.h5",
                             path);
  const auto reader = session::Reader::open(path);
  if (!reader) FAIL(reader.error().sentence());
  CHECK(reader->session().athlete.id == "A01");
  REQUIRE(reader->session().devices.size() == 2);
  for (const int device : {0, 1}) {
    const auto blocks = reader->blocks(device);
    REQUIRE(blocks);
    REQUIRE_FALSE(blocks->empty());
    const Eigen::Index count = reader->sample_count(device);
    CHECK(count > 250);  // of 300
    session::RawTable<std::int32_t> rows;
    REQUIRE(reader->read(device, 0, count, rows));
    for (std::size_t b = 0; b < blocks->size(); ++b) {
      const session::Block& block = (*blocks)[b];
      const Eigen::Index end =
          b + 1 < blocks->size() ? (*blocks)[b + 1].first_sample : std::int64_t{count};
      for (Eigen::Index r = block.first_sample; r < end; ++r)
        CHECK(rows(r, 5) ==
              64 * (static_cast<std::int64_t>(block.ticks) + r - block.first_sample) + 5);
    }
  }
}
