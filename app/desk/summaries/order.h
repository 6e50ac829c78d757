// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "app/desk/state/lab_folder.h"
#include "app/desk/state/preferences.h"
#include "app/summary/job.h"
#include "core/base/progress.h"
#include "core/summary/content.h"

/// What the page of summaries asks for, without a widget.
namespace moundwork::desk {

enum class SummaryScope { this_session, this_day, everything };

struct SummaryOrder {
  LabFolder lab;
  std::filesystem::path session;  ///< the open one; empty where none is
  SummaryScope scope = SummaryScope::this_session;
  summary::Paper paper = summary::Paper::a4;
  SpeedUnit speed = SpeedUnit::metre_per_second;
  bool pdf = true, html = true, tables = false, recordings = false;
  bool codes = false;           ///< stand for names
  summary::OthersAsked others;  ///< who may stand beside an athlete
};

/// What an order brought.
struct MadeOrder {
  std::vector<std::filesystem::path> files;  ///< whole, in their places
  std::vector<Error> failed;                 ///< sessions without a page
  std::vector<Error> remarks;                ///< what was left out of pages that were made
  /// Why the tables and recordings were not made, though the pages stand.
  std::optional<Error> without_tables;
  std::string key_remark;         ///< where another key would give other codes
  std::optional<Error> unlisted;  ///< why the lab's index does not list files that were made
};

/// Sessions that the order names, in order of their start; files that cannot be read are left out.
[[nodiscard]] std::vector<std::filesystem::path> ordered_sessions(const SummaryOrder& order);

/// Makes everything under the lab's summaries folder, replacing what was made there before: first
/// the pages, all or none, then tables and recordings, all or none. Fails in one sentence when
/// nothing was made.
[[nodiscard]] Result<MadeOrder> make_ordered(const SummaryOrder& order, const Progress& progress);

/// What was made and what was not, in whole sentences; `stopped` by the user.
[[nodiscard]] std::string order_words(const Result<MadeOrder>& made, bool stopped);

/// The page of one session beside the rest of the lab, for the preview: what make_ordered() would
/// put on it.
[[nodiscard]] Result<summary::Summary> preview_of(const std::filesystem::path& session,
                                                  const LabFolder& lab, SpeedUnit speed,
                                                  const summary::OthersAsked& others,
                                                  const Progress& progress = {});

}  // namespace moundwork::desk
