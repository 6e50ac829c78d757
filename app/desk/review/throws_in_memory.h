// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <set>

#include "app/desk/jobs/jobs.h"
#include "app/desk/state/desk_state.h"
#include "core/pitch/session_throws.h"
#include "core/session/load_envelope.h"

namespace moundwork::desk {

/// The plates of a session, drawn small, each by itself.
struct SessionPicture {
  struct Plate {
    session::PlateRole role = session::PlateRole::back;
    session::LoadEnvelope envelope;
  };
  std::vector<Plate> plates;
};

/// Brings what the review page draws out of the session's file, off the interface thread: first the
/// whole session's picture, then throws as they are wanted. Keeps the last few dozen throws.
class ThrowsInMemory : public QObject {
  Q_OBJECT
 public:
  ThrowsInMemory(DeskState& state, Jobs& jobs);

  /// Null until the throw has been read; asks for it. Never one that was read with other facts of
  /// the session than its edits say now.
  [[nodiscard]] std::shared_ptr<const pitch::ThrowInMemory> want(int number);
  /// The facts have changed, and no throw has been read with them yet.
  [[nodiscard]] bool reading_anew() const { return anew_; }
  [[nodiscard]] const SessionPicture& picture() const { return picture_; }

 Q_SIGNALS:
  void picture_ready();
  void throw_ready(int number);
  void failed(const QString& sentence);

 private:
  struct Source;  // the open file, one thread at a time
  void start();
  /// Plate after plate, each shown as soon as it is drawn: a long session's file may have to come
  /// from the disk.
  void draw_plate(std::size_t index);
  void find_throws();
  /// Finds the throws where that has been put off until the edits were on the disk.
  void find_when_settled();
  /// Mass, height or air are in every number and every filter's scale: what was read with others
  /// goes at once, and is read again as soon as the edit is on the disk.
  void follow_facts();
  /// A release that is marked (or no longer) shows what is wrong with the instruments in every
  /// other throw too, so all are read again; those at hand stay until then.
  void follow_marks();
  /// An analysis that finds a throw more or less gives the others new numbers.
  void drop_renumbered();
  void read_wanted();

  DeskState& state_;
  Jobs& jobs_;
  int turn_ = 0;  // counts sessions: what was read of an earlier one is dropped
  SessionPicture picture_;
  std::shared_ptr<Source> source_;
  std::set<int> wanted_;
  bool reading_ = false;
  bool drawn_ = false;    // the picture is, or was stopped
  bool finding_ = false;  // the throws are, or were stopped
  bool anew_ = false;
  int finds_ = 0;                   // counts them: what an earlier one brings is dropped
  std::vector<std::string> marks_;  // standing when the throws were found
  std::vector<std::string> facts_;  // likewise
  std::map<int, std::shared_ptr<const pitch::ThrowInMemory>> kept_;
  std::list<int> used_;  // most recently used first
};

}  // namespace moundwork::desk
