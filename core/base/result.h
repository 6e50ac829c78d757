// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <tl/expected.hpp>

namespace moundwork {

/// A failure that a user can meet: one sentence made of where it happened, what was found and what
/// to do about it. Broken promises inside the program throw instead.
struct Error {
  std::string where;   ///< file, place in it, device or option
  std::string what;    ///< what was found, and what was wanted
  std::string advice;  ///< what to do now; may be empty when `what` says it

  [[nodiscard]] std::string sentence() const;
};

template <class T>
using Result = tl::expected<T, Error>;
using Failure = tl::unexpected<Error>;

[[nodiscard]] Failure fail(std::string where, std::string what, std::string advice = {});

}  // namespace moundwork
