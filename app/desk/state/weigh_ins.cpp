// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/weigh_ins.h"

#include <fmt/format.h>

#include <cctype>
#include <chrono>
#include <cmath>
#include <system_error>
#include <utility>

#include "core/base/sharing.h"
#include "core/base/time_zone.h"
#include "core/base/wall_time.h"
#include "core/intake/usual_uncertainty.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;

std::string day_or_today(const LabFolder& lab, const std::string& day) {
  return day.empty() ? today(lab) : day;
}

/// The day of a weigh-in by the lab's clock.
std::string day_of(const LabFolder& lab, const weigh_in::WeighIn& weigh_in) {
  const auto made = from_iso_text(weigh_in.made);
  return made ? day_in(*made, zone_of(lab)) : weigh_in.made.substr(0, 10);
}

/// Whether a name that begins with a date may be of a weigh-in of the day: version 0.1 named them
/// by the day in UTC, which is the same or a neighbour. Files of other days are not even opened.
bool may_be_of(const std::string& name, const std::chrono::year_month_day& day) {
  const auto named = date_of(name);
  return named && std::chrono::abs(std::chrono::sys_days(*named) - std::chrono::sys_days(day)) <=
                      std::chrono::days(1);
}

struct WeighInFile {
  fs::path path;
  weigh_in::WeighIn weigh_in;
};

std::optional<WeighInFile> last_file(const LabFolder& lab, const std::string& athlete_id,
                                     const std::string& day) {
  std::optional<WeighInFile> last;
  const auto date = date_of(day);
  if (!date) return last;
  const std::string wanted = iso_date(*date);
  std::error_code error;
  for (const auto& file : fs::directory_iterator(weigh_ins_folder(lab), error)) {
    if (file.path().extension() != ".toml" || !may_be_of(file.path().filename().string(), *date))
      continue;
    auto found = weigh_in::read_weigh_in(file.path());
    if (found && found->athlete == athlete_id && day_of(lab, *found) == wanted &&
        (!last || last->weigh_in.made < found->made))
      last = WeighInFile{file.path(), std::move(*found)};
  }
  return last;
}

}  // namespace

fs::path weigh_ins_folder(const LabFolder& lab) { return lab.root / "weigh-ins"; }

Result<fs::path> keep_weigh_in(const LabFolder& lab, const weigh_in::WeighIn& weigh_in) {
  const fs::path folder = weigh_ins_folder(lab);
  std::error_code error;
  (void)make_folders(folder, error);
  if (error)
    return fail(folder.string(), "cannot be made (" + error.message() + ")",
                "look at the rights of the lab's folder");
  // Identities are free text; a file name is not. Who it was stands inside.
  std::string safe;
  for (const char c : weigh_in.athlete)
    safe += std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-' ? c : '_';
  fs::path path;
  for (int n = 1; path.empty() || fs::exists(path, error); ++n)
    path = folder / fmt::format("{}-{}-{}.toml", day_of(lab, weigh_in), safe, n);
  if (auto written = weigh_in::write_weigh_in(path, weigh_in); !written)
    return tl::make_unexpected(written.error());
  return path;
}

std::optional<weigh_in::WeighIn> last_weigh_in(const LabFolder& lab, const std::string& athlete_id,
                                               const std::string& day) {
  auto last = last_file(lab, athlete_id, day);
  return last ? std::optional(std::move(last->weigh_in)) : std::nullopt;
}

Result<weigh_in::WeighIn> drop_last_weigh_in(const LabFolder& lab, const std::string& athlete_id,
                                             const std::string& day) {
  auto last = last_file(lab, athlete_id, day);
  if (!last) return fail("the weigh-in", "is not there any more");
  std::error_code error;
  fs::remove(last->path, error);
  if (error)
    return fail(last->path.string(), "cannot be deleted (" + error.message() + ")",
                "look at the rights of the lab's folder");
  return std::move(last->weigh_in);
}

std::optional<session::FootLine> foot_line_for(const LabFolder& lab, const std::string& athlete_id,
                                               const std::string& day) {
  const auto last = last_weigh_in(lab, athlete_id, day_or_today(lab, day));
  return last ? last->foot_line : std::nullopt;
}

Measured mass_for(const LabFolder& lab, const RosterAthlete& athlete, const std::string& day) {
  if (const auto last = last_weigh_in(lab, athlete.id, day_or_today(lab, day))) return last->mass;
  return std::isfinite(athlete.mass) ? Measured{athlete.mass, intake::usual_u::mass_of_old}
                                     : Measured{};
}

}  // namespace moundwork::desk
