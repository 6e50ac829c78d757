// SPDX-License-Identifier: GPL-3.0-or-later
// Expected values: what the text says, by RFC 4180 where it speaks.
#include "core/table/delimited.h"

#include <catch2/catch.hpp>
#include <clocale>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

using namespace moundwork;
using table::DelimitedOptions;
using table::DelimitedReader;

namespace {

Result<DelimitedReader> reader_of(const std::string& text, const DelimitedOptions& options = {}) {
  return DelimitedReader::make(std::make_unique<std::istringstream>(text), "made.csv", options);
}

Result<table::Rows> rows_of(const std::string& text, const DelimitedOptions& options = {}) {
  auto reader = reader_of(text, options);
  if (!reader) return tl::make_unexpected(reader.error());
  return reader->next(1000);
}

std::string refusal(const std::string& text, const DelimitedOptions& options = {}) {
  const auto rows = rows_of(text, options);
  return rows ? std::string("accepted") : rows.error().sentence();
}

DelimitedOptions no_header() {
  DelimitedOptions options;
  options.header_rows = 0;
  return options;
}

}  // namespace

TEST_CASE("each separator is found from the first line", "[table]") {
  for (const std::string separator : {",", ";", "\t"}) {
    INFO("separator '" << separator << "'");
    auto reader =
        reader_of("t" + separator + "Fz\n0" + separator + "1.5\n-1" + separator + "2e3\n");
    REQUIRE(reader);
    CHECK(reader->columns() == std::vector<std::string>{"t", "Fz"});
    const auto rows = reader->next(10);
    REQUIRE(rows);
    REQUIRE(rows->rows() == 2);
    CHECK((*rows)(0, 1) == 1.5);
    CHECK((*rows)(1, 0) == -1.0);
    CHECK((*rows)(1, 1) == 2000.0);
    CHECK(reader->next(10)->rows() == 0);
  }
}

TEST_CASE("a separator inside quotes does not count, and the set one does", "[table]") {
  auto reader = reader_of("\"t; s\",Fz\n1,2\n");
  REQUIRE(reader);
  CHECK(reader->columns() == std::vector<std::string>{"t; s", "Fz"});
  DelimitedOptions options;
  options.separator = ';';
  auto one_column = reader_of("t,s\n1\n", options);
  REQUIRE(one_column);
  CHECK(one_column->columns() == std::vector<std::string>{"t,s"});
}

TEST_CASE("quoted cells follow RFC 4180", "[table]") {
  // Section 2: rules 5 (quotes), 6 (line ends, separators inside) and 7 (doubled quotes).
  auto reader =
      reader_of("\"a\",\"b \"\"two\"\"\",\"c\nd\",\"e,f\"\r\n\"1\",\"-2\",\"\",4\r\n5,6,7,x\r\n");
  REQUIRE(reader);
  CHECK(reader->columns() == std::vector<std::string>{"a", "b \"two\"", "c\nd", "e,f"});
  const auto first = reader->next(1);
  REQUIRE(first);
  CHECK((*first)(0, 0) == 1.0);
  CHECK((*first)(0, 1) == -2.0);
  CHECK(std::isnan((*first)(0, 2)));
  CHECK((*first)(0, 3) == 4.0);
  // The header's quoted line end counts as a line.
  const auto second = reader->next(1);
  REQUIRE_FALSE(second);
  CHECK(second.error().where == "made.csv, line 4, column 4 (e,f)");
}

TEST_CASE("quotes inside a plain cell are only characters", "[table]") {
  auto reader = reader_of("5\"\"x,b\"c\n1,2\n");
  REQUIRE(reader);
  CHECK(reader->columns() == std::vector<std::string>{"5\"\"x", "b\"c"});
  CHECK(reader->next(10)->rows() == 1);
}

TEST_CASE("byte-order mark, blank lines, blanks and a missing last line end do no harm",
          "[table]") {
  auto reader = reader_of(
      "\xef\xbb\xbf"
      "\n t , Fz \r\n\r\n 1 , 2 \n\n3,4");
  REQUIRE(reader);
  CHECK(reader->columns() == std::vector<std::string>{"t", "Fz"});
  const auto rows = reader->next(10);
  REQUIRE(rows);
  REQUIRE(rows->rows() == 2);
  CHECK((*rows)(1, 1) == 4.0);
}

TEST_CASE("empty cells and nan are not numbers, infinity is refused", "[table]") {
  const auto rows = rows_of("a,b,c\n,NaN,1\n ,nan,\n");
  REQUIRE(rows);
  CHECK(std::isnan((*rows)(0, 0)));
  CHECK(std::isnan((*rows)(0, 1)));
  CHECK((*rows)(0, 2) == 1.0);
  CHECK(std::isnan((*rows)(1, 2)));
  CHECK(refusal("a\ninf\n").find("'inf' is not a number") != std::string::npos);
}

