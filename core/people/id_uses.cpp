// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/id_uses.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>

#include "core/base/one_line.h"
#include "core/session/identity.h"
#include "core/session/reader.h"

namespace moundwork::people {

namespace fs = std::filesystem;

std::multimap<std::string, IdUse> id_uses(const fs::path& lab, const std::stop_token& stop) {
  std::multimap<std::string, IdUse> uses;
  for (const fs::path& folder : {lab, lab / "sessions"}) {
    std::error_code error;
    for (fs::directory_iterator file(folder, error), end; !error && file != end;
         file.increment(error)) {
      if (stop.stop_requested()) return uses;
      if (file->path().extension() != ".h5") continue;
      const auto reader = session::Reader::open(file->path());
      if (!reader) continue;
      const session::Athlete& athlete = reader->session().athlete;
      const auto [first, last] = uses.equal_range(athlete.id);
      const bool known = std::any_of(first, last, [&](const auto& use) {
        return use.second.name == athlete.name && use.second.born == athlete.born;
      });
      if (!athlete.id.empty() && !known)
        uses.emplace(athlete.id, IdUse{athlete.name, athlete.born, file->path()});
    }
  }
  return uses;
}

std::string two_people_words(const RosterAthlete& athlete,
                             const std::multimap<std::string, IdUse>& uses) {
  const auto [first, last] = uses.equal_range(athlete.id);
  for (auto use = first; use != last; ++use) {
    const IdUse& other = use->second;
    if (!session::two_people(athlete.name, athlete.born, other.name, other.born)) continue;
    return fmt::format(
        "Under {} the lab has sessions of {}{} ({}): if these are two people, give {} an id of "
        "their own.",
        one_line(athlete.id), one_line(other.name.empty() ? "somebody" : other.name),
        other.born.empty() ? "" : ", born " + one_line(other.born),
        other.session.filename().string(),
        one_line(athlete.name.empty() ? "this athlete" : athlete.name));
  }
  return {};
}

}  // namespace moundwork::people
