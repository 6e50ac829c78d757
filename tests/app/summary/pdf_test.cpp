// SPDX-License-Identifier: GPL-3.0-or-later
// Pages on paper, read back by another program.
#include "app/summary/pdf.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <regex>

#include "app/summary/pdf_tools.h"
#include "core/summary/support.h"
#include "support/folder.h"
#include "support/number.h"

using namespace moundwork;
using namespace moundwork::summary;
using namespace moundwork::summary_support;
using moundwork::support::Folder;
namespace pdf = moundwork::test::pdf;

namespace {

Source source_with_traces(int throws) {
  Source source = made_source(throws);
  source.traces = made_traces(throws);
  return source;
}

bool holds(const std::string& text, const std::string& part) {
  CAPTURE(text, part);
  return text.find(part) != std::string::npos;
}

// The other program takes a word's own hyphen at a line's end for one that only broke the word.
std::string without_hyphens(std::string text) {
  std::erase(text, '-');
  return text;
}

// One page, every word of it on the paper, every font in the file.
void check_page(const std::filesystem::path& path, double width, double height) {
  const std::string info = pdf::run("pdfinfo", path);
  CAPTURE(info);
  CHECK(std::regex_search(info, std::regex("Pages: +1\n")));
  const std::string boxes = pdf::run("pdftotext -bbox", path, "-");
  const std::regex word(
      "<word xMin=\"([-0-9.]+)\" yMin=\"([-0-9.]+)\" xMax=\"([-0-9.]+)\" yMax=\"([-0-9.]+)\"");
  int words = 0;
  for (std::sregex_iterator one(boxes.begin(), boxes.end(), word), end; one != end; ++one) {
    ++words;
    CHECK(support::number_of((*one)[1].str()) > 0.0);
    CHECK(support::number_of((*one)[2].str()) > 0.0);
    CHECK(support::number_of((*one)[3].str()) < width);
    CHECK(support::number_of((*one)[4].str()) < height);
  }
  CHECK(words > 100);
  const std::string fonts = pdf::run("pdffonts", path);
  CAPTURE(fonts);
  const std::regex font("(yes|no) +(yes|no) +(yes|no) +[0-9]+ +[0-9]+\n");
  int embedded = 0;
  for (std::sregex_iterator one(fonts.begin(), fonts.end(), font), end; one != end; ++one) {
    CHECK((*one)[1] == "yes");  // embedded
    CHECK((*one)[3] == "yes");  // with its letters' names
    ++embedded;
  }
  CHECK(embedded >= 2);
}

// ISO 216 A4 and ANSI letter in points of 1/72 in.
constexpr double a4_width = 210.0 / 25.4 * 72.0, a4_height = 297.0 / 25.4 * 72.0;
constexpr double letter_width = 8.5 * 72.0, letter_height = 11.0 * 72.0;

}  // namespace

TEST_CASE("A page's text is real: another program reads every part of it", "[summary]") {
  if (!pdf::can_read()) return;
  const Folder folder;
  const Summary summary = summarise(source_with_traces(12), {});
  REQUIRE(write_pdf(summary, folder / "page.pdf", Paper::a4));
  check_page(folder / "page.pdf", a4_width, a4_height);
  CHECK(holds(pdf::run("pdfinfo", folder / "page.pdf"), "(A4)"));
  const std::string text = pdf::words(pdf::run("pdftotext", folder / "page.pdf", "-"));
  for (const std::string part :
       {"Ottilie Quernmoor", "left-hander", "4 May 2026, 08:30", "Ball speed", "Lead-foot braking",
        "lead contact", "toe 100", "lead foot brakes", "The five numbers",
        "Not measured, or in doubt"})
    CHECK(holds(text, part));
  for (const auto& caution : summary.cautions)
    CHECK(holds(without_hyphens(text), without_hyphens(caution)));
  CHECK(holds(text, summary.numbers[0].value));
  // No ligature stands for two letters.
  for (const char* ligature : {"ﬁ", "ﬂ", "ﬀ"}) CHECK_FALSE(holds(text, ligature));
}

TEST_CASE("Letter paper holds the same page", "[summary]") {
  if (!pdf::can_read()) return;
  const Folder folder;
  REQUIRE(write_pdf(summarise(source_with_traces(12), {}), folder / "page.pdf", Paper::letter));
  check_page(folder / "page.pdf", letter_width, letter_height);
  CHECK(holds(pdf::run("pdfinfo", folder / "page.pdf"), "(letter)"));
}

