// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>

#include "core/session/session.h"

namespace moundwork::session {

/// Calls `visit` with a value of the type that the samples are stored in.
template <class Visit>
auto with_sample_type(SampleType type, const Visit& visit) {
  switch (type) {
    case SampleType::int16:
      return visit(std::int16_t{});
    case SampleType::int32:
      return visit(std::int32_t{});
    case SampleType::float32:
      return visit(float{});
    case SampleType::float64:
      break;
  }
  return visit(double{});
}

}  // namespace moundwork::session
