// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace moundwork::drivers {

/// Asks that this thread be run ahead of ordinary programs: for the short work of reading devices
/// and writing what came, which must not wait behind a compiler or a browser. Real-time round robin
/// where this user may have it (RLIMIT_RTPRIO), else a better nice value (RLIMIT_NICE), else
/// nothing: the recording works all the same, only its delays follow the computer's load.
/// Threads made afterwards by this one do not inherit it.
void make_this_thread_urgent();

/// Asks for a better nice value only, where this user may have it: for work that somebody waits for
/// but that is too long to run ahead of everything.
void prefer_this_thread();

}  // namespace moundwork::drivers
