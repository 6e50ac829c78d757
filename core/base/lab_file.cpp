// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/lab_file.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <fstream>
#include <initializer_list>
#include <sstream>
#include <system_error>

#include "core/base/one_line.h"
#include "core/base/time_zone.h"
#include "core/base/waiting_lock.h"
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

std::optional<fs::path> nearest_with(std::initializer_list<const char*> names,
                                     const fs::path& path) {
  std::error_code error;
  fs::path folder = fs::absolute(path, error).lexically_normal();
  if (error) return std::nullopt;
  while (true) {
    for (const char* name : names)
      if (fs::is_regular_file(folder / name, error)) return folder;
    const fs::path above = folder.parent_path();
    if (above == folder) return std::nullopt;
    folder = above;
  }
}

}  // namespace

std::optional<fs::path> lab_folder_of(const fs::path& path) {
  return nearest_with({lab_file_name}, path);
}

std::optional<fs::path> lab_home_of(const fs::path& path) {
  // A day's own list of who came may lie below the lab's folder.
  if (auto lab = nearest_with({lab_file_name, "lab.key"}, path)) return lab;
  return nearest_with({"roster.csv"}, path);
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
  if (const toml::node* sharing = table->get("sharing")) {
    const std::string word = sharing->value_or(std::string());
    if (word != word_for(Sharing::owner) && word != word_for(Sharing::group))
      return fail(path.string(), fmt::format("sharing '{}' is not known", one_line(word)),
                  "write sharing = \"owner\" or sharing = \"group\"");
    lab.sharing = word == word_for(Sharing::group) ? Sharing::group : Sharing::owner;
  }
  if (const toml::node* kept = table->get("analyses_kept")) {
    lab.analyses_kept = kept->value<int>();
    if (!lab.analyses_kept || *lab.analyses_kept < 1)
      return fail(path.string(), "analyses_kept is not a whole number above zero",
                  "write how many of the last analyses stay, such as analyses_kept = 3");
  }
  if (const toml::node* next = table->get("next_id")) {
    lab.next_id = next->value<int>();
    if (!lab.next_id || *lab.next_id < 1)
      return fail(path.string(), "next_id is not a whole number above zero",
                  "write the number of the next new athlete, such as next_id = 12");
  }
  return lab;
}

Result<void> set_in_lab_file(const fs::path& folder, const std::string& key,
                             const std::variant<std::string, int>& value) {
  const fs::path path = folder / lab_file_name;
  // Two who set two keys at once keep both.
  const auto lock = WaitingLock::acquire(path);
  if (!lock) return tl::make_unexpected(lock.error());
  auto table = read_table(path);
  if (!table) return tl::make_unexpected(table.error());
  std::visit([&](const auto& one) { table->insert_or_assign(key, one); }, value);
  std::ostringstream text;
  // Double quotes, as people write them.
  text << toml::toml_formatter(*table, toml::toml_formatter::default_flags &
                                           ~toml::format_flags::allow_literal_strings)
       << '\n';
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
