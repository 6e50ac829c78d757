// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/jobs/jobs.h"

#include <algorithm>

namespace moundwork::desk {

Jobs::~Jobs() {
  for (Job& job : running_) job.control->cancel();
  running_.clear();  // joins
}

void Jobs::ended(const std::shared_ptr<JobControl>& control) {
  running_.remove_if([&](const Job& job) { return job.control == control; });
  Q_EMIT changed();
}

}  // namespace moundwork::desk