TEST_CASE("decimal commas are read where the separator leaves them free", "[table]") {
  const auto rows = rows_of("t;Fx\n0,5;-1,25e2\n1;+2,0\n");
  REQUIRE(rows);
  CHECK((*rows)(0, 0) == 0.5);
  CHECK((*rows)(0, 1) == -125.0);
  CHECK((*rows)(1, 1) == 2.0);
  SECTION("one file has one decimal mark") {
    CHECK(refusal("t;Fx\n0,5;1\n1;2.5\n") ==
          "made.csv, line 3, column 2 (Fx): '2.5' is not a number with a decimal comma.");
    CHECK(refusal("t;Fx\n0.5;1\n1;2,5\n").find("decimal point") != std::string::npos);
  }
  SECTION("thousands marks are not guessed at") {
    CHECK(refusal("t;Fx\n0;1.234,5\n").find("'1.234,5' is not a number") != std::string::npos);
  }
  SECTION("the mark can be set") {
    DelimitedOptions options;
    options.decimal = '.';
    CHECK(refusal("t\tFx\n1\t2,5\n", options).find("'2,5'") != std::string::npos);
    options.decimal = ',';
    CHECK(refusal("a,b\n1,2\n", options).find("decimal commas") != std::string::npos);
    options.separator = ',';
    CHECK(refusal("a,b\n1,2\n", options).find("both") != std::string::npos);
  }
}

TEST_CASE("numbers do not depend on the locale", "[table]") {
  // Where no such locale is installed this only checks the plain case again.
  const std::string before = std::setlocale(LC_NUMERIC, nullptr);
  (void)std::setlocale(LC_NUMERIC, "de_DE.UTF-8");
  const auto rows = rows_of("a,b\n1.5,2\n");
  (void)std::setlocale(LC_NUMERIC, before.c_str());
  REQUIRE(rows);
  CHECK((*rows)(0, 0) == 1.5);
}

TEST_CASE("what is no number is reported with its place", "[table]") {
  CHECK(refusal("t,Fz\n0,1\n1,twelve\n") ==
        "made.csv, line 3, column 2 (Fz): 'twelve' is not a number.");
  for (const char* cell :
       {"1x", "0x10", "1 2", "--1", "+-1", "+", "-", ".", "1e", "1.2.3", "e5", "N/A"}) {
    INFO(cell);
    CHECK(refusal(std::string("t\n") + cell + "\n").find("line 2, column 1 (t)") !=
          std::string::npos);
  }
  CHECK(refusal("t\n1e999\n").find("too large") != std::string::npos);
}

TEST_CASE("rows of another length are reported with their line", "[table]") {
  CHECK(refusal("a,b\n1,2\n\n3\n") == "made.csv, line 4: has 1 cells, where the first line has 2.");
  CHECK(refusal("a,b\n1,2,3\n").find("line 2: has 3 cells") != std::string::npos);
  CHECK(refusal("a,b\n1,2,\n").find("line 2: has 3 cells") != std::string::npos);
}

TEST_CASE("header rows are as many as said", "[table]") {
  SECTION("none") {
    auto reader = reader_of("1,2\n3,4\n", no_header());
    REQUIRE(reader);
    CHECK(reader->columns() == std::vector<std::string>{"1", "2"});
    const auto rows = reader->next(10);
    REQUIRE(rows);
    REQUIRE(rows->rows() == 2);
    CHECK((*rows)(0, 0) == 1.0);
  }
  SECTION("a second with units, after lines of another kind") {
    DelimitedOptions options;
    options.skip_lines = 2;
    options.header_rows = 2;
    auto reader = reader_of("recorded \"today\n1;2;3\nt,Fz\ns,N\n0,5\n", options);
    REQUIRE(reader);
    CHECK(reader->columns() == std::vector<std::string>{"t", "Fz"});
    CHECK((*reader->next(1))(0, 1) == 5.0);
    const auto refused = reader_of("a\nb\n", options);
    REQUIRE_FALSE(refused);
    options.skip_lines = 5;
    CHECK_FALSE(reader_of("a\nb\n", options));
  }
}

TEST_CASE("a column is found by its name", "[table]") {
  const auto reader = reader_of("t,Fz,Fz\n");
  REQUIRE(reader);
  CHECK(reader->column("t") == 0);
  CHECK(reader->column("Fy").error().what.find("t, Fz, Fz") != std::string::npos);
  CHECK(reader->column("Fz").error().what.find("several") != std::string::npos);
}

