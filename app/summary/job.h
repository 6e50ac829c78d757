// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "app/summary/pdf.h"
#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/definitions/shown_unit.h"
#include "core/output/pseudonym.h"
#include "core/safety/pitch_count.h"
#include "core/summary/group.h"

namespace moundwork::summary {

/// Others whom `wanted` wants beside an athlete.
using GroupOf = std::function<Result<Group>(const session::Athlete&, Group wanted)>;

/// What is to be made of which sessions.
struct Job {
  std::vector<std::filesystem::path> sessions;  ///< files
  std::vector<std::filesystem::path> previous;  ///< earlier sessions to compare with
  std::vector<std::filesystem::path> group;     ///< sessions of the others
  GroupOf group_of;                             ///< in place of files, from elsewhere
  GroupFrom group_from = GroupFrom::given;      ///< what the page calls those files
  OthersAsked others;                           ///< who of them may stand beside an athlete
  std::optional<std::filesystem::path> out;     ///< folder; beside each session if none
  Paper paper = Paper::a4;
  bool pdf = true, html = true;
  definitions::SpeedUnit speed_unit = definitions::SpeedUnit::metre_per_second;
  safety::PitchCountTable pitch_counts = safety::common_pitch_counts();
  std::optional<output::LabKey> key;  ///< codes stand for people where there is one
  bool replace = false;               ///< files that are there
  std::string software;
  bool invented = false;  ///< people of practice: the pages say so
};

struct MadePage {
  std::filesystem::path session;
  std::string id;        ///< the session's, as the page has it
  std::string athlete;   ///< as the session has it, to list the pages under
  std::string shown_as;  ///< as the page has it
  int counted = 0, found = 0;
  std::vector<std::filesystem::path> files;
};

struct MadePages {
  std::vector<MadePage> pages;
  std::vector<std::filesystem::path> cover;  ///< with more than one session
  std::vector<Error> failed;                 ///< sessions of a day that could not be summarised
  std::vector<Error> remarks;                ///< what was left out of pages that were made
};

/// Files of sessions: each folder among `places` stands for its session files (*.h5), in order of
/// their names. Fails on a folder without any and on what is not there.
[[nodiscard]] Result<std::vector<std::filesystem::path>> session_files(
    const std::vector<std::string>& places);

/// Makes the pages of all sessions, and the lab's cover sheet over several. All files appear
/// together or none does, and none when stopped. Two sessions whose files have one name get pages
/// with a piece of their session's identity in the name. One bad session among several is told and
/// on the cover sheet; a single one fails. Earlier sessions and others that cannot be read are left
/// out with a remark, unless none can. Needs an application object (application.h).
[[nodiscard]] Result<MadePages> make_pages(const Job& job, const Progress& progress = {});

}  // namespace moundwork::summary
