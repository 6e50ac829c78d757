// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/result.h"

#include <utility>

namespace moundwork {

std::string Error::sentence() const {
  std::string text = where.empty() ? what : where + ": " + what;
  if (!advice.empty()) text += "; " + advice;
  // What it says may be another's sentence, which has its full stop.
  return text.ends_with('.') ? text : text + ".";
}

Failure fail(std::string where, std::string what, std::string advice) {
  return Failure(Error{std::move(where), std::move(what), std::move(advice)});
}

}  // namespace moundwork
