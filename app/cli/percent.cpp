// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/percent.h"

#include <fmt/format.h>

#include <charconv>
#include <string>

namespace moundwork::cli {

Result<double> percent(std::string_view text, std::string_view where) {
  double number = 0.0;
  const char* const end = text.data() + text.size();
  const auto [rest, status] = std::from_chars(text.data(), end, number);
  std::string_view sign(rest, static_cast<std::size_t>(end - rest));
  while (!sign.empty() && sign.front() == ' ') sign.remove_prefix(1);
  if (status != std::errc{} || sign != "%")
    return fail(std::string(where), fmt::format("'{}' is no percentage", text),
                "write it with its sign, such as 45%");
  if (!(number >= 0.0 && number <= 100.0))
    return fail(std::string(where), fmt::format("{} is not between 0 and 100 %", text));
  return number / 100.0;
}

}  // namespace moundwork::cli
