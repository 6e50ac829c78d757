// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace moundwork {

/// Where a caller closed the standard input, output or error, puts something there. A session file
/// opened later would else get its number, and what is printed would be written over the session.
void hold_standard_streams();

}  // namespace moundwork
