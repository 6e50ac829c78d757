// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <boost/lockfree/spsc_queue.hpp>
#include <boost/lockfree/stack.hpp>
#include <memory>
#include <vector>

#include "core/time/session_clock.h"

namespace moundwork::drivers {

/// A run of samples without a gap on its way from a device's thread to a consumer.
struct SampleBlock {
  DeviceTicks ticks{0};             ///< counter at the first row
  SessionTime arrival{};            ///< host clock when its last byte was read
  std::int64_t missing_before = 0;  ///< rows lost just before it
  std::int64_t rows = 0;
  std::vector<double> values;  ///< row-major (rows x channels), raw units
};

/// Bounded lock-free queue of blocks from one producer thread to one consumer thread. The blocks
/// are owned by a pool and used again, the last one freed first: neither thread allocates once they
/// have grown, and no more of them grow than ever waited at once.
class BlockQueue {
 public:
  explicit BlockQueue(std::size_t capacity) : sent_(capacity), free_(capacity) {
    pool_.reserve(capacity);
    for (std::size_t i = 0; i < capacity; ++i) {
      pool_.push_back(std::make_unique<SampleBlock>());
      free_.bounded_push(pool_.back().get());
    }
  }

  /// Producer: false if the consumer is too far behind; nothing is queued then.
  [[nodiscard]] bool try_push(const SampleBlock& block) {
    SampleBlock* free = nullptr;
    if (!free_.pop(free)) return false;
    *free = block;
    sent_.push(free);  // cannot fail: as many places as blocks
    return true;
  }

  /// Consumer: calls `use` for the oldest block; false if there is none.
  template <class Use>
  bool consume(Use&& use) {
    SampleBlock* block = nullptr;
    if (!sent_.pop(block)) return false;
    use(static_cast<const SampleBlock&>(*block));
    free_.bounded_push(block);  // cannot fail, likewise
    return true;
  }

  /// Blocks waiting; exact only when neither thread is at work.
  [[nodiscard]] std::size_t waiting() const { return sent_.read_available(); }
  [[nodiscard]] std::size_t capacity() const { return pool_.size(); }

 private:
  std::vector<std::unique_ptr<SampleBlock>> pool_;
  boost::lockfree::spsc_queue<SampleBlock*> sent_;  // producer to consumer
  boost::lockfree::stack<SampleBlock*> free_;       // consumer to producer
};

}  // namespace moundwork::drivers
