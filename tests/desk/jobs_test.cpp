// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/jobs/jobs.h"

#include <QTest>
#include <catch2/catch.hpp>
#include <optional>

using namespace moundwork::desk;

TEST_CASE("work that is stopped too late hands over what it brought", "[jobs]") {
  Jobs jobs;
  QObject owner;
  bool done = false;
  bool told = false;
  std::optional<int> brought;
  const auto late = jobs.run(
      QStringLiteral("late"), &owner,
      [](JobControl& control) {
        while (control.progress(0.5)) QTest::qSleep(1);
        return 7;  // all of it was in place before anybody looked
      },
      [&](int) { done = true; }, [&](int result) { brought = result; });
  const auto silent = jobs.run(
      QStringLiteral("silent"), &owner,
      [](JobControl& control) {
        while (control.progress(0.5)) QTest::qSleep(1);
        return 8;
      },
      [&](int) { done = true; }, [&] { told = true; });
  late->cancel();
  silent->cancel();
  REQUIRE(QTest::qWaitFor([&] { return jobs.running().empty(); }, 10000));
  CHECK_FALSE(done);
  CHECK(brought == 7);
  CHECK(told);
}
