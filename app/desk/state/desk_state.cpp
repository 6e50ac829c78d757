// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/desk_state.h"

#include <algorithm>
#include <system_error>
#include <utility>

namespace moundwork::desk {

DeskState::DeskState(Preferences preferences)
    : preferences_(std::move(preferences)), look_(make_look(preferences_.theme)) {
  connect(&writer_, &EditWriter::written, this, &DeskState::take_written_edit);
  connect(&writer_, &EditWriter::failed, this, &DeskState::drop_failed_edit);
}

void DeskState::set_preferences(const Preferences& preferences) {
  preferences_ = preferences;
  look_ = make_look(preferences_.theme);
  save_preferences(preferences_);
  Q_EMIT preferences_changed();
}

Result<void> DeskState::open_lab(const std::filesystem::path& root) {
  const LabFolder lab{root};
  for (const auto& folder : {lab.root, lab.sessions(), lab.summaries(), lab.checks()}) {
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error)
      return fail(folder.string(), "cannot be made (" + error.message() + ")",
                  "choose a folder where you may write");
  }
  std::vector<RosterAthlete> athletes;
  if (std::filesystem::exists(lab.roster())) {
    auto read = read_roster(lab.roster());
    if (!read) return tl::make_unexpected(read.error());
    athletes = std::move(*read);
  }
  // A limit read wrongly is worse than a lab that must be mended first.
  auto limits = pitch_counts_of(lab);
  if (!limits) return tl::make_unexpected(limits.error());
  roster_ = std::move(athletes);
  pitch_counts_ = std::move(*limits);
  preferences_.lab = root;
  save_preferences(preferences_);
  Q_EMIT lab_changed();
  Q_EMIT roster_changed();
  return {};
}

Result<void> DeskState::set_roster(std::vector<RosterAthlete> athletes) {
  if (auto written = write_roster(lab().roster(), athletes); !written) return written;
  roster_ = std::move(athletes);
  Q_EMIT roster_changed();
  return {};
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

Result<void> DeskState::open_session(const std::filesystem::path& path) {
  auto opened = OpenSession::open(path);
  if (!opened) return tl::make_unexpected(opened.error());
  session_ = std::move(*opened);
  shown_throw_ = session_->results().throws.empty() ? 0 : session_->results().throws.back().number;
  preferences_.last_session = path;
  save_preferences(preferences_);
  Q_EMIT session_changed();
  return {};
}

void DeskState::close_session() {
  session_.reset();
  shown_throw_ = 0;
  preferences_.last_session.clear();
  save_preferences(preferences_);
  Q_EMIT session_changed();
}

Result<void> DeskState::reload_session() {
  if (session_ == nullptr) return {};
  if (auto loaded = session_->reload(); !loaded) return loaded;
  Q_EMIT results_changed();
  return {};
}

Result<EditRow> DeskState::add_edit(session::Edit edit, EditRow undoes) {
  if (session_ == nullptr)
    return fail("the edit", "has no session to go to", "open the session first");
  if (edit.who.empty()) edit.who = preferences_.person.toStdString();
  edit.when = iso_now();
  auto row = std::make_shared<std::atomic<std::size_t>>(session_->expect(edit));
  writer_.write(session_->path(), std::move(edit), row, std::move(undoes));
  Q_EMIT edits_changed();
  return row;
}

void DeskState::take_written_edit(const std::filesystem::path& session, std::size_t row,
                                  const session::Edit& edit) {
  if (session_ == nullptr || session_->path() != session) return;
  if (auto taken = session_->take_written(row, edit); !taken)
    Q_EMIT edit_failed(QString::fromStdString(taken.error().sentence()));
  Q_EMIT edits_changed();
}

void DeskState::drop_failed_edit(const std::filesystem::path& session, const QString& words) {
  if (session_ != nullptr && session_->path() == session) {
    session_->give_up_oldest();
    Q_EMIT edits_changed();
  }
  // Whichever session it was of: whoever made the edit must know.
  Q_EMIT edit_failed(words);
}

void DeskState::show_throw(int number) {
  if (shown_throw_ == number) return;
  shown_throw_ = number;
  Q_EMIT shown_throw_changed();
}

}  // namespace moundwork::desk
