// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/lab_key_place.h"

#include <fmt/format.h>

#include <set>
#include <system_error>

#include "core/base/lab_file.h"

namespace moundwork::output {
namespace {

namespace fs = std::filesystem;

bool is_there(const fs::path& path) {
  std::error_code ignored;
  return fs::exists(path, ignored);
}

}  // namespace

Result<LabKeyPlace> lab_key_for(const std::vector<fs::path>& sessions,
                                const std::optional<fs::path>& named,
                                const Result<fs::path>& account) {
  if (named) return LabKeyPlace{*named, {}};
  std::set<fs::path> labs;
  bool outside = false;
  for (const fs::path& session : sessions) {
    if (const auto lab = lab_home_of(session))
      labs.insert(*lab);
    else
      outside = true;
  }
  if (labs.empty()) {
    if (!account) return tl::make_unexpected(account.error());
    return LabKeyPlace{*account, {}};
  }
  LabKeyPlace place{*labs.begin() / "lab.key", {}};
  if (labs.size() > 1)
    return fail(fmt::format("the sessions of {} and {}", labs.begin()->string(),
                            std::next(labs.begin())->string()),
                "are of two labs, each with codes of its own",
                "take one lab at a time, or name one key for all");
  if (!account || !is_there(*account) || !is_there(place.path)) return place;
  const auto ours = read_lab_key(place.path), other = read_lab_key(*account);
  if (ours && other && ours->bytes != other->bytes)
    place.remark = fmt::format(
        "Codes are made with {}, the lab's key{}; the account's, {}, gives others.",
        place.path.string(), outside ? ", for sessions outside the lab's folder too" : "",
        account->string());
  return place;
}

Result<LabKey> key_of(const LabKeyPlace& place, const Result<fs::path>& account) {
  if (place.path.filename() == "lab.key" && !is_there(place.path) && account &&
      *account != place.path && is_there(*account) && lab_home_of(place.path))
    if (auto copied = copy_lab_key(*account, place.path); !copied)
      return tl::make_unexpected(copied.error());
  return read_or_make_lab_key(place.path);
}

}  // namespace moundwork::output
