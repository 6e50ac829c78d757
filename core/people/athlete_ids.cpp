// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/athlete_ids.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <system_error>

#include "core/base/lab_file.h"
#include "core/session/reader.h"

namespace moundwork::people {
namespace {

namespace fs = std::filesystem;

// "A07" of "2026-05-04-A07-2.h5", as the window names sessions and weigh-ins.
std::string_view id_in_name(std::string_view name) {
  constexpr std::size_t day = std::string_view("2026-05-04-").size();
  if (name.size() <= day || name[4] != '-' || name[7] != '-' || name[10] != '-') return {};
  name.remove_prefix(day);
  return name.substr(0, name.rfind('-'));
}

int greatest_in(const fs::path& folder, bool open_sessions) {
  int greatest = 0;
  std::error_code error;
  for (fs::directory_iterator file(folder, error), end; !error && file != end;
       file.increment(error)) {
    const std::string name = file->path().stem().string();
    greatest = std::max(greatest, number_of(id_in_name(name)).value_or(0));
    if (!open_sessions || file->path().extension() != ".h5") continue;
    if (const auto reader = session::Reader::open(file->path()))
      greatest = std::max(greatest, number_of(reader->session().athlete.id).value_or(0));
  }
  return greatest;
}

}  // namespace

std::optional<int> number_of(std::string_view id) {
  constexpr std::size_t most_digits = 8;
  if (id.size() < 2 || id.size() > 1 + most_digits || id[0] != 'A') return std::nullopt;
  int number = 0;
  const auto [end, status] = std::from_chars(id.data() + 1, id.data() + id.size(), number);
  if (status != std::errc{} || end != id.data() + id.size() || number < 0) return std::nullopt;
  return number;
}

std::string id_of(int number) { return fmt::format("A{:02}", number); }

Result<int> next_number(const fs::path& lab, const std::vector<RosterAthlete>& roster) {
  const auto kept = read_lab_file(lab);
  if (!kept) return tl::make_unexpected(kept.error());
  int greatest = kept->next_id.value_or(1) - 1;
  for (const RosterAthlete& athlete : roster)
    greatest = std::max(greatest, number_of(athlete.id).value_or(0));
  // A lab that has kept no number yet may have sessions under any name.
  const bool open_sessions = !kept->next_id;
  for (const char* folder : {"", "sessions", "weigh-ins"})
    greatest = std::max(greatest, greatest_in(lab / folder, open_sessions));
  return greatest + 1;
}

Result<void> keep_next_number(const fs::path& lab, int next) {
  const auto kept = read_lab_file(lab);
  if (!kept) return tl::make_unexpected(kept.error());
  if (kept->next_id.value_or(0) >= next) return {};
  return set_in_lab_file(lab, "next_id", next);
}

}  // namespace moundwork::people
