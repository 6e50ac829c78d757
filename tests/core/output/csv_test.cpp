// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/csv.h"

#include <catch2/catch.hpp>
#include <clocale>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <limits>
#include <locale>

#include "support/folder.h"

using namespace moundwork::output;

namespace {

std::string contents(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

class CommaNumbers : public std::numpunct<char> {
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

}  // namespace

TEST_CASE("time digits follow the rate", "[output]") {
  for (const double rate : {50.0, 250.0, 1000.0, 2000.0, 4800.0, 100000.0}) {
    const double rounding = 0.5 * std::pow(10.0, -time_digits(rate));
    CHECK(rounding <= 0.01 / rate * (1 + 1e-12));
    CHECK(10.0 * rounding > 0.01 / rate);  // and not more digits than that needs
  }
}

TEST_CASE("a table as text reads the same under every locale", "[output]") {
  Table table{"t",
              {{"who", "", "", std::vector<std::string>{"=cmd", "a, b"}},
               {"x", "N", "", std::vector<double>{-1234567.5, std::nan("")}},
               {"t", "s", "", std::vector<double>{0.0005, 1.0}, 5},
               {"n", "1", "", std::vector<std::int64_t>{1234567, -2}},
               {"out", "", "", std::vector<YesNo>{{true}, {false}}}}};
  const std::string expected =
      "who,x,t,n,out\r\n'=cmd,-1234567.5,0.00050,1234567,true\r\n\"a, b\",,1.00000,-2,false\r\n";
  const moundwork::support::Folder folder;
  const auto written = [&] {
    REQUIRE(write_csv(table, folder / "t.csv"));
    return contents(folder / "t.csv");
  };
  CHECK(written() == expected);

  const std::locale before;
  std::locale::global(std::locale(std::locale::classic(), new CommaNumbers));
  const std::string with_comma = written();
  std::locale::global(before);
  CHECK(with_comma == expected);

  // German as the C library has it, made here from the sources that Debian's `locales` brings.
  const std::string make =
      "localedef -i de_DE -f UTF-8 '" + (folder / "de_DE.UTF-8").string() + "' >/dev/null 2>&1";
  const int made = std::system(make.c_str());
  setenv("LOCPATH", folder.path().c_str(), 1);
  if (made != 0 || std::setlocale(LC_ALL, "de_DE.UTF-8") == nullptr) {
    WARN("SKIPPED: no German locale to be had (Debian: locales)");
  } else {
    const std::string point = std::localeconv()->decimal_point;
    const std::string in_german = written();
    std::setlocale(LC_ALL, "C");
    CHECK(point == ",");
    CHECK(in_german == expected);
  }
  unsetenv("LOCPATH");
}

TEST_CASE("a table that cannot be written is a sentence", "[output]") {
  const Table table{"t", {{"x", "N", "", std::vector<double>(100000, 1.5)}}};
  const auto full = write_csv(table, "/dev/full");
  REQUIRE(!full);
  CHECK(full.error().sentence().find("/dev/full") != std::string::npos);
  CHECK(!write_csv(table, "/proc/nowhere/t.csv"));
}
