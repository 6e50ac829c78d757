// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/utf8.h"

#include <catch2/catch.hpp>

using moundwork::valid_utf8;

TEST_CASE("utf8: what is no UTF-8 is replaced, all else stays", "[base]") {
  CHECK(valid_utf8("plain \x01 text\n").size() == 13);
  CHECK(valid_utf8("\u017dan \u201cBo\u201d \U0001f600") == "\u017dan \u201cBo\u201d \U0001f600");
  // The Unicode Standard 15.0, section 3.9, table 3-8 ("U+FFFD for Truncated Sequences" and
  // others).
  CHECK(valid_utf8("\x61\xf1\x80\x80\xe1\x80\xc2\x62\x80\x63\x80\xbf\x64") ==
        "a\ufffd\ufffd\ufffdb\ufffdc\ufffd\ufffd"
        "d");
}
