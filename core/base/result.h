// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <tl/expected.hpp>

namespace moundwork {

/// What would help where the words for it depend on who asks: a command names its option, the
/// window its button.
enum class Remedy {
  none,
  another_place,             ///< for what is to be written
  another_place_or_replace,  ///< likewise, or let go what is there
  another_file_or_continue,  ///< for a recording, or go on with the one there
  lab_key,                   ///< say which file holds it
  measure,                   ///< analyse the session, once more if need be
  import_it,                 ///< another program's recording is no session yet
  settings_file,             ///< say what a table's columns are
  body_mass,
  throwing_hand,
  back_plate,
  lead_plate,
  make_index,        ///< the lab's list of its files is not there yet
  make_index_again,  ///< or spoilt
  another_index,     ///< what is there is no such list
  list_athletes,     ///< look up how they are called
  forget_again
};
/// Without anybody's option or button: "choose another place".
[[nodiscard]] std::string advice_of(Remedy remedy);

/// A failure that a user can meet: one sentence made of where it happened, what was found and what
/// to do about it. Broken promises inside the program throw instead.
struct Error {
  std::string where;             ///< file, place in it, device or option
  std::string what;              ///< what was found, and what was wanted
  std::string advice;            ///< what to do now; may be empty when `what` says it
  Remedy remedy = Remedy::none;  ///< that the advice is about, where there is one

  [[nodiscard]] std::string sentence() const;
};

template <class T>
using Result = tl::expected<T, Error>;
using Failure = tl::unexpected<Error>;

[[nodiscard]] Failure fail(std::string where, std::string what, std::string advice = {});
[[nodiscard]] Failure fail(std::string where, std::string what, Remedy remedy);

}  // namespace moundwork
