// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <memory>
#include <string>
#include <vector>

#include "app/desk/look/look.h"
#include "app/desk/state/lab_folder.h"
#include "app/desk/state/open_session.h"
#include "app/desk/state/preferences.h"
#include "app/desk/state/roster.h"

namespace moundwork::desk {

/// What all pages share, without a widget: the lab's folder and roster, the athlete whose turn it
/// is, the session that is open, the user's choices. Interface thread only.
class DeskState : public QObject {
  Q_OBJECT
 public:
  explicit DeskState(Preferences preferences);

  [[nodiscard]] const Preferences& preferences() const { return preferences_; }
  void set_preferences(const Preferences& preferences);
  [[nodiscard]] const Look& look() const { return look_; }

  [[nodiscard]] LabFolder lab() const { return {preferences_.lab}; }
  /// Takes another folder as the lab's; makes it and what it holds where missing.
  [[nodiscard]] Result<void> open_lab(const std::filesystem::path& root);

  [[nodiscard]] const std::vector<RosterAthlete>& roster() const { return roster_; }
  /// Writes the file first: what is shown is what is kept.
  [[nodiscard]] Result<void> set_roster(std::vector<RosterAthlete> athletes);
  /// Whose turn it is; null when nobody is chosen.
  [[nodiscard]] const RosterAthlete* athlete() const;
  void choose_athlete(const std::string& id);

  /// Null when none is open.
  [[nodiscard]] OpenSession* session() const { return session_.get(); }
  [[nodiscard]] Result<void> open_session(const std::filesystem::path& path);
  void close_session();
  /// After an analysis or edits changed what stands beside the open session.
  [[nodiscard]] Result<void> reload_session();
  /// Appends to the open session's edit list and tells everyone.
  [[nodiscard]] Result<void> add_edit(session::Edit edit);
  /// Tells everyone of an edit that was appended to `session` apart from the interface thread; of
  /// no account while another session is open.
  void take_written_edit(const std::filesystem::path& session, session::Edit edit);
  /// Number of the throw that pages show; 0 for none.
  [[nodiscard]] int shown_throw() const { return shown_throw_; }
  void show_throw(int number);

 Q_SIGNALS:
  void preferences_changed();
  void lab_changed();  ///< folder or the files in it
  void roster_changed();
  void athlete_changed();
  void session_changed();  ///< another session, or none
  void results_changed();  ///< of the same session
  void edits_changed();    ///< likewise; results follow when it has been measured again
  void shown_throw_changed();

 private:
  Preferences preferences_;
  Look look_;
  std::vector<RosterAthlete> roster_;
  std::string athlete_;
  std::unique_ptr<OpenSession> session_;
  int shown_throw_ = 0;
};

}  // namespace moundwork::desk
