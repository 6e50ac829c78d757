// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/delimited_lines.h"

#include <catch2/catch.hpp>
#include <clocale>
#include <string>

using namespace moundwork::drivers;

namespace {

struct Row {
  std::optional<std::uint64_t> count;
  std::int64_t lost;
  std::vector<double> values;
};

std::vector<Row> receive(DelimitedLinesCodec& codec, const std::string& text,
                         std::size_t piece = 1000) {
  std::vector<Row> rows;
  for (std::size_t at = 0; at < text.size(); at += piece) {
    const std::string part = text.substr(at, piece);
    codec.push(
        {reinterpret_cast<const std::uint8_t*>(part.data()), part.size()},
        [&](const DecodedSamples& samples) {
          rows.push_back(
              {samples.count, samples.lost_before, {samples.values.begin(), samples.values.end()}});
        });
  }
  return rows;
}

LineFormat counted() {
  LineFormat format;
  format.fields = 4;
  format.channels = {3, 1};
  format.counter = 0;
  format.counter_bits = 16;
  return format;
}

}  // namespace

TEST_CASE("lines are read into channel order with their counter", "[codec]") {
  const std::string text = "junk\n7,10,x,-20\r\n8, +11 ,y,-21\r9,12,,-22\n";
  for (std::size_t piece = 1; piece <= text.size(); ++piece) {
    DelimitedLinesCodec codec(counted());
    const auto rows = receive(codec, text, piece);
    REQUIRE(rows.size() == 3);
    CHECK(rows[0].count == 7);
    CHECK(rows[0].values == std::vector<double>{-20, 10});
    CHECK(rows[1].values == std::vector<double>{-21, 11});
    CHECK(rows[2].count == 9);
    CHECK(codec.counts().accepted == 3);
    CHECK(codec.counts().malformed == 0);
    CHECK(codec.counts().skipped_bytes == 4);
  }
}

TEST_CASE("lines that are not rows are counted and never used", "[codec]") {
  for (const std::string line :
       {"8,11,y", "8,11,y,-21,5", "8,1.5,y,-21", "8,eleven,y,2", "8,,y,-21", "-8,11,y,-21",
        "70000,11,y,-21", "8,99999999999,y,1", "8,11,y,2a", "8,11,y,+-2"}) {
    CAPTURE(line);
    DelimitedLinesCodec codec(counted());
    const auto rows = receive(codec, "0\n7,1,x,2\n" + line + "\n9,3,x,4\n");
    REQUIRE(rows.size() == 2);
    CHECK(rows[1].values == std::vector<double>{4, 3});
    CHECK(codec.counts().malformed == 1);
  }
  DelimitedLinesCodec codec(counted());
  const auto rows = receive(codec, "0\n" + std::string(50000, '1') + "\n9,3,x,4\n");
  CHECK(rows.size() == 1);
  CHECK(codec.counts().malformed == 1);
}

TEST_CASE("decimal samples keep the dot in any locale and refuse what is no number", "[codec]") {
  LineFormat format;
  format.delimiter = ' ';
  format.fields = 2;
  format.channels = {0, 1};
  format.integers = false;
  DelimitedLinesCodec codec(format);
  const std::string before = std::setlocale(LC_ALL, nullptr);
  if (std::setlocale(LC_ALL, "de_DE.UTF-8") == nullptr)
    WARN("SKIPPED: no locale with a decimal comma is installed; only the C locale was tried");
  const auto rows = receive(codec, "0\n 1.25   -3e-2\nnan 1\ninf 2\n1,5 2\n2.5\t4\n");
  (void)std::setlocale(LC_ALL, before.c_str());
  REQUIRE(rows.size() == 2);
  CHECK(rows[0].values == std::vector<double>{1.25, -0.03});
  CHECK(rows[1].values == std::vector<double>{2.5, 4.0});
  // Without a counter each unreadable line is a row known to be lost.
  CHECK_FALSE(rows[1].count);
  CHECK(rows[1].lost == 3);
  CHECK(codec.counts().malformed == 3);
}

TEST_CASE("a format that contradicts itself is refused", "[codec]") {
  LineFormat outside = counted();
  outside.channels = {4};
  CHECK_THROWS_AS(DelimitedLinesCodec(outside), std::invalid_argument);
  LineFormat none = counted();
  none.channels.clear();
  CHECK_THROWS_AS(DelimitedLinesCodec(none), std::invalid_argument);
}
