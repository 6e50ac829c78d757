// SPDX-License-Identifier: GPL-3.0-or-later
// Whether anything that leaves the lab with codes still tells who it is about.
#include <zlib.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "app/summary/pdf_tools.h"
#include "app/support/made_throw.h"
#include "app/support/run_command.h"
#include "core/session/edit_list.h"
#include "core/session/results.h"
#include "support/folder.h"

namespace {

namespace fs = std::filesystem;
using moundwork::support::Folder;
using moundwork::test::run_command;

struct Person {
  std::string file, id, name, born;
};
// No digits of the ids are ever those of a time of day, which a PDF file holds.
const Person mara{"quillon-recorded", "ZX-8787", "Mara-Li O'Quillon", "2009-11-23"};
const Person zan{"zanetti-recorded", "ZX-8798", "\u017dan \u201cBo\u201d Tarnovsk\u00fd",
                 "2010-02-17"};
constexpr const char* editor = "Tamsin Oakwright";
// Every part of them that tells who they are, as words and numbers of no other meaning here.
const std::vector<std::string> telling{
    "Mara",       "Quillon",   "quillon", "Tarnovsk",   "\u017dan",   "ZX-8787",
    "ZX-8798",    "8787",      "8798",    "2009-11-23", "23.11.2009", "11/23/2009",
    "2010-02-17", "17.2.2010", "Tamsin",  "Oakwright",  "zanetti"};

std::string contents(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

// Whatever in the bytes is a stream of zlib (RFC 1950), as in PDF files and HDF5 chunks, unpacked.
std::string unpacked(const std::string& bytes) {
  std::string all;
  for (std::size_t at = 0; at + 2 < bytes.size(); ++at) {
    const auto first = static_cast<unsigned char>(bytes[at]);
    const auto second = static_cast<unsigned char>(bytes[at + 1]);
    if (first != 0x78 || (first * 256 + second) % 31 != 0) continue;
    z_stream stream{};
    if (inflateInit(&stream) != Z_OK) continue;
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data() + at));
    stream.avail_in = static_cast<uInt>(bytes.size() - at);
    std::string piece(1 << 16, '\0');
    std::string text;
    int state = Z_OK;
    while (state == Z_OK) {
      stream.next_out = reinterpret_cast<Bytef*>(piece.data());
      stream.avail_out = static_cast<uInt>(piece.size());
      state = inflate(&stream, Z_NO_FLUSH);
      text.append(piece, 0, piece.size() - stream.avail_out);
    }
    inflateEnd(&stream);
    if (state == Z_STREAM_END) all += text;
  }
  return all;
}

// The same text as PDF's metadata hold it: UTF-16, big or little end first.
std::string utf16(const std::string& ascii, bool big) {
  std::string wide;
  for (const char c : ascii) wide += big ? std::string{'\0', c} : std::string{c, '\0'};
  return wide;
}

void check_tells_nobody(const std::string& where, const std::string& bytes) {
  for (const std::string& part : telling) {
    CAPTURE(where, part);
    CHECK(bytes.find(part) == std::string::npos);
    CHECK(bytes.find(utf16(part, true)) == std::string::npos);
    CHECK(bytes.find(utf16(part, false)) == std::string::npos);
  }
}

std::string run(const std::vector<std::string>& arguments) {
  const auto done = run_command(arguments);
  CAPTURE(done.err);
  REQUIRE(done.code == 0);
  return done.out;
}

moundwork::session::Edit edit(const std::string& action, const std::string& why) {
  moundwork::session::Edit one;
  one.when = "2026-05-04T10:00:00Z";
  one.who = editor;
  one.why = why;
  one.action = moundwork::session::action_from(action);
  return one;
}

