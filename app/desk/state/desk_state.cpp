// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/desk_state.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <system_error>
#include <utility>

#include "core/base/lab_file.h"
#include "core/base/sentence.h"
#include "core/base/sharing.h"
#include "core/base/time_zone.h"
#include "core/base/wall_time.h"
#include "core/session/companion.h"
#include "core/session/edit_state.h"

namespace moundwork::desk {
namespace {

Failure kept_by_recording() {
  return fail("", "A recording runs and keeps its session and its lab",
              "end it first, on the page Throw (F9)");
}

/// Absolute, so that it is the same folder wherever the program is started next.
std::filesystem::path whole(const std::filesystem::path& path) {
  std::error_code error;
  auto absolute = std::filesystem::absolute(path, error).lexically_normal();
  if (error) return path;
  return absolute.has_filename() ? absolute : absolute.parent_path();
}

/// A sentence for those who see edits come in from elsewhere.
std::string words_of_others(const std::vector<session::Edit>& before,
                            const std::vector<session::Edit>& now) {
  std::vector<const session::Edit*> added;
  for (const session::Edit& edit : now)
    if (std::none_of(before.begin(), before.end(),
                     [&](const session::Edit& known) { return known.id == edit.id; }))
      added.push_back(&edit);
  if (added.size() != 1)
    return sentence(
        "This session was changed elsewhere: Edit, Show the session's edits lists what is new.");
  const session::Edit& edit = *added.front();
  if (edit.who.empty())
    return sentence("This session was changed elsewhere: {change}.",
                    "change"_is(session::words_of(edit, now)));
  return sentence("This session was changed elsewhere, by {who}: {change}.", "who"_is(edit.who),
                  "change"_is(session::words_of(edit, now)));
}

}  // namespace

DeskState::DeskState(Preferences preferences, Keep keep)
    : keep_(keep), preferences_(std::move(preferences)), look_(make_look(preferences_.theme)) {
  connect(&writer_, &EditWriter::written, this, &DeskState::take_written_edit);
  connect(&writer_, &EditWriter::failed, this, &DeskState::drop_failed_edit);
  // File servers do not tell one station of what another writes, so the window looks.
  constexpr std::chrono::seconds often{2};
  look_elsewhere_.setInterval(often);
  connect(&look_elsewhere_, &QTimer::timeout, this, &DeskState::take_over_roster);
  connect(&look_elsewhere_, &QTimer::timeout, this, &DeskState::take_over_session);
}

void DeskState::keep_preferences() const {
  if (keep_ == Keep::choices) save_preferences(preferences_);
}

void DeskState::set_preferences(const Preferences& preferences) {
  preferences_ = preferences;
  look_ = make_look(preferences_.theme);
  keep_preferences();
  Q_EMIT preferences_changed();
}

Result<void> DeskState::open_lab(const std::filesystem::path& root) {
  const LabFolder lab{whole(root)};
  if (recording_ && lab.root != preferences_.lab) return kept_by_recording();
  for (const auto& folder : {lab.root, lab.sessions(), lab.summaries(), lab.checks()}) {
    std::error_code error;
    (void)make_folders(folder, error);
    if (error)
      return fail(folder.string(), "cannot be made (" + error.message() + ")",
                  "choose a folder where you may write");
  }
  const auto stamp = people::stamp_of(lab.roster());
  auto read = people::read_roster_file(lab.roster());
  if (!read) return tl::make_unexpected(read.error());
  // A limit read wrongly is worse than a lab that must be mended first.
  auto limits = pitch_counts_of(lab);
  if (!limits) return tl::make_unexpected(limits.error());
  auto settled = read_lab_file(lab.root);
  if (!settled) return tl::make_unexpected(settled.error());
  if (settled->zone.empty()) {
    // From now on the lab's, on whatever computer its folder is opened. Where the folder takes no
    // file it stays this computer's.
    settled->zone = computer_zone();
    (void)set_in_lab_file(lab.root, "zone", settled->zone);
  }
  zone_ = std::move(settled->zone);
  roster_ = std::move(read->athletes);
  roster_stamp_ = stamp;
  pitch_counts_ = std::move(*limits);
  // An invented athlete's session does not stay open in a real lab, nor a real one in practice.
  if (session_ != nullptr && is_practice_session(session_->path()) != is_practice(lab.root))
    close_session();
  preferences_.lab = lab.root;
  lab_is_open_ = true;
  look_elsewhere_.start();
  keep_preferences();
  Q_EMIT lab_changed();
  Q_EMIT roster_changed();
  return {};
}

Result<std::vector<people::RowChange>> DeskState::change_roster(
    const std::vector<people::RowChange>& changes) {
  auto done = people::change_roster(lab().root, changes);
  if (!done) {
    // Whoever is told of another's change sees it too.
    take_over_roster();
    return tl::make_unexpected(done.error());
  }
  roster_ = std::move(done->athletes);
  roster_stamp_ = done->stamp;
  Q_EMIT roster_changed();
  for (const std::string& remark : done->remarks)
    Q_EMIT roster_told(QString::fromStdString(remark));
  return std::move(done->made);
}

Result<void> DeskState::set_roster(const std::vector<RosterAthlete>& athletes) {
  const auto done = change_roster(people::changes_between(roster_, athletes));
  if (!done) return tl::make_unexpected(done.error());
  return {};
}

void DeskState::take_over_roster() {
  const auto stamp = people::stamp_of(lab().roster());
  if (stamp == roster_stamp_) return;
  auto read = people::read_roster_file(lab().roster());
  roster_stamp_ = stamp;
  if (!read) {
    // Half written, or mistyped: what is shown stays until it can be read again.
    Q_EMIT roster_told(QString::fromStdString(read.error().sentence()));
    return;
  }
  const auto changes = people::changes_between(roster_, read->athletes);
  roster_ = std::move(read->athletes);
  if (changes.empty()) return;
  taking_over_ = true;
  Q_EMIT roster_changed();
  taking_over_ = false;
  Q_EMIT roster_told(QString::fromStdString(people::in_words(changes)));
}

const RosterAthlete* DeskState::athlete() const {
  const auto found = std::find_if(roster_.begin(), roster_.end(),
                                  [&](const RosterAthlete& a) { return a.id == athlete_; });
  return found == roster_.end() ? nullptr : &*found;
}

void DeskState::choose_athlete(const std::string& id) {
  if (athlete_ == id) return;
  athlete_ = id;
  Q_EMIT athlete_changed();
}

Result<void> DeskState::open_session(const std::filesystem::path& file) {
  const std::filesystem::path path = whole(file);
  if (recording_ && session_ != nullptr && session_->path() != path) return kept_by_recording();
  if (is_practice_session(path) && !is_practice(preferences_.lab))
    return fail(path.filename().string(),
                "was made in practice and does not belong among real ones",
                "go to the practice folder first (menu Lab)");
  const auto stamp = people::stamp_of(session::companion_path(path));
  auto opened = OpenSession::open(path);
  if (!opened) return tl::make_unexpected(opened.error());
  session_stamp_ = stamp;
  look_elsewhere_.start();
  session_ = std::move(*opened);
  list_throws();
  shown_ = throws_.empty() ? Throw{} : throws_.back();
  preferences_.last_session = path;
  keep_preferences();
  Q_EMIT session_changed();
  return {};
}

void DeskState::close_session() {
  session_.reset();
  throws_.clear();
  shown_ = {};
  preferences_.last_session.clear();
  keep_preferences();
  Q_EMIT session_changed();
}

Result<void> DeskState::reload_session() {
  if (session_ == nullptr) return {};
  const auto stamp = people::stamp_of(session::companion_path(session_->path()));
  if (auto loaded = session_->reload(); !loaded) return loaded;
  session_stamp_ = stamp;
  show_results();
  return {};
}

void DeskState::take_over_session() {
  // What is on its way to the disk comes there first.
  if (session_ == nullptr || recording_ || !session_->settled()) return;
  const auto stamp = people::stamp_of(session::companion_path(session_->path()));
  if (stamp == session_stamp_) return;
  session_stamp_ = stamp;
  const std::string measured = session_->results().made;
  const std::vector<session::Edit> before = session_->edits();
  if (const auto loaded = session_->reload(); !loaded) {
    // What is shown stays until it can be read again.
    Q_EMIT session_told(QString::fromStdString(loaded.error().sentence()));
    return;
  }
  const std::vector<session::Edit>& now = session_->edits();
  const auto same = [](const session::Edit& a, const session::Edit& b) { return a.id == b.id; };
  const bool edited = !std::equal(before.begin(), before.end(), now.begin(), now.end(), same);
  if (session_->results().made != measured) show_results();
  if (!edited) return;
  taking_over_ = true;
  Q_EMIT edits_changed();
  taking_over_ = false;
  Q_EMIT session_told(QString::fromStdString(words_of_others(before, now)));
}

void DeskState::show_results() {
  // What was found while it was recorded stays until an analysis has its own list.
  if (!session_->results().made.empty()) list_throws();
  const Throw before = shown_;
  shown_ = {};
  for (const Throw& thrown : throws_)
    if (std::abs(thrown.contact - before.contact) <= session::same_throw) shown_ = thrown;
  // Nothing was shown: the newest, as when a session is opened.
  if (before.number == 0 && !throws_.empty()) shown_ = throws_.back();
  Q_EMIT results_changed();
  if (shown_.number != before.number) Q_EMIT shown_throw_changed();
}

void DeskState::list_throws() {
  throws_.clear();
  for (const session::ResultThrow& thrown : session_->results().throws)
    throws_.push_back({thrown.number, seconds(thrown.contact)});
}

void DeskState::set_recording(bool recording) {
  if (recording_ == recording) return;
  recording_ = recording;
  Q_EMIT recording_changed();
}

Result<session::Edit> DeskState::add_edit(session::Edit edit) {
  if (session_ == nullptr)
    return fail("the edit", "has no session to go to", "open the session first");
  if (edit.who.empty()) edit.who = preferences_.person.toStdString();
  edit.id = session::new_edit_id();
  edit.when = iso_now();
  session_->expect(edit);
  writer_.write(session_->path(), edit);
  Q_EMIT edits_changed();
  return edit;
}

void DeskState::take_written_edit(const std::filesystem::path& session, const std::string& edit_id,
                                  std::size_t place) {
  if (session_ == nullptr || session_->path() != session) return;
  if (auto taken = session_->take_written(edit_id, place); !taken)
    Q_EMIT edit_failed(QString::fromStdString(taken.error().sentence()));
  Q_EMIT edits_changed();
}

void DeskState::drop_failed_edit(const std::filesystem::path& session, const std::string& edit_id,
                                 const QString& words) {
  if (session_ != nullptr && session_->path() == session) {
    session_->give_up(edit_id);
    Q_EMIT edits_changed();
  }
  // Whichever session it was of: whoever made the edit must know.
  Q_EMIT edit_failed(words);
}

void DeskState::show_throw(int number) {
  for (const Throw& thrown : throws_)
    if (thrown.number == number) return show(thrown);
}

void DeskState::show_throw_at(double contact) {
  for (const Throw& thrown : throws_)
    if (std::abs(thrown.contact - contact) <= session::same_throw) return show(thrown);
}

void DeskState::add_found_throw(int number, double contact) {
  throws_.push_back({number, contact});
}

void DeskState::show(const Throw& thrown) {
  const bool same = shown_.number == thrown.number;
  shown_ = thrown;
  if (!same) Q_EMIT shown_throw_changed();
}

}  // namespace moundwork::desk
