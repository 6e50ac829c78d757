// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/time_zone.h"

#include <cctz/time_zone.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <system_error>

namespace moundwork {
namespace {

namespace fs = std::filesystem;

constexpr const char* utc = "UTC";

// Names come from files that others made, and the library would open whatever path it is given.
bool is_plain_name(std::string_view name) {
  constexpr std::size_t longest = 64;  // the longest of the database has 32
  const auto plain = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '-' || c == '+' || c == '/';
  };
  return !name.empty() && name.size() <= longest && name.front() != '/' && name.back() != '/' &&
         std::all_of(name.begin(), name.end(), plain);
}

std::optional<cctz::time_zone> load(const std::string& name) {
  cctz::time_zone zone;
  if (!is_plain_name(name) || !cctz::load_time_zone(name, &zone)) return std::nullopt;
  return zone;
}

// "/usr/share/zoneinfo/Europe/Paris" is Europe/Paris, "posix/" and "right/" being other copies.
std::string name_in(std::string path) {
  constexpr std::string_view folder = "zoneinfo/";
  if (const auto at = path.rfind(folder); at != std::string::npos)
    path.erase(0, at + folder.size());
  for (const std::string_view copy : {"posix/", "right/"})
    if (path.starts_with(copy)) path.erase(0, copy.size());
  return path;
}

std::optional<std::string> zone_of_environment() {
  const char* variable = std::getenv("TZ");  // NOLINT(concurrency-mt-unsafe): nobody sets it
  if (variable == nullptr) return std::nullopt;
  std::string name = variable;
  if (name.starts_with(':')) name.erase(0, 1);
  name = name.empty() ? utc : name_in(name);
  return is_zone(name) ? std::optional(name) : std::nullopt;
}

std::optional<std::string> zone_of_system() {
  std::error_code error;
  const fs::path link = fs::read_symlink("/etc/localtime", error);
  if (!error)
    if (const std::string name = name_in(link.string()); is_zone(name)) return name;
  // Where the link is a copy, or leads to a zone by another link, Debian says the name here.
  std::ifstream file("/etc/timezone");
  if (std::string name; file >> name && is_zone(name)) return name;
  return std::nullopt;
}

}  // namespace

bool is_zone(const std::string& name) { return load(name).has_value(); }

std::string computer_zone() {
  if (const auto named = zone_of_environment()) return *named;
  return zone_of_system().value_or(utc);
}

std::optional<std::chrono::seconds> utc_offset(WallTime time, const std::string& zone) {
  const auto loaded = load(zone);
  if (!loaded) return std::nullopt;
  return std::chrono::seconds(
      loaded->lookup(std::chrono::floor<std::chrono::seconds>(time)).offset);
}

std::string local_text(WallTime time, const std::string& zone) {
  return local_text(time, utc_offset(time, zone).value_or(std::chrono::seconds(0)));
}

std::string day_in(WallTime time, const std::string& zone) {
  constexpr std::size_t day_length = 10;  // 2026-04-18
  return local_text(time, zone).substr(0, day_length);
}

}  // namespace moundwork
