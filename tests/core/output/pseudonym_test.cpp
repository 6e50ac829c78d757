// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/pseudonym.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <set>

#include "support/folder.h"

using moundwork::output::LabKey;
using moundwork::output::Pseudonyms;
using moundwork::session::Athlete;

namespace {

LabKey counting_key() {
  LabKey key;
  for (std::size_t i = 0; i < key.bytes.size(); ++i) key.bytes[i] = static_cast<unsigned char>(i);
  return key;
}

Athlete athlete(const std::string& id, const std::string& name, const std::string& born = "") {
  Athlete one;
  one.id = id;
  one.name = name;
  one.born = born;
  return one;
}

}  // namespace

TEST_CASE("codes are HMAC-SHA-256 of the id under the lab's key", "[output]") {
  const Pseudonyms pseudonyms(counting_key());
  // Python 3.11's hmac and hashlib, first 50 bits in Crockford's base 32.
  CHECK(pseudonyms.athlete_code(athlete("A-01", "Mara Quill")) == "P-0VSYP4CCEE");
  CHECK(pseudonyms.athlete_code(athlete("", "Mara Quill")) == "P-N1JPTBCZ9A");
  CHECK(pseudonyms.session_code("A-01") == "S-38WX8V6MKF");
}

TEST_CASE("codes stay with an id, differ between ids and between labs", "[output]") {
  const Pseudonyms here(counting_key());
  LabKey other_key = counting_key();
  other_key.bytes[31] ^= 1;
  const Pseudonyms elsewhere(other_key);
  std::set<std::string> codes;
  for (int i = 0; i < 1000; ++i) {
    const Athlete one = athlete("athlete " + std::to_string(i), "");
    codes.insert(here.athlete_code(one));
    codes.insert(elsewhere.athlete_code(one));
  }
  CHECK(codes.size() == 2000);
  CHECK(here.athlete_code(athlete("A-01", "Mara Quill")) ==
        here.athlete_code(athlete("A-01", "M. Quill-Tarn")));
}

TEST_CASE("a name goes whatever stands beside it", "[output]") {
  Pseudonyms pseudonyms(counting_key());
  const Athlete mara = athlete("A-01", "Mara Quill");
  const Athlete zan = athlete("A-02", "\u017dan Dvo\u0159\u00e1kov");
  const Athlete taro = athlete("A-03", "\u5c71\u7530\u3000\u592a\u90ce");
  const Athlete ada = athlete("A-04", "\u0410\u0434\u0430 \u041b\u0438\u0440\u043e\u0432");
  for (const Athlete& one : {mara, zan, taro, ada}) pseudonyms.know(one);
  const std::string m = pseudonyms.athlete_code(mara);
  const std::string z = pseudonyms.athlete_code(zan);
  const std::string t = pseudonyms.athlete_code(taro);
  const std::string a = pseudonyms.athlete_code(ada);
  // Quotes, apostrophes, dashes and blanks as keyboards and word processors set them.
  CHECK(pseudonyms.cleaned("Mara\u2019s foot") == m + "\u2019s foot");
  CHECK(pseudonyms.cleaned("\u201cMara\u201d\u2014Quill\u2026") ==
        "\u201c" + m + "\u201d\u2014" + m + "\u2026");
  CHECK(pseudonyms.cleaned("\u00abMara\u00bb\u00a0slipped") ==
        "\u00ab" + m + "\u00bb\u00a0slipped");
  CHECK(pseudonyms.cleaned("\u202eMara\u202c") == "\u202e" + m + "\u202c");
  // Capitals of other alphabets than Latin-1's.
  CHECK(pseudonyms.cleaned("\u017eAN, DVO\u0158\u00c1KOV") == z + ", " + z);
  CHECK(pseudonyms.cleaned("\u0410\u0414\u0410 slipped") == a + " slipped");
  // Scripts without blanks between words.
  CHECK(pseudonyms.cleaned("\u5c71\u7530\u3055\u3093\u306e\u8db3") ==
        t + "\u3055\u3093\u306e\u8db3");
  CHECK(pseudonyms.cleaned("Mara\u3055\u3093") == m + "\u3055\u3093");
  // A letter with its accent apart makes another word of it.
  CHECK(pseudonyms.cleaned("Mara\u0301") == "Mara\u0301");
  CHECK(pseudonyms.cleaned("\u017danka") == "\u017danka");
  // Bytes that are no UTF-8 neither break nor hide a name.
  CHECK(pseudonyms.cleaned("\xffMara\xc3") == "\xff" + m + "\xc3");
  CHECK(pseudonyms.cleaned("\xe5\xb1") == "\xe5\xb1");
}

