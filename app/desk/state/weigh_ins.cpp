// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/weigh_ins.h"

#include <fmt/format.h>

#include <cctype>
#include <cmath>
#include <system_error>

#include "app/desk/state/open_session.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;

std::string day_of(const std::string& time) { return time.substr(0, 10); }

std::string day_or_today(const std::string& day) { return day_of(day.empty() ? iso_now() : day); }

}  // namespace

fs::path weigh_ins_folder(const LabFolder& lab) { return lab.root / "weigh-ins"; }

Result<fs::path> keep_weigh_in(const LabFolder& lab, const weigh_in::WeighIn& weigh_in) {
  const fs::path folder = weigh_ins_folder(lab);
  std::error_code error;
  fs::create_directories(folder, error);
  if (error)
    return fail(folder.string(), "cannot be made (" + error.message() + ")",
                "look at the rights of the lab's folder");
  // Identities are free text; a file name is not. Who it was stands inside.
  std::string safe;
  for (const char c : weigh_in.athlete)
    safe += std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-' ? c : '_';
  fs::path path;
  for (int n = 1; path.empty() || fs::exists(path, error); ++n)
    path = folder / fmt::format("{}-{}-{}.toml", day_of(weigh_in.made), safe, n);
  if (auto written = weigh_in::write_weigh_in(path, weigh_in); !written)
    return tl::make_unexpected(written.error());
  return path;
}

std::optional<weigh_in::WeighIn> last_weigh_in(const LabFolder& lab, const std::string& athlete_id,
                                               const std::string& day) {
  std::optional<weigh_in::WeighIn> last;
  std::error_code error;
  for (const auto& file : fs::directory_iterator(weigh_ins_folder(lab), error)) {
    // The name begins with the day: files of other days are not even opened.
    if (file.path().extension() != ".toml" ||
        day_of(file.path().filename().string()) != day_of(day))
      continue;
    auto found = weigh_in::read_weigh_in(file.path());
    if (found && found->athlete == athlete_id && (!last || last->made < found->made))
      last = std::move(*found);
  }
  return last;
}

std::optional<session::FootLine> foot_line_for(const LabFolder& lab, const std::string& athlete_id,
                                               const std::string& day) {
  const auto last = last_weigh_in(lab, athlete_id, day_or_today(day));
  return last ? last->foot_line : std::nullopt;
}

Measured mass_for(const LabFolder& lab, const RosterAthlete& athlete, const std::string& day) {
  if (const auto last = last_weigh_in(lab, athlete.id, day_or_today(day))) return last->mass;
  return std::isfinite(athlete.mass) ? Measured{athlete.mass, typed_mass_u} : Measured{};
}

}  // namespace moundwork::desk
