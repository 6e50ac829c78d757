// SPDX-License-Identifier: GPL-3.0-or-later
#include <QLineEdit>
#include <QMouseEvent>
#include <QSignalSpy>
#include <QTest>
#include <catch2/catch.hpp>
#include <cmath>

#include "app/desk/jobs/analysis_job.h"
#include "app/desk/review/event_words.h"
#include "app/desk/review/label_rows.h"
#include "app/desk/review/review_page.h"
#include "app/desk/review/throw_traces.h"
#include "app/desk/review/throws_in_memory.h"
#include "app/desk/review/trace_plot.h"
#include "core/base/wall_time.h"
#include "core/marks/frame_marks.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/reader.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

/// The sample recording, measured, in a folder of the test's own.
std::filesystem::path sample_in(const support::Folder& folder) {
  const auto file = folder / "two-pitches.h5";
  std::filesystem::copy_file(std::filesystem::path(MOUNDWORK_SAMPLE_DATA) / "two-pitches.h5", file);
  const auto reader = session::Reader::open(file);
  REQUIRE(reader);
  const definitions::Settings settings;
  const auto analysis = pitch::analyse(*reader, settings);
  REQUIRE(analysis);
  REQUIRE(session::append_results(file, pitch::to_results(*analysis, settings, iso_now())));
  return file;
}

/// Lets timers, threads and messages run until something is true.
template <class Condition>
bool wait_for(Condition condition, int longest_ms = 30000) {
  return QTest::qWaitFor(condition, longest_ms);
}

session::EditState state_of_shown(const DeskState& state) {
  for (const session::ResultThrow& thrown : state.session()->results().throws)
    if (thrown.number == state.shown_throw())
      return session::state_of(state.session()->edits(), seconds(thrown.contact));
  return {};
}

}  // namespace

TEST_CASE("labels that would touch go to rows of their own, and no more rows than that") {
  CHECK(label_rows({{0, 10}, {20, 30}, {40, 50}}, 4) == std::vector<int>{0, 0, 0});
  CHECK(label_rows({{0, 10}, {12, 20}, {13, 22}, {30, 40}}, 4) == std::vector<int>{0, 1, 2, 0});
  // The order given does not matter, only where labels lie.
  CHECK(label_rows({{12, 20}, {0, 10}}, 4) == std::vector<int>{1, 0});
  CHECK(label_rows({}, 4).empty());
}

TEST_CASE("times from contact are said in milliseconds with their sign") {
  CHECK(from_contact_text(0.0124) == QStringLiteral("+12.4 ms"));
  CHECK(from_contact_text(-0.2, 0.001) == QStringLiteral("−200.0 ± 1.0 ms"));
  CHECK(from_contact_text(std::nan("")) == QStringLiteral("not found"));
}

TEST_CASE("heel-to-toe is the part of the way from heel to toe") {
  pitch::ThrowData data;
  CHECK(std::isnan(heel_toe_percent(data, 0.0, 0.0)));
  data.heel = Eigen::Vector2d(0.1, 0.13);
  data.toe = Eigen::Vector2d(0.1, -0.13);
  CHECK(heel_toe_percent(data, 0.1, 0.13) == Approx(0.0).margin(1e-12));
  CHECK(heel_toe_percent(data, 0.3, 0.0) == Approx(50.0));  // beside the line: its foot on it
  CHECK(heel_toe_percent(data, 0.1, -0.13) == Approx(100.0));
}

TEST_CASE("a throw is reviewed: an event moved, numbers follow, undone, excluded, reset") {
  const support::Folder folder;
  const auto file = sample_in(folder);
  Preferences preferences;
  preferences.person = QStringLiteral("coach");
  DeskState state{preferences};
  Jobs jobs;
  ReviewPage page(state, jobs);
  page.resize(1300, 640);
  page.show();
  REQUIRE(state.open_session(file));
  REQUIRE(state.session()->results().throws.size() == 2);
  auto* plot = page.findChild<TracePlot*>();
  REQUIRE(plot != nullptr);
  REQUIRE(wait_for([&] { return !plot->markers().empty(); }));

  const auto contact_marker = [&] {
    for (const PlotMarker& marker : plot->markers())
      if (marker.id == static_cast<int>(definitions::Event::lead_contact)) return marker;
    return PlotMarker{};
  };
  CHECK(contact_marker().time == Approx(0.0).margin(1e-9));

  // By keys: choose lead contact, then 5 ms later.
  plot->setFocus();
  plot->choose_marker(static_cast<int>(definitions::Event::lead_contact));
  QTest::keyClick(plot, Qt::Key_Right, Qt::ShiftModifier);
  REQUIRE(state.session()->edits().size() == 1);
  const session::Edit moved = state.session()->edits().front();
  CHECK(moved.action == session::Action::move_event);
  CHECK(moved.target == "lead_contact");
  CHECK(moved.value - moved.throw_contact == Approx(0.005).margin(1e-6));
  CHECK(moved.who == "coach");
  REQUIRE(state_of_shown(state).moved.size() == 1);

  // Measured again by itself; the results then hold the moved contact.
  REQUIRE(wait_for([&] {
    const auto& flags = state.session()->results().throws.back().flags;
    return std::any_of(flags.begin(), flags.end(),
                       [](const auto& flag) { return flag.key == "moved_by_hand"; });
  }));

  page.undo_stack()->undo();
  CHECK(state_of_shown(state).moved.empty());
  CHECK(state.session()->edits().size() == 2);
  page.undo_stack()->redo();
  CHECK(state_of_shown(state).moved.size() == 1);

  // Exclusion asks for a reason.
  auto* reason = page.findChild<QLineEdit*>(QStringLiteral("reason_to_exclude"));
  REQUIRE(reason != nullptr);
  const std::size_t before = state.session()->edits().size();
  QTest::keyClick(reason, Qt::Key_Return);
  CHECK(state.session()->edits().size() == before);
  QTest::keyClicks(reason, QStringLiteral("slipped"));
  QTest::keyClick(reason, Qt::Key_Return);
  REQUIRE(state_of_shown(state).excluded);
  CHECK(state_of_shown(state).excluded->why == "slipped");

  // What was written is in the file, not in the window alone.
  CHECK(QTest::qWaitFor([&] {
    const auto edits = session::read_edits(file);
    return edits && edits->size() == state.session()->edits().size();
  }));
}

