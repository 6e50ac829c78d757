// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>

namespace moundwork::desk {

/// Whether the live page goes along with the throws that come: it shows the newest, until somebody
/// chooses an earlier one. Without a widget or a clock.
class LiveFollow {
 public:
  /// Somebody chose a throw of the list, of which the newest is `newest`.
  void choose(int number, int newest) { looks_back_ = number != newest; }
  /// The newest again, and those that come.
  void come_back() { looks_back_ = false; }
  /// Whether a throw that comes is shown; not while somebody says why one is left out.
  [[nodiscard]] bool shows_new(bool deciding) const { return !looks_back_ && !deciding; }
  /// Whether somebody chose to look at an earlier throw.
  [[nodiscard]] bool looks_back() const { return looks_back_; }

 private:
  bool looks_back_ = false;
};

/// After a note of an earlier throw the page comes back to the newest by itself, s.
inline constexpr double back_after_note = 5.0;

/// What the page says of it; `shown` and `newest` are throws' numbers, 0 for none.
[[nodiscard]] QString follow_words(int shown, int newest);

}  // namespace moundwork::desk