// One analysed throw, with names wherever a person may type a text.
fs::path make_session(const Folder& folder, const Person& person) {
  const fs::path recording = folder / (person.file + ".c3d");
  moundwork::test::made_throw::write(recording);
  const fs::path session = folder / (person.file + ".h5");
  run({"import",
       "--c3d",
       recording.string(),
       "--out",
       session.string(),
       "--mass",
       "80kg",
       "--throws",
       "right",
       "--name",
       person.name,
       "--athlete",
       person.id,
       "--born",
       person.born,
       "--heel-marker",
       "HEEL",
       "--toe-marker",
       "TOE",
       "--release",
       "2.62s",
       "--back-plate",
       "1",
       "--lead-plate",
       "2"});
  run({"analyse", session.string()});
  const auto results = moundwork::session::read_results(session);
  REQUIRE(results);
  REQUIRE(results->throws.size() == 1);
  const double contact = moundwork::seconds(results->throws[0].contact);
  auto tag = edit("tag", "");
  tag.throw_contact = contact;
  tag.target = "seen by Tamsin";
  tag.text = "Mara\u2019s cue, \u201cTarnovsk\u00fd\u201d and Quillon";
  REQUIRE(moundwork::session::append_edit(session, tag));
  auto excluded = edit("exclude", "MARA-LI (ZX-8787, born 23.11.2009) hit \u017dAN; Oakwright saw");
  excluded.throw_contact = contact;
  REQUIRE(moundwork::session::append_edit(session, excluded));
  return session;
}

}  // namespace

TEST_CASE("pseudonymous: no byte of any file, nor its name, tells who it is about", "[app]") {
  const Folder folder;
  const std::string first = make_session(folder, mara).string();
  const std::string second = make_session(folder, zan).string();
  const std::string key = (folder / "lab.key").string();
  const std::string out = (folder / "out").string();
  const std::string exported =
      run({"export", first, second, "--out", out, "--format", "csv", "--format", "hdf5", "--format",
           "c3d", "--traces", "--pseudonymous", "--key", key, "--json"});
  const std::string summarised =
      run({"summarise", first, second, "--out", out, "--pseudonymous", "--key", key, "--json"});
  check_tells_nobody("what export prints", exported);
  check_tells_nobody("what summarise prints", summarised);
  int files = 0;
  int unpacked_files = 0;
  for (const auto& entry : fs::recursive_directory_iterator(out)) {
    if (!entry.is_regular_file()) continue;
    ++files;
    const std::string bytes = contents(entry.path());
    const std::string inner = unpacked(bytes);
    unpacked_files += inner.empty() ? 0 : 1;
    check_tells_nobody(entry.path().string(),
                       entry.path().filename().string() + '\n' + bytes + '\n' + inner);
    if (entry.path().extension() == ".pdf" && moundwork::test::pdf::can_read())
      check_tells_nobody(entry.path().string(),
                         moundwork::test::pdf::run("pdftotext", entry.path(), "-") +
                             moundwork::test::pdf::run("pdfinfo", entry.path()) +
                             moundwork::test::pdf::run("pdfinfo -meta", entry.path()));
  }
  // Five tables, HDF5, two C3D, four traces and their definitions; two pages and a cover, twice.
  CHECK(files == 19);
  CHECK(unpacked_files >= 4);  // three PDF files and the HDF5 tables
}

TEST_CASE("pseudonymous: the same look finds names where they are meant to stand", "[app]") {
  const Folder folder;
  const std::string first = make_session(folder, mara).string();
  const std::string out = (folder / "out").string();
  run({"export", first, "--out", out, "--format", "csv", "--format", "hdf5", "--format", "c3d"});
  run({"summarise", first, "--out", out});
  for (const auto& entry : fs::recursive_directory_iterator(out)) {
    const std::string extension = entry.path().extension().string();
    const std::string stem = entry.path().stem().string();
    if (extension == ".csv" && stem != "sessions" && stem != "throws") continue;
    if (!entry.is_regular_file()) continue;
    CAPTURE(entry.path());
    const std::string bytes = contents(entry.path());
    const std::string all = bytes + unpacked(bytes);
    CHECK((all.find("Quillon") != std::string::npos ||
           all.find(utf16("Quillon", true)) != std::string::npos));
  }
}
