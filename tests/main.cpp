// SPDX-License-Identifier: GPL-3.0-or-later
#include <clocale>

#include "run_tests.h"

int main(int argc, char** argv) {
  // As a toolkit does, so that a number read by the system's decimal sign is found.
  (void)std::setlocale(LC_ALL, "");
  (void)std::setlocale(LC_MESSAGES, "C");
  return run_tests(argc, argv);
}
