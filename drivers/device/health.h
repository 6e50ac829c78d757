// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <atomic>
#include <cstdint>
#include <string_view>

namespace moundwork::drivers {

enum class LinkState { closed, opening, streaming, silent, lost, finished };

[[nodiscard]] std::string_view to_text(LinkState state);

/// What a device's thread lets others see while it runs; every counter only grows.
struct DeviceHealth {
  std::atomic<LinkState> state{LinkState::closed};
  std::atomic<std::uint64_t> bytes{0};
  std::atomic<std::uint64_t> accepted{0};  ///< frames or lines used
  std::atomic<std::uint64_t> bad_checksum{0};
  std::atomic<std::uint64_t> malformed{0};  ///< frames or lines of wrong shape
  std::atomic<std::int64_t> rows{0};        ///< samples handed on
  std::atomic<std::int64_t> gaps{0};
  std::atomic<std::int64_t> missing_rows{0};
  std::atomic<std::int64_t> resets{0};  ///< of the device's counter
  std::atomic<std::int64_t> refused_rows{
      0};  ///< the recorder's queue was full; part of missing_rows
  /// The queue to who measures throws live was full; recorded all the same.
  std::atomic<std::int64_t> not_measured_rows{0};
  /// The screen's queue was full; recorded all the same.
  std::atomic<std::int64_t> not_displayed_rows{0};
  std::atomic<std::uint64_t> times_lost{0};
};

}  // namespace moundwork::drivers
