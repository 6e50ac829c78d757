// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/pseudonym.h"

#include <fmt/format.h>
#include <openssl/evp.h>
#include <openssl/hmac.h>
#include <openssl/rand.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <stdexcept>

namespace moundwork::output {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view key_heading = "moundwork lab key 1";

std::string hex_of(const LabKey& key) {
  std::string hex;
  for (const unsigned char byte : key.bytes) hex += fmt::format("{:02x}", byte);
  return hex;
}

bool is_word(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || byte >= 0x80;
}

// Small letters of ASCII and of Latin-1 in UTF-8; keeps every byte in its place.
std::string small_letters(std::string_view text) {
  std::string small(text);
  for (std::size_t i = 0; i < small.size(); ++i) {
    char& c = small[i];
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (i == 0 || small[i - 1] != '\xc3') continue;
    const auto byte = static_cast<unsigned char>(c);
    constexpr unsigned char times_sign = 0x97;
    if (byte >= 0x80 && byte <= 0x9e && byte != times_sign) c = static_cast<char>(byte + 0x20);
  }
  return small;
}

std::vector<std::string> words_of(std::string_view name) {
  std::vector<std::string> words;
  std::string word;
  for (const char c : name) {
    if (is_word(c)) {
      word += c;
    } else if (!word.empty()) {
      words.push_back(std::exchange(word, {}));
    }
  }
  if (!word.empty()) words.push_back(word);
  return words;
}

std::optional<std::chrono::year_month_day> date_of(std::string_view text) {
  if (text.size() < 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  int parts[3] = {};
  constexpr std::pair<std::size_t, std::size_t> places[3] = {{0, 4}, {5, 2}, {8, 2}};
  for (std::size_t i = 0; i < 3; ++i) {
    const char* const begin = text.data() + places[i].first;
    const char* const end = begin + places[i].second;
    if (std::from_chars(begin, end, parts[i]).ptr != end) return std::nullopt;
  }
  const std::chrono::year_month_day date{std::chrono::year{parts[0]},
                                         std::chrono::month{static_cast<unsigned>(parts[1])},
                                         std::chrono::day{static_cast<unsigned>(parts[2])}};
  if (!date.ok()) return std::nullopt;
  return date;
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
    throw std::runtime_error("HMAC-SHA-256 is not to be had from the cryptographic library");
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
  const auto add = [&](std::string_view word, std::size_t least, const std::string& to) {
    std::string small = small_letters(word);
    if (small.size() < least) return;
    if (std::none_of(words_.begin(), words_.end(),
                     [&](const auto& known) { return known.first == small; }))
      words_.emplace_back(std::move(small), to);
  };
  // One letter, or a number on a back, is in too many texts and tells too little.
  constexpr std::size_t least_name = 2;
  constexpr std::size_t least_id = 3;
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
    const bool begins = at == 0 || !is_word(text[at - 1]);
    const auto found = std::find_if(words_.begin(), words_.end(), [&](const auto& word) {
      const std::size_t end = at + word.first.size();
      return begins && small.compare(at, word.first.size(), word.first) == 0 &&
             (end >= text.size() || !is_word(text[end]));
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

std::optional<int> age_at(std::string_view born, std::string_view day) {
  const auto from = date_of(born);
  const auto to = date_of(day);
  if (!from || !to || *to < *from) return std::nullopt;
  const int years = static_cast<int>(to->year()) - static_cast<int>(from->year());
  const bool before_birthday =
      std::pair(to->month(), to->day()) < std::pair(from->month(), from->day());
  return before_birthday ? years - 1 : years;
}

}  // namespace moundwork::output
