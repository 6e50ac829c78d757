// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/identity.h"

#include <cctype>

namespace moundwork::session {
namespace {

std::string plain(const std::string& name) {
  std::string letters;
  for (const char c : name)
    if (std::isspace(static_cast<unsigned char>(c)) == 0)
      letters += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return letters;
}

// "Mara Quill" may be "Mara Quill-Ost" by now, and "Mara" is either.
bool are_others(const std::string& one, const std::string& other) {
  return !one.starts_with(other) && !other.starts_with(one);
}

}  // namespace

const std::string& identity_of(const Athlete& athlete) {
  return athlete.id.empty() ? athlete.name : athlete.id;
}

bool births_differ(const std::string& born, const std::string& other_born) {
  return !born.empty() && !other_born.empty() && born != other_born;
}

bool may_be_one(const Athlete& athlete, const Athlete& other) {
  if (births_differ(athlete.born, other.born)) return false;
  if (const std::string identity = plain(identity_of(athlete));
      !identity.empty() && identity == plain(identity_of(other)))
    return true;
  const std::string name = plain(athlete.name);
  return !name.empty() && name == plain(other.name) && !athlete.born.empty() &&
         athlete.born == other.born;
}

bool two_people(const std::string& name, const std::string& born, const std::string& other_name,
                const std::string& other_born) {
  return births_differ(born, other_born) || are_others(plain(name), plain(other_name));
}

}  // namespace moundwork::session
