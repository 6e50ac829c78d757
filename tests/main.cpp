// SPDX-License-Identifier: GPL-3.0-or-later
#define CATCH_CONFIG_RUNNER
#include <catch2/catch.hpp>
#include <clocale>

int main(int argc, char** argv) {
  // As the window's toolkit does, so that a number read by the system's decimal sign is found.
  (void)std::setlocale(LC_ALL, "");
  return Catch::Session().run(argc, argv);
}
