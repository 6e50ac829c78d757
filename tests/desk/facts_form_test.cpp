// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/facts_form.h"

#include <QLabel>
#include <QLineEdit>
#include <catch2/catch.hpp>

#include "app/desk/review/facts_dialog.h"
#include "core/session/fact.h"
#include "support/session_example.h"

using namespace moundwork;
using namespace moundwork::desk;

TEST_CASE("only what was changed in the form becomes an edit, and only what can be", "[desk]") {
  const session::Session session = support::example_session();
  FactsForm form = facts_of(session);
  CHECK(form.mass == "71.5 kg");
  CHECK(form.pressure == "1009 hPa");
  CHECK(form.humidity == "45 %");
  const auto same = corrections(session, form, "");
  REQUIRE(same);
  CHECK(same->empty());

  form.mass = "100lb";
  form.left_handed = false;
  CHECK_FALSE(corrections(session, form, ""));
  const auto made = corrections(session, form, "typed wrongly");
  REQUIRE(made);
  REQUIRE(made->size() == 2);
  CHECK(made->at(0).target == "throws");
  CHECK(made->at(0).text == "right");
  CHECK(made->at(1).target == "mass");
  // International pound of 1959.
  CHECK(made->at(1).value == Approx(45.359237));
  CHECK(made->at(1).unit == "kg");
  CHECK(made->at(1).why == "typed wrongly");

  for (const char* wrong : {"850kg", "45", "", "forty kg"}) {
    form.mass = wrong;
    CAPTURE(wrong);
    CHECK_FALSE(corrections(session, form, "typed wrongly"));
  }
  form = facts_of(session);
  form.born = "2050-01-01";
  CHECK_FALSE(corrections(session, form, "typed wrongly"));
}

TEST_CASE("the facts dialog stays open until what it says can be", "[desk]") {
  FactsDialog dialog(support::example_session());
  const auto type = [&](const char* field, const char* text) {
    auto* line = dialog.findChild<QLineEdit*>(QLatin1String(field));
    REQUIRE(line != nullptr);
    line->setText(QString::fromUtf8(text));
  };
  const auto* refused = dialog.findChild<QLabel*>(QStringLiteral("refused"));
  REQUIRE(refused != nullptr);
  type("mass", "850 kg");
  type("why", "typed wrongly");
  dialog.accept();
  CHECK(dialog.result() != QDialog::Accepted);
  CHECK(refused->text().contains(QStringLiteral("not a pitcher's")));
  type("mass", "45 kg");
  dialog.accept();
  CHECK(dialog.result() == QDialog::Accepted);
  REQUIRE(dialog.edits().size() == 1);
  CHECK(dialog.edits().front().value == 45.0);
}
