// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/table/settings_section.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace moundwork::table {
namespace {

// Levenshtein distance: insertions, deletions and changes from one word to the other.
std::size_t distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t changed = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({changed, row[j] + 1, row[j - 1] + 1});
    }
  }
  return row.back();
}

std::string list(std::span<const std::string_view> words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

std::string_view kind_of(const toml::node& node) {
  if (node.is_string()) return "text";
  if (node.is_integer() || node.is_floating_point()) return "a number";
  if (node.is_boolean()) return "true or false";
  if (node.is_array()) return "a list";
  if (node.is_table()) return "a table";
  return "a date or time";
}

// A finite number, whole or not.
std::optional<double> finite(const toml::node& node) {
  if (!node.is_integer() && !node.is_floating_point()) return std::nullopt;
  const auto value = node.value<double>();
  if (!value || !std::isfinite(*value)) return std::nullopt;
  return value;
}

// A word of the file that may be long or hold control characters.
std::string legible(std::string_view text) {
  constexpr std::size_t longest = 40;
  std::string clean(text.substr(0, longest));
  for (char& c : clean)
    if (static_cast<unsigned char>(c) < 0x20 || static_cast<unsigned char>(c) > 0x7e) c = '?';
  return text.size() > longest ? clean + "..." : clean;
}

}  // namespace

void Faults::add(const toml::node& at, std::string what, std::string advice) {
  if (first_) return;
  first_ = Error{fmt::format("{}, line {}", file_, at.source().begin.line), std::move(what),
                 std::move(advice)};
}

Section::Section(const toml::table& table, std::string name, Faults& faults,
                 std::span<const std::string_view> keys)
    : table_(table), name_(std::move(name)), faults_(faults) {
  for (const auto& entry : table_) {
    const std::string_view key = entry.first.str();
    if (std::find(keys.begin(), keys.end(), key) != keys.end()) continue;
    const auto nearest =
        std::min_element(keys.begin(), keys.end(), [key](std::string_view a, std::string_view b) {
          return distance(key, a) < distance(key, b);
        });
    const bool likely = distance(key, *nearest) <= nearest->size() / 2 + 1;
    faults_.add(entry.second, fmt::format("{} has no key '{}'", name_, legible(key)),
                likely ? fmt::format("did you mean '{}'?", *nearest)
                       : fmt::format("its keys are {}", list(keys)));
  }
}

void Section::fault_at(std::string_view key, std::string what, std::string advice) const {
  const toml::node* node = table_.get(key);
  faults_.add(node == nullptr ? static_cast<const toml::node&>(table_) : *node,
              fmt::format("'{}' of {} {}", key, name_, what), std::move(advice));
}

void Section::fault(std::string what, std::string advice) const {
  faults_.add(table_, fmt::format("{} {}", name_, what), std::move(advice));
}

void Section::need(std::string_view key) const {
  if (!has(key)) faults_.add(table_, fmt::format("{} needs '{}'", name_, key));
}

std::optional<std::string> Section::text(std::string_view key) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return std::nullopt;
  const auto* value = node->as_string();
  if (value == nullptr) {
    fault_at(key, fmt::format("is {}, where text in quotes is wanted", kind_of(*node)));
    return std::nullopt;
  }
  // What follows it would be lost where the text is stored, and two identities become one.
  if (value->get().find('\0') != std::string::npos) {
    fault_at(key, "holds a NUL character", "take it out");
    return std::nullopt;
  }
  return value->get();
}

std::string Section::needed_text(std::string_view key) const {
  need(key);
  return text(key).value_or("");
}

std::optional<std::size_t> Section::choice(std::string_view key,
                                           std::initializer_list<std::string_view> words) const {
  const auto word = text(key);
  if (!word) return std::nullopt;
  const auto found = std::find(words.begin(), words.end(), *word);
  if (found == words.end()) {
    fault_at(key, fmt::format("is '{}', where one of {} is wanted", legible(*word), list(words)));
    return std::nullopt;
  }
  return static_cast<std::size_t>(found - words.begin());
}

