// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/device/block_queue.h"

#include <catch2/catch.hpp>
#include <set>
#include <thread>

using namespace moundwork;
using namespace moundwork::drivers;

TEST_CASE("a full queue refuses and keeps what it has", "[device]") {
  BlockQueue queue(3);
  SampleBlock block;
  for (int i = 0; i < 3; ++i) {
    block.rows = i;
    CHECK(queue.try_push(block));
  }
  CHECK(queue.waiting() == 3);
  block.rows = 99;
  CHECK_FALSE(queue.try_push(block));
  std::vector<std::int64_t> rows;
  while (queue.consume([&](const SampleBlock& taken) { rows.push_back(taken.rows); })) {
  }
  CHECK(rows == std::vector<std::int64_t>{0, 1, 2});
  CHECK(queue.try_push(block));
}

TEST_CASE("two threads pass every accepted block on, in order and whole", "[device]") {
  for (const std::size_t capacity : {1U, 2U, 7U, 256U}) {
    BlockQueue queue(capacity);
    constexpr std::int64_t blocks = 20000;
    std::int64_t wrong = 0;
    std::thread consumer([&] {
      std::int64_t next = 0;
      while (next < blocks) {
        const bool took = queue.consume([&](const SampleBlock& block) {
          if (block.rows != next || block.values.size() != static_cast<std::size_t>(next % 50) ||
              (!block.values.empty() && block.values.back() != static_cast<double>(next)))
            ++wrong;
          ++next;
        });
        if (!took) std::this_thread::yield();
      }
    });
    SampleBlock block;
    for (std::int64_t i = 0; i < blocks; ++i) {
      block.rows = i;
      block.values.assign(static_cast<std::size_t>(i % 50), static_cast<double>(i));
      while (!queue.try_push(block)) std::this_thread::yield();
    }
    consumer.join();
    CHECK(wrong == 0);
  }
}

TEST_CASE("a queue's memory follows what waits, not what it could hold", "[device]") {
  BlockQueue queue(100);
  SampleBlock block;
  block.values.assign(1000, 1.0);
  std::set<const double*> places;
  for (int i = 0; i < 1000; ++i) {
    for (int waiting = 0; waiting < 3; ++waiting) REQUIRE(queue.try_push(block));
    while (queue.consume([&](const SampleBlock& taken) { places.insert(taken.values.data()); })) {
    }
  }
  CHECK(places.size() == 3);
}