TEST_CASE("It stays one page, and the cautions stand whole, whatever there is to say",
          "[summary]") {
  if (!pdf::can_read()) return;
  const Folder folder;
  std::vector<std::pair<const char*, Summary>> pages;

  Source crowded = source_with_traces(120);
  crowded.session.athlete.name =
      "Maximiliana-Konstantinopolitanszky Featherstonehaugh-Wollstonecraft von Oberunterwasser";
  crowded.session.athlete.id = std::string(90, 'W');
  crowded.session.conditions.surface = std::string(200, 'm');
  for (int i = 1; i <= 120; ++i)
    for (int k = 0; k < 30; ++k)
      crowded.analysed.results.throws[static_cast<std::size_t>(i - 1)].flags.push_back(
          {"new_" + std::to_string(k), "a doubt of its own kind, number " + std::to_string(k) +
                                           ", that has a long and winding sentence to itself"});
  for (int i = 1; i <= 40; ++i)
    crowded.analysed.edits.push_back(
        edit(20.0 * i, "exclude", "a reason of some length for throw " + std::to_string(i)));
  crowded.counted = counted_throws(crowded.analysed.results, crowded.analysed.edits);
  Context context;
  context.sessions = {made_source(9, "s0", "2026-03-02T10:00:00Z").analysed};
  context.sessions.front().athlete = crowded.session.athlete;
  crowded.analysed.athlete = crowded.session.athlete;
  context.pitch_counts.source = std::string(80, 'S') + " " + std::string(79, 's');
  context.pitch_counts.note = std::string(80, 'N') + " " + std::string(79, 'n');
  context.software = "Moundwork";
  pages.emplace_back("crowded", summarise(crowded, context));

  Source bare = made_source(1);
  bare.session.athlete = {"", "", session::Hand::right, {}, {}, ""};
  bare.session.started.clear();
  bare.session.conditions = {};
  bare.session.foot_line.reset();
  bare.analysed.results.throws[0].quantities.clear();
  bare.counted = counted_throws(bare.analysed.results, {});
  pages.emplace_back("bare", summarise(bare, {}));
  pages.emplace_back("single", summarise(source_with_traces(1), {}));
  Source none = made_source(1);
  none.counted.throws.clear();
  pages.emplace_back("none", summarise(none, {}));

  for (const auto& [name, summary] : pages)
    for (const Paper paper : {Paper::a4, Paper::letter}) {
      CAPTURE(name, static_cast<int>(paper));
      const auto path = folder / (std::string(name) + ".pdf");
      REQUIRE(write_pdf(summary, path, paper));
      check_page(path, paper == Paper::a4 ? a4_width : letter_width,
                 paper == Paper::a4 ? a4_height : letter_height);
      const std::string text = pdf::words(pdf::run("pdftotext", path, "-"));
      for (const auto& caution : summary.cautions)
        // A word longer than its line is broken there.
        if (caution.find("SSSS") == std::string::npos)
          CHECK(holds(without_hyphens(text), without_hyphens(caution)));
    }
  CHECK(holds(pdf::words(pdf::run("pdftotext", folder / "crowded.pdf", "-")), " more."));
  CHECK(holds(pdf::words(pdf::run("pdftotext", folder / "crowded.pdf", "-")), "Oberunterwasser"));
}

TEST_CASE("A cover sheet goes on as long as there are athletes", "[summary]") {
  if (!pdf::can_read()) return;
  const Folder folder;
  std::vector<Summary> summaries;
  for (int i = 0; i < 70; ++i) {
    summaries.push_back(summarise(made_source(2), {}));
    summaries.back().who = "Athlete " + std::to_string(i + 100);
  }
  REQUIRE(write_pdf(cover_of(summaries, {"x.h5: has not been analysed."}, true, "Moundwork"),
                    folder / "cover.pdf", Paper::letter));
  const std::string text = pdf::words(pdf::run("pdftotext", folder / "cover.pdf", "-"));
  for (int i = 0; i < 70; ++i) CHECK(holds(text, "Athlete " + std::to_string(i + 100)));
  CHECK(holds(text, "x.h5: has not been analysed."));
}

TEST_CASE("What cannot be written is told in a sentence", "[summary]") {
  const Folder folder;
  const auto done = write_pdf(summarise(made_source(2), {}), folder / "no" / "page.pdf", Paper::a4);
  REQUIRE_FALSE(done);
  CHECK(holds(done.error().sentence(), "page.pdf"));
  // A disk without room for a byte.
  const auto full = write_pdf(summarise(made_source(2), {}), "/dev/full", Paper::a4);
  REQUIRE_FALSE(full);
}
