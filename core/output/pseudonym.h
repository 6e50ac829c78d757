// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <filesystem>
#include <string>
#include <string_view>

#include "core/base/result.h"
#include "core/output/names_in_text.h"
#include "core/session/session.h"

namespace moundwork::output {

/// The lab's secret. Pseudonyms are made from it and the athlete's id, so they are the same in
/// every file and command of a lab, need no list of who is who, and cannot be traced back by
/// trying out ids without it.
struct LabKey {
  std::array<unsigned char, 32> bytes{};
};

/// $XDG_CONFIG_HOME/moundwork/lab.key, or ~/.config/moundwork/lab.key.
[[nodiscard]] Result<std::filesystem::path> default_lab_key_path();

[[nodiscard]] Result<LabKey> read_lab_key(const std::filesystem::path& path);

/// Reads the key, or makes one out of the system's random numbers where there is no such file yet;
/// only its owner may read it. Of two programs that make it at once, one makes it for both.
[[nodiscard]] Result<LabKey> read_or_make_lab_key(const std::filesystem::path& path);

/// Makes a key file that holds the same key; of two programs at once one makes it for both.
[[nodiscard]] Result<void> copy_lab_key(const std::filesystem::path& from,
                                        const std::filesystem::path& to);

/// Stands codes for people: "P-" and ten of the digits and letters of Crockford's base 32, the
/// first 50 bits of HMAC-SHA-256 (RFC 2104, FIPS 180-4) of the athlete's id; two of 10,000 athletes
/// share one with a probability of 4e-8.
class Pseudonyms {
 public:
  explicit Pseudonyms(LabKey key) : key_(key) {}

  /// From here on `cleaned` also takes out this athlete's name, its parts, id and date of birth.
  void know(const session::Athlete& athlete);

  /// By id; by name where there is no id.
  [[nodiscard]] std::string athlete_code(const session::Athlete& athlete) const;
  /// "S-" and ten characters.
  [[nodiscard]] std::string session_code(std::string_view session_id) const;
  /// Id and name are the code, the date of birth is empty.
  [[nodiscard]] session::Athlete replaced(const session::Athlete& athlete) const;
  /// A free text (UTF-8) in which every athlete known so far is a code (names_in_text.h).
  [[nodiscard]] std::string cleaned(const std::string& text) const { return names_.cleaned(text); }

 private:
  [[nodiscard]] std::string code(char kind, std::string_view identity) const;

  LabKey key_;
  NamesInText names_;
};

}  // namespace moundwork::output
