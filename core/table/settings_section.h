// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <toml++/toml.h>

#include <Eigen/Core>
#include <initializer_list>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/base/result.h"
#include "core/base/units.h"

namespace moundwork::table {

/// The first thing found wrong in a settings file. Reading goes on with stand-in values, which are
/// thrown away, so that readers need not stop at every key.
class Faults {
 public:
  explicit Faults(std::string file) : file_(std::move(file)) {}
  void add(const toml::node& at, std::string what, std::string advice = {});
  [[nodiscard]] const std::optional<Error>& first() const { return first_; }
  [[nodiscard]] const std::string& file() const { return file_; }

 private:
  std::string file_;
  std::optional<Error> first_;
};

/// One table of a settings file; every reading checks type and range and adds to the faults. A key
/// that is absent gives nothing; `needed` variants then add a fault.
class Section {
 public:
  /// Refuses every key not in `keys`, suggesting the nearest. `name` is as the user writes it.
  Section(const toml::table& table, std::string name, Faults& faults,
          std::span<const std::string_view> keys);
  Section(const toml::table& table, std::string name, Faults& faults,
          std::initializer_list<std::string_view> keys)
      : Section(table, std::move(name), faults, std::span(keys.begin(), keys.size())) {}

  [[nodiscard]] bool has(std::string_view key) const { return table_.contains(key); }
  void fault_at(std::string_view key, std::string what, std::string advice = {}) const;
  void fault(std::string what, std::string advice = {}) const;

  [[nodiscard]] std::optional<std::string> text(std::string_view key) const;
  [[nodiscard]] std::string needed_text(std::string_view key) const;
  /// One of the words given, by its place among them.
  [[nodiscard]] std::optional<std::size_t> choice(
      std::string_view key, std::initializer_list<std::string_view> words) const;
  [[nodiscard]] std::optional<int> integer(std::string_view key, int least, int greatest) const;
  [[nodiscard]] std::optional<double> number(std::string_view key, double least,
                                             double greatest) const;
  /// Text of a number with its unit, in SI; must be positive, or zero where that is allowed.
  [[nodiscard]] std::optional<double> quantity(std::string_view key, Dimension dimension,
                                               bool zero_allowed = false) const;
  [[nodiscard]] std::vector<std::string> texts(std::string_view key) const;
  [[nodiscard]] std::optional<Eigen::Vector3d> point(std::string_view key) const;
  /// Rows of equal length; at least 1 x 1.
  [[nodiscard]] std::optional<Eigen::MatrixXd> matrix(std::string_view key) const;
  /// A table inside this one, or nothing.
  [[nodiscard]] const toml::table* table(std::string_view key) const;
  void need(std::string_view key) const;

 private:
  const toml::table& table_;
  std::string name_;
  Faults& faults_;
};

}  // namespace moundwork::table
