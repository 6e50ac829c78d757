// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/roster_change.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <set>

#include "core/base/one_line.h"
#include "core/base/waiting_lock.h"
#include "core/base/write_file.h"
#include "core/people/athlete_ids.h"

namespace moundwork::people {
namespace {

namespace fs = std::filesystem;

std::string who(const RosterAthlete& athlete) {
  return one_line(athlete.name.empty() ? athlete.id : athlete.id + ", " + athlete.name);
}

std::optional<std::size_t> row_of(const RosterFile& file, const std::string& id) {
  const auto found = std::find_if(file.athletes.begin(), file.athletes.end(),
                                  [&](const RosterAthlete& a) { return a.id == id; });
  if (found == file.athletes.end()) return std::nullopt;
  return static_cast<std::size_t>(found - file.athletes.begin());
}

std::string shown(const std::string& cell) {
  return cell.empty() ? "nothing" : "'" + one_line(cell) + "'";
}

Result<void> change_row(RosterFile& file, const RowChange& change, RosterChanged& done) {
  const RosterAthlete &before = *change.before, &after = *change.after;
  const auto row = row_of(file, before.id);
  if (!row)
    return fail(who(before), "has been taken off the roster by somebody else meanwhile",
                "add the athlete again if that was a mistake");
  if (after.id != before.id)
    if (const auto other = row_of(file, after.id))
      return fail(one_line(after.id), fmt::format("is the id of {}", who(file.athletes[*other])),
                  "give every athlete one of their own");
  RosterAthlete now = file.athletes[*row];
  std::string others;
  for (const RosterField& field : roster_fields) {
    const std::string was = roster_text(before, field), is = roster_text(now, field),
                      wanted = roster_text(after, field);
    if (wanted == was) {
      if (is != was) others += (others.empty() ? "" : ", ") + std::string(field.column);
      continue;
    }
    if (is != was && is != wanted)
      return fail(who(before),
                  fmt::format("{} has been changed to {} by somebody else meanwhile, so {} was not "
                              "written",
                              field.column, shown(is), shown(wanted)),
                  "look at the row as it is now and change it again if need be");
    take_field(now, after, field);
  }
  put_athlete(file, *row, now);
  if (!others.empty())
    done.remarks.push_back(fmt::format(
        "{} has been changed by somebody else meanwhile too ({}); both changes are kept",
        who(before), others));
  done.made.push_back(change);
  return {};
}

Result<void> remove_row(RosterFile& file, const RowChange& change, RosterChanged& done) {
  const auto row = row_of(file, change.before->id);
  if (!row) return {};  // somebody else removed it first
  if (!same(file.athletes[*row], *change.before))
    return fail(who(*change.before), "has been changed by somebody else meanwhile",
                "look at the row as it is now before you remove it");
  RowChange made{file.athletes[*row], std::nullopt, false, static_cast<int>(*row)};
  erase_athlete(file, *row);
  done.made.push_back(std::move(made));
  return {};
}

Result<void> add_row(RosterFile& file, RowChange change, int& next, RosterChanged& done) {
  RosterAthlete& athlete = *change.after;
  const auto there = row_of(file, athlete.id);
  if (change.any_id && (athlete.id.empty() || there || number_of(athlete.id).value_or(next) < next))
    athlete.id = id_of(next);
  else if (there && same(file.athletes[*there], athlete))
    return {};
  else if (there)
    return fail(one_line(athlete.id),
                fmt::format("is the id of {} by now", who(file.athletes[*there])),
                "give every athlete one of their own");
  next = std::max(next, number_of(athlete.id).value_or(0) + 1);
  const std::size_t row =
      change.place < 0 ? file.rows.size() : static_cast<std::size_t>(change.place);
  insert_athlete(file, row, athlete);
  change.any_id = false;
  done.made.push_back(std::move(change));
  return {};
}

}  // namespace

FileStamp stamp_of(const fs::path& path) {
  struct stat found {};
  if (::stat(path.c_str(), &found) != 0) return {};
  return {true, found.st_ino, found.st_size, found.st_mtim.tv_sec, found.st_mtim.tv_nsec};
}

std::string in_words(const std::vector<RowChange>& changes) {
  std::string names;
  for (const RowChange& change : changes)
    names += fmt::format("{}{} ({})", names.empty() ? "" : "; ",
                         who(change.after ? *change.after : *change.before),
                         !change.before  ? "new"
                         : !change.after ? "removed"
                                         : "changed");
  return fmt::format("The roster was changed elsewhere: {}.", names);
}

std::vector<RowChange> changes_between(const std::vector<RosterAthlete>& before,
                                       const std::vector<RosterAthlete>& after) {
  const auto find = [](const std::vector<RosterAthlete>& list, const std::string& id) {
    return std::find_if(list.begin(), list.end(),
                        [&](const RosterAthlete& a) { return a.id == id; });
  };
  std::vector<RowChange> changes;
  std::set<std::string> renamed;
  if (before.size() == after.size())
    for (std::size_t i = 0; i < before.size(); ++i)
      if (before[i].id != after[i].id && find(after, before[i].id) == after.end() &&
          find(before, after[i].id) == before.end()) {
        changes.push_back({before[i], after[i]});
        renamed.insert({before[i].id, after[i].id});
      }
  for (const RosterAthlete& one : before)
    if (!renamed.contains(one.id) && find(after, one.id) == after.end())
      changes.push_back({one, std::nullopt});
  for (std::size_t i = 0; i < after.size(); ++i) {
    if (renamed.contains(after[i].id)) continue;
    const auto known = find(before, after[i].id);
    if (known == before.end())
      changes.push_back({std::nullopt, after[i], false, static_cast<int>(i)});
    else if (!same(*known, after[i]))
      changes.push_back({*known, after[i]});
  }
  return changes;
}

std::vector<RowChange> reversed(const std::vector<RowChange>& changes) {
  std::vector<RowChange> back;
  for (auto change = changes.rbegin(); change != changes.rend(); ++change)
    back.push_back({change->after, change->before, false, change->place});
  return back;
}

Result<RosterChanged> change_rows(RosterFile& file, const std::vector<RowChange>& changes,
                                  int next) {
  RosterChanged done;
  for (const RowChange& change : changes) {
    const auto made = !change.before  ? add_row(file, change, next, done)
                      : !change.after ? remove_row(file, change, done)
                                      : change_row(file, change, done);
    if (!made) return tl::make_unexpected(made.error());
  }
  done.athletes = file.athletes;
  return done;
}

Result<RosterChanged> change_roster(const fs::path& lab, const std::vector<RowChange>& changes) {
  const fs::path path = lab / "roster.csv";
  const auto lock = WaitingLock::acquire(path);
  if (!lock) return tl::make_unexpected(lock.error());
  while (true) {
    const FileStamp stamp = stamp_of(path);
    auto file = read_roster_file(path);
    if (!file) return tl::make_unexpected(file.error());
    const auto next = next_number(lab, file->athletes);
    if (!next) return tl::make_unexpected(next.error());
    auto done = change_rows(*file, changes, *next);
    if (!done) return done;
    done->stamp = stamp;
    if (done->made.empty()) return done;
    // First, so that no number is given twice whatever happens in between.
    int given = *next;
    for (const RosterAthlete& athlete : done->athletes)
      given = std::max(given, number_of(athlete.id).value_or(0) + 1);
    if (auto kept = keep_next_number(lab, given); !kept) return tl::make_unexpected(kept.error());
    if (stamp_of(path) != stamp) continue;
    if (auto written = replace_file(path, text_of(*file)); !written)
      return tl::make_unexpected(written.error());
    done->stamp = stamp_of(path);
    return done;
  }
}

}  // namespace moundwork::people
