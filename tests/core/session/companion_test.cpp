// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <thread>
#include <vector>

#include "core/session/edit_state.h"
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

TEST_CASE("each of several undos at the same time takes back another edit") {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  {
    auto writer = Writer::create(path, support::example_session());
    REQUIRE(writer);
    REQUIRE(writer->close());
  }
  constexpr int edits = 12;
  for (int i = 0; i < edits; ++i) {
    Edit edit;
    edit.action = "tag";
    REQUIRE(append_edit(path, edit));
  }
  const auto undo = [&] {
    return append_edit(path, [](std::span<const Edit> all) -> Result<Edit> {
      const auto row = row_to_undo(all);
      if (!row) return fail("the list", "has nothing to undo");
      return undo_of(all, *row);
    });
  };
  {
    std::vector<std::jthread> threads;
    for (int t = 0; t < 4; ++t)
      threads.emplace_back([&] {
        for (int i = 0; i < edits / 4; ++i)
          if (!undo()) std::abort();
      });
  }
  const auto all = read_edits(path).value();
  REQUIRE(all.size() == 2U * edits);
  const std::vector<bool> stands = standing(all);
  CHECK(std::none_of(stands.begin(), stands.begin() + edits, [](bool stood) { return stood; }));
  CHECK_FALSE(undo());
  CHECK(read_edits(path)->size() == all.size());
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
