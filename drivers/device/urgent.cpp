// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/device/urgent.h"

#include <sched.h>
#include <sys/resource.h>
#include <unistd.h>

namespace moundwork::drivers {

void make_this_thread_urgent() {
  // Low among real-time priorities: sound servers and drivers stay ahead.
  sched_param parameters{};
  parameters.sched_priority = 20;
  if (::sched_setscheduler(0, SCHED_RR | SCHED_RESET_ON_FORK, &parameters) != 0)
    prefer_this_thread();
}

void prefer_this_thread() {
  // On Linux a nice value belongs to a thread.
  constexpr int nice_enough = -10;
  (void)::setpriority(PRIO_PROCESS, static_cast<id_t>(::gettid()), nice_enough);
}

}  // namespace moundwork::drivers
