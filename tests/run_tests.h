// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/// Runs the tests that the arguments choose; the exit code of the program.
int run_tests(int argc, char** argv);
