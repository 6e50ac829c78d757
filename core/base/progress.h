// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <utility>

#include "core/base/result.h"

namespace moundwork {

/// Told how much of a long work is done, 0 to 1, after each piece of it; answers whether to go on.
/// Work that is told to stop does so before its next piece, leaves whole files or none, and fails
/// with stopped() unless its header says what it brings instead. Called by one thread at a time,
/// not always by the one that asked for the work. May be empty: the work then goes on to its end.
using Progress = std::function<bool(double share)>;

[[nodiscard]] inline bool goes_on(const Progress& progress, double share) {
  return !progress || progress(share);
}

/// For a piece of the work, which is from `from` to `to` of the whole. The whole must outlive it.
[[nodiscard]] inline Progress piece_of(const Progress& whole, double from, double to) {
  if (!whole) return {};
  return [&whole, from, to](double share) { return whole(from + (to - from) * share); };
}

[[nodiscard]] inline Failure stopped(std::string where) {
  return fail(std::move(where), "was stopped before its end", "nothing of it was written");
}

}  // namespace moundwork
