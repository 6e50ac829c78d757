// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>

#include "app/index/index.h"
#include "core/base/result.h"

namespace CLI {
class App;
}

/// What the commands below `moundwork index` have in common.
namespace moundwork::cli {

struct IndexOptions {
  std::string index;
  bool json = false;
};
void add_common(CLI::App& command, IndexOptions& options);

[[nodiscard]] Result<index::Index> open(const IndexOptions& options, index::Access access);

/// One sentence to standard error.
void complain_of_index(const Error& error);

/// The day, by this computer's clock, of what the index itself noted.
[[nodiscard]] std::string day_here(const std::string& time);

/// Names in files may be anything: never fails on bytes that are no text.
void print_json(const nlohmann::ordered_json& document);
/// Not known is null, as everywhere in the JSON of this program.
[[nodiscard]] nlohmann::ordered_json or_null(double value);
[[nodiscard]] nlohmann::ordered_json or_null(const std::optional<int>& value);

}  // namespace moundwork::cli
