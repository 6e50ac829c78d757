// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/program_locale.h"

#include <clocale>

namespace moundwork {

void keep_program_locale() {
  (void)std::setlocale(LC_NUMERIC, "C");
  (void)std::setlocale(LC_MESSAGES, "C");
}

}  // namespace moundwork
