// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>
#include <vector>

/// Values of the sentences on pages.
namespace moundwork::summary {

[[nodiscard]] std::string count_of_throws(int count);  ///< "12 throws"
/// "1 May 2026, 10:32" of an ISO 8601 time ("UTC" behind it where it ends so); what is none stays
/// as it is.
[[nodiscard]] std::string date_and_time(std::string_view iso);
[[nodiscard]] std::string date_only(std::string_view iso);

/// "throw 3", "throws 1 to 4 and 7"; "all throws" where `numbers` are `of_all` and more than one.
[[nodiscard]] std::string throws_text(const std::vector<int>& numbers, int of_all);
/// "a, b and c".
[[nodiscard]] std::string listed(const std::vector<std::string>& items);

/// The plain words for a doubt about a throw, by its flag; empty for a flag without any.
[[nodiscard]] std::string doubt_text(std::string_view flag);
/// Its place in the order of telling.
[[nodiscard]] std::size_t doubt_rank(std::string_view flag);

}  // namespace moundwork::summary