TEST_CASE("cells are given as text where a table holds more than numbers", "[table]") {
  auto reader = reader_of("id,v\n\"Doe, J\",1\nB,2\nC,3,4\n");
  REQUIRE(reader);
  const auto first = reader->next_text();
  REQUIRE(first);
  REQUIRE(first->has_value());
  CHECK((**first)[0] == "Doe, J");
  CHECK(reader->line() == 2);
  CHECK((**reader->next_text())[1] == "2");
  CHECK(reader->next_text().error().where == "made.csv, line 4");
  CHECK_FALSE(reader->next_text()->has_value());
}

TEST_CASE("files that are no text are refused", "[table]") {
  CHECK(refusal("").find("no rows") != std::string::npos);
  CHECK(refusal("\n\n").find("no rows") != std::string::npos);
  CHECK(refusal(std::string("\xff\xfe"
                            "a\0",
                            4))
            .find("UTF-16") != std::string::npos);
  CHECK(refusal(std::string("a,b\n1,\0\n", 8)).find("line 2: holds a zero byte") !=
        std::string::npos);
  CHECK(refusal("a,b\n1,\"2\n").find("closing quote is missing") != std::string::npos);
  CHECK(refusal("a,b\n1,\"2\"3\n").find("text after a closing quote") != std::string::npos);
  CHECK(refusal("\"" + std::string(3 << 20, 'x')).find("longer than") != std::string::npos);
  CHECK(refusal(std::string(5000, ',') + "\n").find("4096") != std::string::npos);
  CHECK_FALSE(DelimitedReader::open(std::filesystem::temp_directory_path()));
  CHECK_FALSE(DelimitedReader::open("no-such-table.csv"));
}

TEST_CASE("blocks join up whatever their size and wherever the buffer ends", "[table]") {
  // Rows of 3 to 17 bytes over several buffers, with quotes and both line ends.
  std::string text = "n,square\n";
  constexpr int count = 20000;
  for (int i = 0; i < count; ++i)
    text += (i % 3 == 0 ? "\"" + std::to_string(i) + "\"" : std::to_string(i)) + "," +
            std::to_string(i % 1000 * (i % 1000)) + (i % 2 == 0 ? "\r\n" : "\n");
  for (const Eigen::Index block : {1, 7, 4096, 100000}) {
    auto reader = reader_of(text);
    REQUIRE(reader);
    std::int64_t seen = 0;
    bool right = true;
    while (true) {
      const auto rows = reader->next(block);
      REQUIRE(rows);
      if (rows->rows() == 0) break;
      for (Eigen::Index i = 0; i < rows->rows(); ++i, ++seen)
        right = right && (*rows)(i, 0) == static_cast<double>(seen) &&
                (*rows)(i, 1) == static_cast<double>((seen % 1000) * (seen % 1000));
    }
    CHECK(right);
    CHECK(seen == count);
  }
}

TEST_CASE("a whole table is read from a file", "[table]") {
  const auto path = std::filesystem::temp_directory_path() / "moundwork-delimited-test.csv";
  { std::ofstream(path) << "a,b\n1,2\n3,4\n5,6\n"; }
  const auto table = table::read_table(path);
  std::filesystem::remove(path);
  REQUIRE(table);
  CHECK(table->columns == std::vector<std::string>{"a", "b"});
  REQUIRE(table->values.rows() == 3);
  CHECK(table->values(2, 1) == 6.0);
}

TEST_CASE("text cut anywhere or with any byte changed is read or refused", "[table][garbage]") {
  const std::vector<std::string> samples{
      "t;Fx;Fz\r\n0,000;1,5;\r\n\"0,001\";-2,5;700,25\r\n",
      "\xef\xbb\xbf\"t, s\",\"said \"\"Fz\"\"\"\n\"0\",\"1\"\n1,nan\n"};
  for (const std::string& sample : samples) {
    std::size_t refused = 0;
    for (std::size_t length = 0; length <= sample.size(); ++length)
      if (!rows_of(sample.substr(0, length))) ++refused;
    std::string changed = sample;
    for (std::size_t at = 0; at < sample.size(); ++at) {
      for (int value = 0; value < 256; ++value) {
        changed[at] = static_cast<char>(value);
        const auto rows = rows_of(changed);
        if (rows) continue;
        ++refused;
        if (rows.error().what.empty()) FAIL("an error without a sentence");
      }
      changed[at] = sample[at];
    }
    CHECK(refused > 0);
  }
}
