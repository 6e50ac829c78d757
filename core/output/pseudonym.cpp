// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/pseudonym.h"

#include <fmt/format.h>
#include <openssl/evp.h>
#include <openssl/hmac.h>
#include <openssl/rand.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <charconv>
#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <stdexcept>

#include "core/base/date.h"

namespace moundwork::output {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view key_heading = "moundwork lab key 1";

std::string hex_of(const LabKey& key) {
  std::string hex;
  for (const unsigned char byte : key.bytes) hex += fmt::format("{:02x}", byte);
  return hex;
}

bool continues(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

// For bytes that are no UTF-8.
constexpr char32_t replacement = 0xFFFD;

// The character that begins at `at`.
char32_t character_at(std::string_view text, std::size_t at) {
  const auto lead = static_cast<unsigned char>(text[at]);
  if (lead < 0x80U) return lead;
  if (lead < 0xC0U || lead > 0xF7U) return replacement;
  const std::size_t length = lead < 0xE0U ? 2 : lead < 0xF0U ? 3 : 4;
  char32_t character = lead & (0x7FU >> length);
  for (std::size_t i = 1; i < length; ++i) {
    if (at + i >= text.size() || !continues(text[at + i])) return replacement;
    character = character << 6U | (static_cast<unsigned char>(text[at + i]) & 0x3FU);
  }
  return character;
}

char32_t character_before(std::string_view text, std::size_t at) {
  do --at;
  while (at > 0 && continues(text[at]));
  return character_at(text, at);
}

// Blocks of the Unicode Standard, chapter "Code Charts": signs stand in blocks of their own but
// for those among the first 256 characters.
bool is_letter(char32_t c) {
  if (c < 0x80) return std::isalnum(static_cast<int>(c)) != 0;
  if (c < 0xC0) return c == 0xAA || c == 0xB5 || c == 0xBA;
  const bool times_or_divided = c == 0xD7 || c == 0xF7;
  const bool sign = (c >= 0x2000 && c < 0x2C00) || (c >= 0x2E00 && c < 0x2E80) ||
                    (c >= 0x3000 && c < 0x3040) || (c >= 0xFF00 && c < 0xFF10);
  return !times_or_divided && !sign && c != replacement;
}

constexpr char32_t hiragana = 0x3040;

// Whether a word may end between two letters: from Hiragana on, scripts set no blanks between words
// or tie endings to them.
bool divides(char32_t before, char32_t after) {
  return !is_letter(before) || !is_letter(after) || before >= hiragana || after >= hiragana;
}

bool divides_at(std::string_view text, std::size_t at) {
  return at == 0 || at >= text.size() ||
         divides(character_before(text, at), character_at(text, at));
}

char32_t small_letter(char32_t c) {
  const auto within = [c](char32_t first, char32_t last) { return c >= first && c <= last; };
  if (within('A', 'Z')) return c + 0x20;
  if (within(0xC0, 0xDE) && c != 0xD7) return c + 0x20;
  // Latin Extended-A: pairs, the capital even or, in two stretches, odd.
  if (within(0x100, 0x12F) || within(0x132, 0x137) || within(0x14A, 0x177)) return c | 1U;
  if (within(0x139, 0x148) || within(0x179, 0x17E)) return c + (c & 1U);
  if (within(0x391, 0x3A9) || within(0x410, 0x42F)) return c + 0x20;  // Greek, Cyrillic
  if (within(0x400, 0x40F)) return c + 0x50;
  return c;
}

// Small letters of the Latin (to Extended-A), Greek and Cyrillic alphabets; keeps every byte in its
// place, since each pair has one length in UTF-8.
std::string small_letters(std::string_view text) {
  std::string small(text);
  for (std::size_t i = 0; i < small.size(); ++i) {
    const char32_t c = small_letter(character_at(text, i));
    const auto lead = static_cast<unsigned char>(text[i]);
    if (lead < 0x80U) {
      small[i] = static_cast<char>(c);
    } else if (lead >= 0xC0U && lead < 0xE0U && i + 1 < small.size() && continues(text[i + 1])) {
      small[i] = static_cast<char>(0xC0U | c >> 6U);
      small[++i] = static_cast<char>(0x80U | (c & 0x3FU));
    }
  }
  return small;
}

std::vector<std::string> words_of(std::string_view name) {
  std::vector<std::string> words;
  bool within = false;
  for (std::size_t at = 0; at < name.size(); ++at) {
    if (!continues(name[at])) {
      const bool letter = is_letter(character_at(name, at));
      if (letter && !within) words.emplace_back();
      within = letter;
    }
    if (within) words.back() += name[at];
  }
  return words;
}

// As people write one.
std::vector<std::string> spellings_of(const std::chrono::year_month_day& date) {
  const int y = static_cast<int>(date.year());
  const unsigned m = static_cast<unsigned>(date.month());
  const unsigned d = static_cast<unsigned>(date.day());
  return {fmt::format("{:04}-{:02}-{:02}", y, m, d), fmt::format("{:02}.{:02}.{:04}", d, m, y),
          fmt::format("{}.{}.{:04}", d, m, y),       fmt::format("{:02}/{:02}/{:04}", d, m, y),
          fmt::format("{}/{}/{:04}", d, m, y),       fmt::format("{:02}/{:02}/{:04}", m, d, y),
          fmt::format("{}/{}/{:04}", m, d, y)};
}

Result<void> write_key(const LabKey& key, const fs::path& path) {
  std::error_code status;
  if (path.has_parent_path()) fs::create_directories(path.parent_path(), status);
  std::string working = path.string() + ".XXXXXX";
  const int descriptor = ::mkstemp(working.data());  // which lets only its owner read it
  const std::string text = fmt::format("{}\n{}\n", key_heading, hex_of(key));
  const bool written =
      descriptor >= 0 &&
      ::write(descriptor, text.data(), text.size()) == static_cast<ssize_t>(text.size()) &&
      ::fsync(descriptor) == 0;
  const int error = errno;
  if (descriptor >= 0) ::close(descriptor);
  // A link, unlike a renaming, never takes the place of a key that another program made meanwhile.
  if (written) fs::create_hard_link(working, path, status);
  std::error_code ignored;
  if (descriptor >= 0) fs::remove(working, ignored);
  if (!written || (status && !fs::exists(path, ignored)))
    return fail(path.string(),
                "the lab key cannot be written: " +
                    (written ? status.message() : std::string(std::strerror(error))),
                "name a place for it with --key");
  return {};
}

}  // namespace

Result<fs::path> default_lab_key_path() {
  if (const char* config = std::getenv("XDG_CONFIG_HOME"); config != nullptr && *config != '\0')
    return fs::path(config) / "moundwork" / "lab.key";
  if (const char* home = std::getenv("HOME"); home != nullptr && *home != '\0')
    return fs::path(home) / ".config" / "moundwork" / "lab.key";
  return fail("lab key", "neither HOME nor XDG_CONFIG_HOME says where it is kept",
              "name the file with --key");
}

Result<LabKey> read_lab_key(const fs::path& path) {
  std::ifstream file(path);
  std::string heading, hex;
  if (!file || !std::getline(file, heading) || !std::getline(file, hex))
    return fail(path.string(), "cannot be read as a lab key", "name another file with --key");
  LabKey key;
  bool valid = heading == key_heading && hex.size() == 2 * key.bytes.size();
  for (std::size_t i = 0; valid && i < key.bytes.size(); ++i) {
    const char* const begin = hex.data() + 2 * i;
    valid = std::from_chars(begin, begin + 2, key.bytes[i], 16).ptr == begin + 2;
  }
  if (!valid)
    return fail(path.string(), "is not a lab key",
                "name another file with --key, or bring the right one back from a backup");
  return key;
}

Result<LabKey> read_or_make_lab_key(const fs::path& path) {
  std::error_code status;
  if (!fs::exists(path, status)) {
    LabKey key;
    if (RAND_bytes(key.bytes.data(), static_cast<int>(key.bytes.size())) != 1)
      return fail("lab key", "the system gives no random numbers", "try again later");
    if (auto written = write_key(key, path); !written) return tl::make_unexpected(written.error());
  }
  return read_lab_key(path);
}

std::string Pseudonyms::code(char kind, std::string_view identity) const {
  // The kind goes in, so that an athlete and a session of one id do not share a code.
  std::string message(1, kind);
  message += '\0';
  message += identity;
  unsigned char digest[EVP_MAX_MD_SIZE];
  unsigned int length = 0;
  if (HMAC(EVP_sha256(), key_.bytes.data(), static_cast<int>(key_.bytes.size()),
           reinterpret_cast<const unsigned char*>(message.data()), message.size(), digest,
           &length) == nullptr)
    throw std::runtime_error("the cryptographic library has no HMAC-SHA-256");
  std::uint64_t bits = 0;
  for (int i = 0; i < 8; ++i) bits = bits << 8 | digest[i];
  constexpr std::string_view digits = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
  std::string text{kind, '-'};
  for (int i = 0; i < 10; ++i, bits <<= 5) text += digits[bits >> 59];
  return text;
}

std::string Pseudonyms::athlete_code(const session::Athlete& athlete) const {
  return code('P', athlete.id.empty() ? athlete.name : athlete.id);
}

std::string Pseudonyms::session_code(std::string_view session_id) const {
  return code('S', session_id);
}

session::Athlete Pseudonyms::replaced(const session::Athlete& athlete) const {
  session::Athlete other = athlete;
  other.id = other.name = athlete_code(athlete);
  other.born.clear();
  return other;
}

void Pseudonyms::know(const session::Athlete& athlete) {
  const std::string code = athlete_code(athlete);
  const auto add = [&](std::string_view word, std::ptrdiff_t least, const std::string& to) {
    std::string small = small_letters(word);
    const auto characters =
        std::count_if(small.begin(), small.end(), [](char c) { return !continues(c); });
    // A single ideograph may be a whole name.
    if (characters == 0 || (characters < least && character_at(small, 0) < hiragana)) return;
    if (std::none_of(words_.begin(), words_.end(),
                     [&](const auto& known) { return known.first == small; }))
      words_.emplace_back(std::move(small), to);
  };
  // One letter, or a number on a back, is in too many texts and tells too little.
  constexpr std::ptrdiff_t least_name = 2;
  constexpr std::ptrdiff_t least_id = 3;
  add(athlete.name, least_name, code);
  for (const std::string& word : words_of(athlete.name)) add(word, least_name, code);
  add(athlete.id, least_id, code);
  if (const auto born = date_of(athlete.born))
    for (const std::string& spelling : spellings_of(*born)) add(spelling, 1, "(date of birth)");
  std::stable_sort(words_.begin(), words_.end(),
                   [](const auto& a, const auto& b) { return a.first.size() > b.first.size(); });
}

std::string Pseudonyms::cleaned(const std::string& text) const {
  const std::string small = small_letters(text);
  std::string clean;
  for (std::size_t at = 0; at < text.size();) {
    const bool begins = divides_at(text, at);
    const auto found = std::find_if(words_.begin(), words_.end(), [&](const auto& word) {
      return begins && small.compare(at, word.first.size(), word.first) == 0 &&
             divides_at(text, at + word.first.size());
    });
    if (found == words_.end()) {
      clean += text[at++];
    } else {
      clean += found->second;
      at += found->first.size();
    }
  }
  return clean;
}

}  // namespace moundwork::output