TEST_CASE("names, ids and dates of birth go from free texts", "[output]") {
  Pseudonyms pseudonyms(counting_key());
  const Athlete mara = athlete("A-01", "Mara Quill", "2004-05-06");
  const Athlete jose = athlete("7", "Jos\xc3\xa9 \xc3\x81lamo");
  pseudonyms.know(mara);
  pseudonyms.know(jose);
  const std::string m = pseudonyms.athlete_code(mara);
  const std::string j = pseudonyms.athlete_code(jose);
  CHECK(pseudonyms.cleaned("Mara Quill slipped") == m + " slipped");
  CHECK(pseudonyms.cleaned("MARA's foot; quill, mara-quill") ==
        m + "'s foot; " + m + ", " + m + "-" + m);
  CHECK(pseudonyms.cleaned("coach of A-01 and JOS\xc3\x89") == "coach of " + m + " and " + j);
  CHECK(pseudonyms.cleaned("\xc3\xa1lamo") == j);
  CHECK(pseudonyms.cleaned("born 6.5.2004") == "born (date of birth)");
  CHECK(pseudonyms.cleaned("born 2004-05-06, 05/06/2004") ==
        "born (date of birth), (date of birth)");
  // Inside other words, and numbers as short as one on a back, it stays.
  CHECK(pseudonyms.cleaned("marathon, tranquill, throw 7") == "marathon, tranquill, throw 7");
  CHECK(pseudonyms.cleaned("").empty());

  const Athlete replaced = pseudonyms.replaced(mara);
  CHECK(replaced.id == m);
  CHECK(replaced.name == m);
  CHECK(replaced.born.empty());
}

TEST_CASE("a lab key is made once, for its owner's eyes", "[output]") {
  namespace fs = std::filesystem;
  using namespace moundwork::output;
  const moundwork::support::Folder folder;
  const fs::path path = folder / "config" / "lab.key";
  const auto made = read_or_make_lab_key(path);
  REQUIRE(made);
  CHECK(fs::status(path).permissions() == (fs::perms::owner_read | fs::perms::owner_write));
  const auto again = read_or_make_lab_key(path);
  REQUIRE(again);
  CHECK(again->bytes == made->bytes);
  CHECK(std::distance(fs::directory_iterator(path.parent_path()), {}) == 1);
  const auto other = read_or_make_lab_key(folder / "other.key");
  REQUIRE(other);
  CHECK(other->bytes != made->bytes);

  // A file that is no key stays as it is and is never replaced by a new one.
  for (const char* text : {"", "moundwork lab key 1\n", "moundwork lab key 1\n12zz\n", "notes\n"}) {
    std::ofstream(folder / "notes.txt") << text;
    const auto refused = read_or_make_lab_key(folder / "notes.txt");
    REQUIRE(!refused);
    CHECK(refused.error().sentence().find("notes.txt") != std::string::npos);
    CHECK(fs::file_size(folder / "notes.txt") == std::string_view(text).size());
  }
  CHECK(!read_lab_key(folder / "nothing"));
  CHECK(!read_or_make_lab_key("/proc/no-such-place/lab.key"));
}
