// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/lab_index.h"

#include <fstream>
#include <system_error>

#include "app/index/address.h"
#include "core/base/write_file.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;

fs::path address_file(const LabFolder& lab) { return lab.root / "index-address.txt"; }

// A file is seen from the lab's folder, wherever that is mounted.
std::string address_of(const LabFolder& lab, const std::string& typed) {
  if (typed.empty() || typed.find("://") != std::string::npos || typed.starts_with("host="))
    return typed;
  return (lab.root / typed).string();
}

}  // namespace

std::string index_of(const LabFolder& lab) {
  std::ifstream file(address_file(lab));
  std::string typed;
  std::getline(file, typed);
  return typed;
}

Result<void> keep_index(const LabFolder& lab, const std::string& typed) {
  const fs::path file = address_file(lab);
  if (typed.empty()) {
    std::error_code problem;
    fs::remove(file, problem);
    if (problem) return fail(file.string(), "cannot be removed: " + problem.message());
    return {};
  }
  const auto address = index::parse_address(address_of(lab, typed), "the lab's index");
  if (!address) return tl::make_unexpected(address.error());
  if (const auto opened = index::open_index(*address, index::Access::write); !opened)
    return tl::make_unexpected(opened.error());
  return replace_file(file, typed + '\n');
}

Result<std::optional<index::Index>> open_index_of(const LabFolder& lab) {
  if (is_practice(lab.root)) return std::optional<index::Index>();
  const std::string typed = index_of(lab);
  if (typed.empty()) return index::open_index_if_named({}, index::Access::write);
  return index::open_index_if_named(address_of(lab, typed), index::Access::write);
}

}  // namespace moundwork::desk