TEST_CASE("an event is dragged with the mouse and let go") {
  const support::Folder folder;
  DeskState state{Preferences{}};
  Jobs jobs;
  ReviewPage page(state, jobs);
  page.resize(1300, 640);
  page.show();
  REQUIRE(state.open_session(sample_in(folder)));
  auto* plot = page.findChild<TracePlot*>();
  REQUIRE(wait_for([&] { return !plot->markers().empty(); }));
  QTest::qWait(50);
  const QSignalSpy dropped(plot, &TracePlot::marker_dropped);
  const QCPAxis* time = plot->axisRects().back()->axis(QCPAxis::atBottom);
  const double from = [&] {
    for (const PlotMarker& marker : plot->markers())
      if (marker.id == static_cast<int>(definitions::Event::drive_start)) return marker.time;
    return std::nan("");
  }();
  REQUIRE(std::isfinite(from));
  const int y = plot->axisRects().back()->center().y();
  const QPoint start(static_cast<int>(std::lround(time->coordToPixel(from))), y);
  QTest::mousePress(plot, Qt::LeftButton, {}, start);
  QTest::mouseMove(plot, start + QPoint(-12, 0));
  QMouseEvent move(QEvent::MouseMove, start + QPoint(-12, 0),
                   plot->mapToGlobal(start + QPoint(-12, 0)), Qt::NoButton, Qt::LeftButton, {});
  QCoreApplication::sendEvent(plot, &move);
  QTest::mouseRelease(plot, Qt::LeftButton, {}, start + QPoint(-12, 0));
  REQUIRE(dropped.count() == 1);
  REQUIRE(state.session()->edits().size() == 1);
  CHECK(state.session()->edits().front().target == "drive_start");
  const double moved_by = dropped.front().at(1).toDouble() - from;
  CHECK(moved_by ==
        Approx(time->pixelToCoord(start.x() - 12) - time->pixelToCoord(start.x())).margin(1e-4));
}

TEST_CASE("a release marked in a video reaches the other throws too") {
  const support::Folder folder;
  const LabFolder lab{folder.path()};
  const auto file = folder / "heard.h5";
  model::SessionSettings settings;
  settings.athlete = 2;
  settings.performance.pitches = 2;
  settings.station.trigger = false;
  settings.station.radar = settings.station.microphone = true;
  const auto made = model::simulate_session(file, settings);
  if (!made) FAIL(made.error().sentence());
  DeskState state{Preferences{}};
  Jobs jobs;
  QObject owner;
  const auto measure = [&] {
    bool measured = false;
    analyse_session(jobs, &owner, lab, file, [&](const Result<void>& done) { measured = !!done; });
    REQUIRE(wait_for([&] { return measured; }));
  };
  measure();
  ThrowsInMemory throws(state, jobs);
  REQUIRE(state.open_session(file));
  REQUIRE(state.session()->results().throws.size() == 2);
  REQUIRE(wait_for([&] { return throws.want(1) != nullptr && throws.want(2) != nullptr; }));
  const auto first = throws.want(1);
  const Measured before = throws.want(2)->release().time;

  // The video sees the first throw's release 8 ms later than sound and radar say.
  constexpr double rate = 240.0;
  const double seen = first->release().time.value + 0.008 - first->contact();
  REQUIRE(state.add_edit(marks::to_edit(
      {marks::BodyMark::release, 100.0 + seen * rate, 100.0, rate}, first->contact())));
  REQUIRE(wait_for([&] { return session::read_edits(file)->size() == 1; }));
  measure();
  REQUIRE(state.reload_session());
  CHECK(throws.want(2) != nullptr);  // what is at hand stays until the new one is
  REQUIRE(wait_for([&] { return throws.want(2)->release().time.value != before.value; }));
  CHECK(throws.want(2)->release().time.value > before.value);
  const auto reader = session::Reader::open(file);
  const auto fresh = pitch::SessionThrows::find(*reader, {});
  REQUIRE(fresh);
  CHECK(throws.want(2)->release().time.value == fresh->take(1)->release().time.value);
}
