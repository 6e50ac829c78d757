// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>

#include "app/desk/capture/throw_list.h"
#include "app/desk/review/numbers_panel.h"
#include "core/definitions/catalogue.h"

using namespace moundwork;
using namespace moundwork::desk;
using definitions::Quantity;

TEST_CASE("in body weights a force is one number, with the mass's part in its uncertainty",
          "[desk]") {
  // 400 N of 50 kg: 0.8158 BW; half a kilogram of doubt about the mass widens it.
  session::ResultThrow thrown;
  thrown.quantities = {{"drive_peak_force", {400.0, 2.0}, "N"},
                       {"drive_peak_force_bw", {0.8158, 0.0091}, "BW"}};
  Preferences preferences;
  preferences.force = ForceUnit::body_weight;
  CHECK(number_words(thrown, Quantity::drive_peak_force, preferences, 50.0) ==
        number_words(thrown, Quantity::drive_peak_force_bw, preferences, 50.0));
  NumbersPanel numbers;
  numbers.show_throw({}, {}, false, preferences, 50.0);
  for (const Quantity force :
       {Quantity::drive_peak_force, Quantity::braking_peak_force, Quantity::vertical_peak_force})
    CHECK(numbers.isRowHidden(static_cast<int>(force)));
  CHECK_FALSE(numbers.isRowHidden(static_cast<int>(Quantity::drive_peak_force_bw)));

  preferences.force = ForceUnit::newton;
  CHECK(number_words(thrown, Quantity::drive_peak_force, preferences, 50.0) ==
        QStringLiteral("400.0 ± 2.0 N"));
  numbers.show_throw({}, {}, false, preferences, 50.0);
  CHECK_FALSE(numbers.isRowHidden(static_cast<int>(Quantity::drive_peak_force)));
}
