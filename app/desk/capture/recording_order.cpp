// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/recording_order.h"

#include <cmath>
#include <system_error>

#include "app/desk/state/air.h"
#include "app/desk/state/weigh_ins.h"
#include "core/base/write_file.h"
#include "core/intake/usual_uncertainty.h"
#include "core/session/file_lock.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;

constexpr const char* mark_ending = ".recording";

}  // namespace

Result<RecordingOrder> recording_order(const LabFolder& lab, const RosterAthlete* athlete,
                                       const std::string& day) {
  if (athlete == nullptr)
    return fail({}, "Nobody is chosen to throw",
                "choose an athlete above; new ones are entered on the page Prepare");
  const std::string who = athlete->name.empty() ? athlete->id : athlete->name;
  if (const std::string missing = consent_missing(*athlete, day); !missing.empty())
    return fail(who, missing, "once it is there, enter it in the roster on the page Prepare");
  if (std::error_code error; !fs::exists(lab.station(), error))
    return fail({}, "This lab has no station file yet, which says what instruments there are",
                "describe them on the page Prepare, or practise with virtual instruments");
  RecordingOrder order{lab, *athlete, mass_for(lab, *athlete, day),
                       foot_line_for(lab, athlete->id, day), air_of_day(lab, day)};
  if (!order.mass.known() || !(order.mass.value > 0.0))
    return fail(who, "has no mass, and forces are given in body weights",
                "weigh in on the page Prepare, or type the mass into the roster");
  return order;
}

intake::Facts facts_of(const RecordingOrder& order) {
  const RosterAthlete& athlete = order.athlete;
  intake::Facts facts;
  facts.zone = zone_of(order.lab);
  facts.athlete_id = athlete.id;
  facts.athlete_name = athlete.name;
  facts.born = athlete.born;
  facts.throws = athlete.throws;
  facts.mass = order.mass;
  if (std::isfinite(athlete.height)) facts.height = {athlete.height, intake::usual_u::height};
  facts.conditions = order.air;
  facts.stance = order.foot_line;
  if (std::isfinite(athlete.foot_length)) facts.foot_length = athlete.foot_length;
  return facts;
}

fs::path recording_mark(const fs::path& session) { return session.string() + mark_ending; }

void set_recording_mark(const fs::path& session) {
  // Without it the recording is only not offered to be gone on with.
  (void)write_file(recording_mark(session), "being recorded\n").has_value();
}

void clear_recording_mark(const fs::path& session) noexcept {
  std::error_code ignored;
  fs::remove(recording_mark(session), ignored);
}

std::vector<fs::path> unfinished_recordings(const LabFolder& lab) {
  std::vector<fs::path> found;
  std::error_code error;
  for (const auto& file : fs::directory_iterator(lab.sessions(), error)) {
    if (file.path().extension() != mark_ending) continue;
    fs::path session = file.path();
    session.replace_extension();
    if (std::error_code gone; !fs::exists(session, gone)) continue;
    // Another station of this lab may be recording it at this moment.
    if (session::FileLock::acquire(session)) found.push_back(session);
  }
  return found;
}

}  // namespace moundwork::desk
