// SPDX-License-Identifier: GPL-3.0-or-later
// The station's page and the file on the disk, which others write too.
#include "app/desk/prepare/station_panel.h"

#include <QPlainTextEdit>
#include <QPushButton>
#include <QTest>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>

#include "app/desk/page/notice.h"
#include "app/desk/prepare/prepare_page.h"
#include "app/desk/prepare/station_text.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

namespace {

std::string text_of(const std::filesystem::path& path) {
  std::ifstream file(path);
  return {std::istreambuf_iterator<char>(file), {}};
}

/// The example with another name.
std::string station_named(const std::string& name) {
  std::string text = new_station_text();
  const std::string key = "name = \"";
  const auto at = text.find(key) + key.size();
  return text.replace(at, text.find('"', at) - at, name);
}

}  // namespace

TEST_CASE("the station's page follows its file and does not write over somebody else's", "[desk]") {
  const support::Folder folder;
  DeskState state{Preferences{}};
  Jobs jobs;
  REQUIRE(state.open_lab(folder / "lab"));
  PreparePage page(state, jobs);
  page.resize(1200, 700);
  page.show();
  page.show_part(PreparePage::station);
  StationPanel& panel = page.station_panel();
  const auto& text = *panel.findChild<QPlainTextEdit*>();

  // Made elsewhere: shown within seconds.
  std::ofstream(state.lab().station()) << station_named("the other cage");
  REQUIRE(QTest::qWaitFor(
      [&] { return text.toPlainText().contains(QStringLiteral("the other cage")); }, 6000));
  CHECK(panel.draft().saved());

  // Written here meanwhile: kept, and the other's file stands.
  auto* typed = panel.findChild<QPlainTextEdit*>();
  typed->setPlainText(QString::fromStdString(station_named("mine")));
  REQUIRE(QTest::qWaitFor([&] { return panel.unsaved(); }, 3000));
  std::ofstream(state.lab().station()) << station_named("theirs");
  for (QPushButton* button : panel.findChildren<QPushButton*>())
    if (button->text().remove(u'&') == QStringLiteral("Save station")) button->click();
  CHECK(text_of(state.lab().station()) == station_named("theirs"));
  CHECK(text.toPlainText().contains(QStringLiteral("theirs")));
  CHECK(text_of(state.lab().root / StationDraft::unsaved_name) == station_named("mine"));
  bool said = false;
  for (const Notice* notice : panel.findChildren<Notice*>())
    said =
        said || (notice->isVisible() && notice->text().contains(QStringLiteral("Somebody else")));
  CHECK(said);
}
