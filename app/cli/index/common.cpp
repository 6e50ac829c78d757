// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/index/common.h"

#include <CLI/CLI.hpp>
#include <cmath>
#include <iostream>
#include <nlohmann/json.hpp>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "app/index/address.h"
#include "core/base/time_zone.h"
#include "core/base/wall_time.h"

namespace moundwork::cli {

using nlohmann::ordered_json;

void add_common(CLI::App& command, IndexOptions& options) {
  command
      .add_option("--index", options.index,
                  "File or postgresql://USER@HOST/DATABASE; MOUNDWORK_INDEX when not said, else a "
                  "file of this account")
      ->type_name("INDEX");
  command.add_flag("--json", options.json, "Print JSON in SI units");
}

Result<index::Index> open(const IndexOptions& options, index::Access access) {
  const auto address = index::choose_address(options.index, "--index");
  if (!address) return tl::make_unexpected(address.error());
  return index::open_index(*address, access);
}

void complain_of_index(const Error& error) {
  std::cerr << "moundwork index: " << error_words(error) << '\n';
}

std::string day_here(const std::string& time) {
  const auto read = from_iso_text(time);
  return read ? day_in(*read, computer_zone()) : time;
}

void print_json(const ordered_json& document) { std::cout << json_text(document) << '\n'; }

ordered_json or_null(double value) {
  return std::isfinite(value) ? ordered_json(value) : ordered_json();
}

ordered_json or_null(const std::optional<int>& value) {
  return value ? ordered_json(*value) : ordered_json();
}

}  // namespace moundwork::cli
