// SPDX-License-Identifier: GPL-3.0-or-later
// The one file that compiles the framework itself, which takes as long as a dozen tests.
#define CATCH_CONFIG_RUNNER
#include "run_tests.h"

#include <catch2/catch.hpp>

int run_tests(int argc, char** argv) { return Catch::Session().run(argc, argv); }
