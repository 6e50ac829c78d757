// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/check/sheet_file.h"

#include <system_error>

#include "core/base/sharing.h"
#include "core/base/time_zone.h"

namespace moundwork::drivers {

std::filesystem::path sheet_of_day(const std::filesystem::path& folder, WallTime time,
                                   const std::string& zone) {
  std::error_code error;
  const std::filesystem::path checks = folder / "checks";
  return (std::filesystem::is_directory(checks, error) ? checks : folder) /
         ("checks-" + day_in(time, zone) + ".jsonl");
}

Result<void> add_to_sheet(const std::filesystem::path& path, const CheckSheet& sheet,
                          WallTime made) {
  auto added = append_to_file(path, to_json(sheet, iso_text(made)) + '\n');
  if (!added)
    return fail(path.string(), "the sheet cannot be written",
                "look at the folder's rights, or give a file that can be");
  return {};
}

}  // namespace moundwork::drivers
