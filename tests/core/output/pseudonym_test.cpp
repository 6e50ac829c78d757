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
  // An accent more is a way of typing, and goes with its letter.
  CHECK(pseudonyms.cleaned("Mara\u0301") == m);
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

TEST_CASE("a name goes in every way of typing its letters", "[output]") {
  Pseudonyms pseudonyms(counting_key());
  const Athlete zoe = athlete("A-01", "Zo\u00eb K\u00f6nigsmark");
  const Athlete thi = athlete("A-02", "Nguy\u1ec5n \u0110\u00f4ng");
  const Athlete weiss = athlete("A-03", "Wei\u00dfm\u00fcller");
  const Athlete isik = athlete("A-04", "\u0130lkim I\u015f\u0131k");
  const Athlete sol = athlete("A-05", "S\u00f8lvi \u0141ask");
  for (const Athlete& one : {zoe, thi, weiss, isik, sol}) pseudonyms.know(one);
  const auto code = [&](const Athlete& one) { return pseudonyms.athlete_code(one); };
  // The accent as a character of its own (Unicode Standard Annex 15: NFC and NFD are one text).
  CHECK(pseudonyms.cleaned("Zoe\u0308 Ko\u0308nigsmark limped") == code(zoe) + " limped");
  // Without it, and spelt out.
  CHECK(pseudonyms.cleaned("Zoe, KONIGSMARK, Koenigsmark") ==
        code(zoe) + ", " + code(zoe) + ", " + code(zoe));
  // Capitals of the whole of Latin.
  CHECK(pseudonyms.cleaned("NGUY\u1ec4N") == code(thi));
  CHECK(pseudonyms.cleaned("nguyen dong") == code(thi));
  CHECK(pseudonyms.cleaned("WEISSM\u00dcLLER") == code(weiss));
  CHECK(pseudonyms.cleaned("Wei\u00dfmueller") == code(weiss));
  // Turkish: capital of i is \u0130, small letter of I is \u0131.
  CHECK(pseudonyms.cleaned("\u0131lkim") == code(isik));
  CHECK(pseudonyms.cleaned("ILKIM I\u015eIK") == code(isik));
  CHECK(pseudonyms.cleaned("i\u015fik") == code(isik));
  CHECK(pseudonyms.cleaned("Solvi, SOELVI, lask") ==
        code(sol) + ", " + code(sol) + ", " + code(sol));
  // What is not drawn: soft hyphen, zero width space and joiner.
  CHECK(pseudonyms.cleaned("K\u00f6nigs\u00admark") == code(zoe));
  CHECK(pseudonyms.cleaned("Las\u200bk \u200dS\u00f8l\u200dvi") ==
        code(sol) + " \u200d" + code(sol));
  // Full width, as East Asian keyboards have it.
  CHECK(pseudonyms.cleaned("\uff2c\uff21\uff33\uff2b") == code(sol));

  // Known without accents and typed with them.
  Pseudonyms plain(counting_key());
  const Athlete plain_zoe = athlete("A-01", "Zoe Koenigsmark");
  plain.know(plain_zoe);
  CHECK(plain.cleaned("K\u00f6nigsmark, Zo\u00eb") == code(plain_zoe) + ", " + code(plain_zoe));
}

TEST_CASE("parts of a name go in any order, joined or apart", "[output]") {
  Pseudonyms pseudonyms(counting_key());
  const Athlete anna = athlete("A-01", "Anna-Lena O\u2019Quill Tarn");
  const Athlete jo = athlete("A-02", "Jo Li");
  pseudonyms.know(anna);
  pseudonyms.know(jo);
  const std::string a = pseudonyms.athlete_code(anna);
  const std::string j = pseudonyms.athlete_code(jo);
  CHECK(pseudonyms.cleaned("tarn.anna_lena") == a + "." + a + "_" + a);
  CHECK(pseudonyms.cleaned("Tarn, Anna-Lena O'Quill") == a + ", " + a + "-" + a + " O'" + a);
  CHECK(pseudonyms.cleaned("AnnaTarn TarnAnna annalena OQuill") == a + " " + a + " " + a + " " + a);
  CHECK(pseudonyms.cleaned("Lena\u2010Tarn") == a + "\u2010" + a);
  CHECK(pseudonyms.cleaned("li_jo: Jo-Li") == j + "_" + j + ": " + j + "-" + j);
  // A short part inside another word stays, and so do short parts run together.
  CHECK(pseudonyms.cleaned("a job on the list; jolly Joli") == "a job on the list; jolly Joli");
  CHECK(pseudonyms.cleaned("annalen tarnish") == "annalen tarnish");
  const Athlete oneil = athlete("A-03", "Bj\u00f6rn O\u2019Neil");
  pseudonyms.know(oneil);
  CHECK(pseudonyms.cleaned("oneil slipped") == pseudonyms.athlete_code(oneil) + " slipped");
}

TEST_CASE("a date of birth goes in every usual writing", "[output]") {
  Pseudonyms pseudonyms(counting_key());
  pseudonyms.know(athlete("A-01", "Mara Quill", "2009-02-03"));
  const char* const written = GENERATE(
      "2009-02-03", "2009/02/03", "2009.2.3", "2009 02 03", "03.02.09", "3.2.2009", "03.02.2009",
      "3. 2. 2009", "2/3/2009", "3/2/2009", "02/03/09", "3-2-2009", "3 Feb 2009", "3 Feb. 09",
      "03-FEB-2009", "3rd of February, 2009", "February 3, 2009", "Feb 3rd 2009", "feb 3 2009",
      "2009 Feb 3", "3Feb2009", "3. Februar 2009", "3 f\u00e9vrier 2009", "3 de febrero de 2009",
      "20090203", "03022009", "02032009", "090203", "030209", "2009-02-03T08:00:00Z",
      "2009\u5e742\u67083\u65e5", "\uff12\uff10\uff10\uff19/\uff12/\uff13",
      "\u0662\u0660\u0660\u0669/\u0662/\u0663", "2009\u20102\u20103", "3\u00a0Feb\u00a02009");
  CAPTURE(written);
  const std::string cleaned = pseudonyms.cleaned(std::string("born ") + written + ", tall");
  CHECK(cleaned.substr(0, 20) == "born (date of birth)");
  CHECK(cleaned.find("2009") == std::string::npos);
  CHECK(cleaned.find("tall") != std::string::npos);
}

TEST_CASE("numbers and dates that are no date of birth stay", "[output]") {
  Pseudonyms pseudonyms(counting_key());
  pseudonyms.know(athlete("A-01", "Mara Quill", "2009-02-03"));
  for (const std::string text :
       {"2009-02-04", "in February 2009", "3 Feb", "2009", "120090203", "200902031", "2.3 m",
        "throw 3, 2 of 2009", "3 Mar 2009", "3.2.2019", "2009-02-031", "march on 3 2009",
        "3:2:2009 h", "13.2.2009", "3 debris 2009"})
    CHECK(pseudonyms.cleaned(text) == text);
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
