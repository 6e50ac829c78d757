// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/lab_file.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <fstream>
#include <sstream>
#include <system_error>

#include "core/base/one_line.h"
#include "core/base/time_zone.h"
#include "core/base/write_file.h"

namespace moundwork {
namespace {

namespace fs = std::filesystem;

Result<toml::table> read_table(const fs::path& path) {
  std::error_code status;
  if (!fs::exists(path, status) && !status) return toml::table{};
  constexpr std::uintmax_t largest_file = 1 << 16;
  if (!fs::is_regular_file(path, status) || fs::file_size(path, status) > largest_file)
    return fail(path.string(), "is no file of a lab's settings", "move it out of the way");
  std::ifstream file(path);
  std::ostringstream text;
  text << file.rdbuf();
  if (!file) return fail(path.string(), "cannot be read", "check its permissions");
  try {
    return toml::parse(text.str(), path.string());
  } catch (const toml::parse_error& error) {
    return fail(fmt::format("{}, line {}", path.string(), error.source().begin.line),
                std::string(error.description()), "mend the line");
  }
}

}  // namespace

std::optional<fs::path> lab_folder_of(const fs::path& path) {
  std::error_code error;
  fs::path folder = fs::absolute(path, error).lexically_normal();
  if (error) return std::nullopt;
  while (true) {
    if (fs::is_regular_file(folder / lab_file_name, error)) return folder;
    const fs::path above = folder.parent_path();
    if (above == folder) return std::nullopt;
    folder = above;
  }
}

Result<LabFile> read_lab_file(const fs::path& folder) {
  const fs::path path = folder / lab_file_name;
  const auto table = read_table(path);
  if (!table) return tl::make_unexpected(table.error());
  LabFile lab;
  if (const toml::node* zone = table->get("zone")) {
    lab.zone = zone->value_or(std::string());
    if (!is_zone(lab.zone))
      return fail(path.string(), fmt::format("zone '{}' is not known here", one_line(lab.zone)),
                  "write it like zone = \"America/Los_Angeles\"");
  }
  return lab;
}

Result<void> set_in_lab_file(const fs::path& folder, const std::string& key,
                             const std::string& value) {
  const fs::path path = folder / lab_file_name;
  auto table = read_table(path);
  if (!table) return tl::make_unexpected(table.error());
  table->insert_or_assign(key, value);
  std::ostringstream text;
  text << *table << '\n';
  return replace_file(path, text.str());
}

Result<std::string> zone_for(const fs::path& path) {
  if (const auto folder = lab_folder_of(path)) {
    const auto lab = read_lab_file(*folder);
    if (!lab) return tl::make_unexpected(lab.error());
    if (!lab->zone.empty()) return lab->zone;
  }
  return computer_zone();
}

}  // namespace moundwork