std::optional<int> Section::integer(std::string_view key, int least, int greatest) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return std::nullopt;
  const auto* value = node->as_integer();
  if (value == nullptr || value->get() < least || value->get() > greatest) {
    fault_at(key, fmt::format("is not a whole number from {} to {}", least, greatest));
    return std::nullopt;
  }
  return static_cast<int>(value->get());
}

std::optional<double> Section::number(std::string_view key, double least, double greatest) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return std::nullopt;
  const auto value = finite(*node);
  if (!value || *value < least || *value > greatest) {
    fault_at(key, fmt::format("is not a number from {} to {}", least, greatest));
    return std::nullopt;
  }
  return value;
}

std::optional<double> Section::quantity(std::string_view key, Dimension dimension,
                                        bool zero_allowed) const {
  const auto written = text(key);
  if (!written) return std::nullopt;
  const auto value = parse_quantity(legible(*written), dimension, "");
  if (!value) {
    fault_at(key, fmt::format("is wrong: {}", value.error().what), value.error().advice);
    return std::nullopt;
  }
  if (!std::isfinite(*value) || *value < 0.0 || (*value == 0.0 && !zero_allowed)) {
    fault_at(key, fmt::format("is '{}', where a positive value is wanted", legible(*written)));
    return std::nullopt;
  }
  return *value;
}

std::vector<std::string> Section::texts(std::string_view key) const {
  std::vector<std::string> all;
  const toml::node* node = table_.get(key);
  if (node == nullptr) return all;
  const auto* array = node->as_array();
  if (array == nullptr) {
    fault_at(key, fmt::format("is {}, where a list of texts is wanted", kind_of(*node)));
    return all;
  }
  for (const toml::node& element : *array) {
    const auto* value = element.as_string();
    if (value == nullptr) {
      fault_at(key, fmt::format("holds {}, where text in quotes is wanted", kind_of(element)));
      return all;
    }
    all.push_back(value->get());
  }
  return all;
}

std::optional<Eigen::Vector3d> Section::point(std::string_view key) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return std::nullopt;
  const auto* array = node->as_array();
  Eigen::Vector3d values;
  if (array != nullptr && array->size() == 3) {
    Eigen::Index i = 0;
    for (const toml::node& element : *array) {
      const auto value = finite(element);
      if (!value) break;
      values(i++) = *value;
    }
    if (i == 3) return values;
  }
  fault_at(key, "is not a list of three numbers");
  return std::nullopt;
}

std::optional<Eigen::MatrixXd> Section::matrix(std::string_view key) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return std::nullopt;
  const auto refuse = [&](std::string what) -> std::optional<Eigen::MatrixXd> {
    fault_at(key, std::move(what));
    return std::nullopt;
  };
  const auto* rows = node->as_array();
  if (rows == nullptr || rows->empty()) return refuse("is not a list of rows of numbers");
  Eigen::MatrixXd values;
  for (std::size_t i = 0; i < rows->size(); ++i) {
    const auto* row = (*rows)[i].as_array();
    if (row == nullptr || row->empty()) return refuse("is not a list of rows of numbers");
    if (i == 0)
      values.resize(static_cast<Eigen::Index>(rows->size()),
                    static_cast<Eigen::Index>(row->size()));
    if (static_cast<Eigen::Index>(row->size()) != values.cols())
      return refuse(fmt::format("has {} numbers in row {} and {} in the first", row->size(), i + 1,
                                values.cols()));
    for (std::size_t j = 0; j < row->size(); ++j) {
      const auto value = finite((*row)[j]);
      if (!value)
        return refuse(fmt::format("has no finite number in row {}, column {}", i + 1, j + 1));
      values(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) = *value;
    }
  }
  return values;
}

const toml::table* Section::table(std::string_view key) const {
  const toml::node* node = table_.get(key);
  if (node == nullptr) return nullptr;
  const auto* inner = node->as_table();
  if (inner == nullptr)
    fault_at(key, fmt::format("is {}, where a table is wanted", kind_of(*node)));
  return inner;
}

}  // namespace moundwork::table
