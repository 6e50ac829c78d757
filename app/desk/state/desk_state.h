// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <QTimer>
#include <limits>
#include <memory>
#include <string>
#include <vector>

#include "app/desk/look/look.h"
#include "app/desk/state/edit_writer.h"
#include "app/desk/state/lab_folder.h"
#include "app/desk/state/open_session.h"
#include "app/desk/state/preferences.h"
#include "app/desk/state/roster.h"
#include "core/people/roster_change.h"

namespace moundwork::desk {

/// What all pages share, without a widget: the lab's folder and roster, the athlete whose turn it
/// is, the session that is open, the user's choices. Interface thread only.
class DeskState : public QObject {
  Q_OBJECT
 public:
  /// Whether the user's choices are written for the next start, or forgotten at the end.
  enum class Keep { choices, nothing };
  explicit DeskState(Preferences preferences, Keep keep = Keep::choices);
  [[nodiscard]] bool keeps_choices() const { return keep_ == Keep::choices; }

  [[nodiscard]] const Preferences& preferences() const { return preferences_; }
  void set_preferences(const Preferences& preferences);
  [[nodiscard]] const Look& look() const { return look_; }

  [[nodiscard]] LabFolder lab() const { return {preferences_.lab, zone_}; }
  /// Takes another folder as the lab's; makes it and what it holds where missing. Closes a session
  /// of practice when the folder is a real lab's, and the other way round.
  [[nodiscard]] Result<void> open_lab(const std::filesystem::path& root);

  /// Whether the lab's folder has been opened: until then nothing can be said of what it holds.
  [[nodiscard]] bool lab_is_open() const { return lab_is_open_; }

  /// Limits by age, the lab's own where it has some.
  [[nodiscard]] const safety::PitchCountTable& pitch_counts() const { return pitch_counts_; }

  [[nodiscard]] const std::vector<RosterAthlete>& roster() const { return roster_; }
  /// Makes the changes in the file as it stands now, whoever else has changed it, and shows what it
  /// then holds. Gives the changes as they were made.
  [[nodiscard]] Result<std::vector<people::RowChange>> change_roster(
      const std::vector<people::RowChange>& changes);
  /// What turns the roster that is shown into `athletes`.
  [[nodiscard]] Result<void> set_roster(const std::vector<RosterAthlete>& athletes);
  /// Looks whether another window, station or spreadsheet has changed the file, and shows that.
  void take_over_roster();
  /// Looks whether another window, station or command has edited or measured the open session, and
  /// shows that. While a recording runs its session is this window's alone.
  void take_over_session();
  /// Whether what is told, of the roster or of edits, is what others did.
  [[nodiscard]] bool taking_over() const { return taking_over_; }
  /// Whose turn it is; null when nobody is chosen.
  [[nodiscard]] const RosterAthlete* athlete() const;
  void choose_athlete(const std::string& id);

  /// Null when none is open.
  [[nodiscard]] OpenSession* session() const { return session_.get(); }
  [[nodiscard]] Result<void> open_session(const std::filesystem::path& file);
  void close_session();
  /// After an analysis or edits changed what stands beside the open session.
  [[nodiscard]] Result<void> reload_session();
  /// The only way by which the window changes a session: an edit with the time of now goes to the
  /// open session's list, and everyone is told. It counts at once and is written apart from the
  /// interface thread; edit_failed tells if that does not succeed, and it counts no more. Returns
  /// the edit with its identity, by which an undo names it.
  [[nodiscard]] Result<session::Edit> add_edit(session::Edit edit);
  /// The throw that pages show and keys change, by its number; 0 for none. This is the only place
  /// that knows it: pages follow it, and change it when somebody chooses another. When results are
  /// renewed it stays the throw it was, told by its lead contact, whatever its number is then.
  [[nodiscard]] int shown_throw() const { return shown_.number; }
  /// Its lead contact, s of session time; NaN for none.
  [[nodiscard]] double shown_contact() const { return shown_.contact; }
  /// Does nothing for a number that no throw of the open session has.
  void show_throw(int number);
  /// The throw of the open session with this lead contact, s; nothing happens where there is none.
  void show_throw_at(double contact);
  /// A throw found while the open session is recorded, before an analysis has listed it.
  void add_found_throw(int number, double contact);

  /// A recording keeps its session and its lab until it has ended: nobody opens another.
  [[nodiscard]] bool recording() const { return recording_; }
  void set_recording(bool recording);

 Q_SIGNALS:
  void preferences_changed();
  void lab_changed();  ///< folder or the files in it
  void roster_changed();
  void roster_told(const QString& words);  ///< what others have done in the roster
  void athlete_changed();
  void session_changed();  ///< another session, or none
  void results_changed();  ///< of the same session
  void edits_changed();    ///< likewise; results follow when it has been measured again
  void edit_failed(const QString& words);   ///< an edit of the open session was not written
  void session_told(const QString& words);  ///< what others have done in the open session
  void shown_throw_changed();
  void recording_changed();

 private:
  struct Throw {
    int number = 0;
    double contact = std::numeric_limits<double>::quiet_NaN();  // s
  };
  void keep_preferences() const;
  void list_throws();
  void show(const Throw& thrown);
  void show_results();
  void take_written_edit(const std::filesystem::path& session, const std::string& edit_id,
                         std::size_t place);
  void drop_failed_edit(const std::filesystem::path& session, const std::string& edit_id,
                        const QString& words);

  Keep keep_;
  Preferences preferences_;
  Look look_;
  safety::PitchCountTable pitch_counts_ = safety::common_pitch_counts();
  std::vector<RosterAthlete> roster_;
  bool lab_is_open_ = false;
  std::string zone_;                // of the lab
  people::FileStamp roster_stamp_;  // of the file that roster_ was read from
  bool taking_over_ = false;
  QTimer look_elsewhere_;
  std::string athlete_;
  std::unique_ptr<OpenSession> session_;
  people::FileStamp session_stamp_;  // of the companion that was last read
  std::vector<Throw> throws_;        // of the open session
  Throw shown_;
  bool recording_ = false;
  EditWriter writer_;
};

}  // namespace moundwork::desk
