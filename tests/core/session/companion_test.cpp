// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <thread>
#include <vector>

#include "core/session/results.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using namespace moundwork::session;

TEST_CASE("a throw can be tagged while its session is still being recorded") {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  auto writer = Writer::create(path, support::example_session(), {.appear_when_closed = false});
  REQUIRE(writer);
  Edit tag;
  tag.action = "tag";
  tag.target = "pitch_type";
  tag.text = "four seam";
  REQUIRE(append_edit(path, tag));
  REQUIRE(writer->close());
  const auto edits = read_edits(path);
  REQUIRE(edits);
  REQUIRE(edits->size() == 1);
  CHECK(edits->front().text == "four seam");
}

TEST_CASE("edits and results written at the same time all stay") {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  {
    auto writer = Writer::create(path, support::example_session());
    REQUIRE(writer);
    REQUIRE(writer->close());
  }
  constexpr int writers = 4, each = 15;
  {
    std::vector<std::jthread> threads;
    for (int w = 0; w < writers; ++w)
      threads.emplace_back([&, w] {
        for (int i = 0; i < each; ++i) {
          Edit edit;
          edit.who = std::to_string(w);
          edit.action = "tag";
          edit.value = i;
          if (!append_edit(path, edit)) std::abort();
          if (w == 0 && i % 5 == 0 && !append_results(path, {"2026-01-01", "x", "{}", {}}))
            std::abort();
        }
      });
  }
  const auto edits = read_edits(path);
  REQUIRE(edits);
  CHECK(edits->size() == static_cast<std::size_t>(writers * each));
  std::vector<double> last(writers, -1.0);
  for (const Edit& edit : *edits) {
    double& before = last[static_cast<std::size_t>(std::stoi(edit.who))];
    CHECK(edit.value == before + 1.0);
    before = edit.value;
  }
}
