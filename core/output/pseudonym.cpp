// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/pseudonym.h"

#include <fmt/format.h>
#include <openssl/evp.h>
#include <openssl/hmac.h>
#include <openssl/rand.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <stdexcept>

#include "core/base/force_folder.h"
#include "core/base/plain_file.h"
#include "core/base/sharing.h"
#include "core/base/wall_time.h"
#include "core/session/identity.h"

namespace moundwork::output {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view key_heading = "moundwork lab key 1";

std::string hex_of(const LabKey& key) {
  std::string hex;
  for (const unsigned char byte : key.bytes) hex += fmt::format("{:02x}", byte);
  return hex;
}

Result<void> write_key(const LabKey& key, const fs::path& path) {
  std::error_code status;
  if (path.has_parent_path()) (void)make_folders(path.parent_path(), status);
  std::string working = path.string() + ".XXXXXX";
  const int descriptor = ::mkstemp(working.data());  // which lets only its owner read it
  // A lab that shares its files shares the key, or its people would get several codes.
  if (descriptor >= 0 && sharing_at(path) == Sharing::group)
    (void)!::fchmod(descriptor, S_IRUSR | S_IWUSR | S_IRGRP | S_IWGRP);
  const std::string text = fmt::format("{}\n{}\n", key_heading, hex_of(key));
  const bool written =
      descriptor >= 0 &&
      ::write(descriptor, text.data(), text.size()) == static_cast<ssize_t>(text.size()) &&
      ::fsync(descriptor) == 0;
  const int error = errno;
  if (descriptor >= 0) ::close(descriptor);
  // A link, unlike a renaming, never takes the place of a key that another program made meanwhile.
  if (written) fs::create_hard_link(working, path, status);
  if (written && !status) force_folder(path);
  std::error_code ignored;
  if (descriptor >= 0) fs::remove(working, ignored);
  if (!written || (status && !fs::exists(path, ignored)))
    return fail(path.string(),
                "the lab key cannot be written: " +
                    (written ? status.message() : std::string(std::strerror(error))),
                Remedy::lab_key);
  return {};
}

}  // namespace

Result<fs::path> default_lab_key_path() {
  if (const char* config = std::getenv("XDG_CONFIG_HOME"); config != nullptr && *config != '\0')
    return fs::path(config) / "moundwork" / "lab.key";
  if (const char* home = std::getenv("HOME"); home != nullptr && *home != '\0')
    return fs::path(home) / ".config" / "moundwork" / "lab.key";
  return fail("lab key", "neither HOME nor XDG_CONFIG_HOME says where it is kept", Remedy::lab_key);
}

Result<LabKey> read_lab_key(const fs::path& path) {
  if (auto plain = refuse_endless(path); !plain) return tl::make_unexpected(plain.error());
  std::ifstream file(path);
  std::string heading, hex;
  if (!file || !std::getline(file, heading) || !std::getline(file, hex))
    return fail(path.string(), "cannot be read as a lab key", Remedy::lab_key);
  LabKey key;
  bool valid = heading == key_heading && hex.size() == 2 * key.bytes.size();
  for (std::size_t i = 0; valid && i < key.bytes.size(); ++i) {
    const char* const begin = hex.data() + 2 * i;
    valid = std::from_chars(begin, begin + 2, key.bytes[i], 16).ptr == begin + 2;
  }
  if (!valid) return fail(path.string(), "is not a lab key", Remedy::lab_key);
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

Result<void> copy_lab_key(const fs::path& from, const fs::path& to) {
  const auto key = read_lab_key(from);
  if (!key) return tl::make_unexpected(key.error());
  return write_key(*key, to);
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
  return code('P', session::identity_of(athlete));
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
  names_.know(athlete, athlete_code(athlete));
}

}  // namespace moundwork::output
