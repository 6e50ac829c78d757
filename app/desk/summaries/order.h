// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "app/desk/state/lab_folder.h"
#include "app/desk/state/preferences.h"
#include "app/summary/job.h"
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
  bool codes = false;  ///< stand for names
};

/// Sessions that the order names, in order of their start; files that cannot be read are left out.
[[nodiscard]] std::vector<std::filesystem::path> ordered_sessions(const SummaryOrder& order);

/// Makes everything under the lab's summaries folder, replacing what was made there before, and
/// returns the files. Fails in one sentence with nothing changed of the part that failed.
[[nodiscard]] Result<std::vector<std::filesystem::path>> make_ordered(
    const SummaryOrder& order, const std::function<bool(double)>& progress);

/// The page of one session beside the rest of the lab, for the preview.
[[nodiscard]] Result<summary::Summary> preview_of(const std::filesystem::path& session,
                                                  const LabFolder& lab, SpeedUnit speed);

}  // namespace moundwork::desk
