// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include "core/session/edit.h"
#include "core/session/edit_list.h"
#include "core/session/results.h"
#include "core/session/writer.h"
#include "support/session_example.h"

/// Session files with results that a test chooses.
namespace moundwork::test {

struct MadeThrow {
  double contact = 0.0;     ///< s
  double ball_speed = 0.0;  ///< m/s
  double braking = 0.0;     ///< N s
};

struct MadeSession {
  std::string id = "5b9f7c6e-0000-4000-8000-000000000001";
  std::string athlete = "A-01", name = "Mara Quill", born = "2008-06-15";
  std::string started = "2026-03-01T09:30:00Z";
  std::string made = "2026-03-01T12:00:00Z";  ///< of the analysis; empty: not analysed
  session::Hand hand = session::Hand::right;
  std::vector<MadeThrow> throws{{10.0, 35.0, 60.0}, {20.0, 36.0, 62.0}, {30.0, 37.0, 64.0}};
};

template <class T>
void require(const Result<T>& result) {
  if (!result) throw std::runtime_error(result.error().sentence());
}

inline session::ResultSet results_of(const MadeSession& made) {
  session::ResultSet results{made.made, "Moundwork 0.1.0", "{}", {}};
  for (const MadeThrow& thrown : made.throws) {
    session::ResultThrow one;
    one.number = static_cast<int>(results.throws.size()) + 1;
    one.contact = session_time(thrown.contact);
    one.quantities = {{"ball_speed", {thrown.ball_speed, 0.2}, "m/s"},
                      {"braking_impulse", {thrown.braking, 1.5}, "N s"}};
    one.flags = {{"no_trigger", "no trigger"}};
    results.throws.push_back(std::move(one));
  }
  return results;
}

inline void write(const std::filesystem::path& path, const MadeSession& made) {
  session::Session session = support::example_session();
  session.id = made.id;
  session.started = made.started;
  session.athlete.id = made.athlete;
  session.athlete.name = made.name;
  session.athlete.born = made.born;
  session.athlete.throws = made.hand;
  auto writer = session::Writer::create(path, session);
  require(writer);
  require(writer->close());
  if (!made.made.empty()) require(session::append_results(path, results_of(made)));
}

inline session::Edit exclusion(double contact, const std::string& when) {
  session::Edit edit;
  edit.when = when;
  edit.who = "coach";
  edit.why = "slipped on the landing";
  edit.throw_contact = contact;
  edit.action = session::Action::exclude;
  return edit;
}

}  // namespace moundwork::test
