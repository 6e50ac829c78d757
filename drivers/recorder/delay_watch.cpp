// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/delay_watch.h"

#include "core/base/sentence.h"

namespace moundwork::drivers {

const std::string& DelayWatch::look(double unforced, Clock::time_point now) {
  constexpr double promised = 1.0;  // s
  constexpr std::chrono::seconds calm{10};
  if (unforced > promised) {
    slow_ = now;
  } else if (slow_ && now - *slow_ > calm) {
    slow_.reset();
    said_.clear();
  }
  if (unforced > say_above_) {
    while (say_above_ < unforced) say_above_ *= 2.0;
    said_ = sentence(
        "The disk is slow: it has not confirmed what was recorded in the last {seconds} s, and a "
        "power cut now could lose that.",
        "seconds"_is(static_cast<int>(unforced)));
  } else if (slow_ && said_.empty()) {
    said_ = sentence(
        "The disk is slow again: what is recorded waits for more than a second until it is safe "
        "from a power cut.");
  }
  return said_;
}

}  // namespace moundwork::drivers
