// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "app/index/index.h"
#include "app/index/queries.h"

/// Deleting an athlete: session files with their companions, exports, rows. docs/lab-index.md says
/// what this can reach.
namespace moundwork::index {

enum class Reach {
  here,       ///< can be deleted now
  gone,       ///< listed, but no more there
  elsewhere,  ///< on another station
  away,       ///< on a disk or share that is not there now
  other,      ///< another session lies under the listed name now and stays
};

/// A listed file.
struct Doomed {
  enum class Kind {
    session,   ///< listed in the index
    exported,  ///< likewise
    found,     ///< in a lab's folder, where no index lists it
  } kind = Kind::session;
  std::string session;  ///< identity; empty for what is no session
  std::string station, path, what;
  Reach reach = Reach::here;
  std::uintmax_t bytes = 0;
  int others = 0;  ///< other athletes in the same export
  /// All that goes with it. Of a session: its companion, summary pages and a simulated one's truth
  /// under its name, the athlete's weigh-ins in the lab's folder, what a kill left of these.
  std::vector<std::filesystem::path> files;
};

struct ForgetPlan {
  ListedAthlete athlete;
  int sessions = 0, throws = 0, edits = 0;  ///< rows
  std::vector<Doomed> listed;
  std::vector<std::filesystem::path> labs;    ///< folders that were looked through
  std::vector<std::filesystem::path> shared;  ///< there, with others in them: to be made again
  std::vector<std::filesystem::path>
      perhaps;                   ///< sessions that may be this person's, to be looked at
  bool on_roster = false;        ///< of one of these labs
  bool take_off_roster = false;  ///< asked for
};

/// What would go: what the index lists, where there is one, and what lies in the folders of the
/// labs: those given, and those that hold a listed session. `athlete` is an id, or a name that only
/// one has. Changes nothing.
[[nodiscard]] Result<ForgetPlan> plan_forgetting(const Index* index,
                                                 const std::vector<std::filesystem::path>& labs,
                                                 const std::string& athlete);
[[nodiscard]] inline Result<ForgetPlan> plan_forgetting(const Index& index,
                                                        const std::string& athlete) {
  return plan_forgetting(&index, {}, athlete);
}

struct LeftBehind {
  std::string station, path;
  std::string problem;  ///< why
};
struct Forgotten {
  std::vector<std::string> deleted;   ///< files
  std::vector<LeftBehind> left;       ///< still listed in the index, each with its reason
  std::vector<std::string> not_ours;  ///< listed files that hold another session now, kept
  bool off_roster = false;            ///< whether a row was taken off a roster
  std::vector<std::string> remarks;   ///< sentences without their full stop
};

/// Deletes files first, then rows, so that whatever fails is still listed. An athlete of whom
/// something is left keeps an id and the places left, no name, birth date or number. The identities
/// of the sessions stay as "not to be taken in again".
[[nodiscard]] Result<Forgotten> carry_out(const Index* index, const ForgetPlan& plan);
[[nodiscard]] inline Result<Forgotten> carry_out(const Index& index, const ForgetPlan& plan) {
  return carry_out(&index, plan);
}

}  // namespace moundwork::index
