// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/ball_of_throw.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/ball/flight.h"
#include "core/ball/onset.h"
#include "core/ball/session_release.h"
#include "core/marks/frame_marks.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/flagged.h"
#include "core/session/plate_signal.h"
#include "core/session/throw_fields.h"

namespace moundwork::ball {
namespace {

using definitions::Flag;
using session::flagged;

// Release after contact, wide: 0.145 s is usual in adults, nobody is outside these.
constexpr double earliest_release = 0.03;
constexpr double latest_release = 0.35;

// s; the frame in which a reader sees the lead foot land against the contact that the plate tells:
// shoe and turf give way first. The same for all marks that one reader makes, so it averages out
// over none of them. From judgement: half a frame of the usual 240 a second.
constexpr double seen_landing_u = 0.002;

/// A word on the release that a damaged file cannot have made up: weighing needs numbers, and one
/// that does not know the release to a minute does not know it.
bool usable(const ReleaseCandidate& candidate) {
  constexpr double most_u = 60.0;  // s
  return std::isfinite(candidate.time) && candidate.u > 0.0 && candidate.u < most_u;
}

std::string words_of(const session::RadarReading& reading) {
  return reading.text.empty() ? fmt::format("{:.1f} m/s", reading.speed)
                              : fmt::format("'{}'", reading.text);
}

std::vector<ExpectedReading> expected_readings(const std::vector<double>& contacts,
                                               const session::Radar& radar, const Air& air,
                                               const definitions::Settings& settings) {
  // Due within a few hundredths of a second for every plausible speed.
  constexpr double middling_speed = 33.0;
  const double after = settings.usual_contact_to_release + radar.delay.value +
                       flight_time(middling_speed, radar.detection_distance.value, air.drag.value);
  const double u = std::hypot(settings.usual_contact_to_release_u,
                              std::isfinite(radar.delay.u) ? radar.delay.u : 0.0);
  std::vector<ExpectedReading> due;
  due.reserve(contacts.size());
  for (const double contact : contacts) due.push_back({session_time(contact + after), u});
  return due;
}

// One channel between two session times, with when its first sample was; empty if none.
struct ChannelPiece {
  Eigen::ArrayXd values;
  double start = 0.0, step = 0.0;
};

Result<ChannelPiece> read_channel(const session::RowSource& reader,
                                  const session::SampleClock& clock, int device, int channel,
                                  double from, double to) {
  ChannelPiece piece;
  const Eigen::Index first = clock.row_at(session_time(from));
  const Eigen::Index last = clock.row_at(session_time(to));
  for (const session::Run& run : clock.runs()) {
    // A gap would shift what comes after it, so only the run that holds the beginning is read.
    if (first < run.first_row || first >= run.first_row + run.rows) continue;
    const auto raw =
        reader.read_raw(device, first, std::min(last, run.first_row + run.rows) - first);
    if (!raw) return tl::make_unexpected(raw.error());
    piece.values = raw->col(channel).array();
    piece.start = seconds(clock.at(run, first));
    piece.step = clock.step(run, first);
  }
  return piece;
}

}  // namespace

BallWitness::BallWitness(const session::RowSource& reader, const definitions::Settings& settings)
    : reader_(&reader), settings_(settings), air_(air_of(reader.session().conditions)) {}

Result<BallWitness> BallWitness::make(const session::RowSource& reader,
                                      const std::vector<double>& contacts,
                                      const definitions::Settings& settings) {
  BallWitness witness(reader, settings);
  witness.contacts_ = contacts;
  auto readings = reader.radar_readings();
  if (!readings) return tl::make_unexpected(readings.error());
  witness.readings_ = std::move(*readings);
  const session::Session& s = reader.session();
  if (s.radar) {
    witness.due_ = expected_readings(contacts, *s.radar, witness.air_, settings);
    MatchSettings matching;
    matching.least_speed = settings.least_ball_speed;
    matching.greatest_speed = settings.greatest_ball_speed;
    witness.matches_ = match_readings(witness.due_, witness.readings_, matching);
  }
  const auto keep_clock = [&](int device, std::optional<session::SampleClock>& kept) {
    // An instrument that delivered nothing all session is as good as absent.
    if (reader.sample_count(device) == 0) return Result<void>{};
    auto clock = session::clock_of(reader, device);
    if (!clock) return Result<void>(tl::make_unexpected(clock.error()));
    kept = std::move(*clock);
    return Result<void>{};
  };
  if (s.trigger)
    if (auto kept = keep_clock(s.trigger->device, witness.trigger_clock_); !kept)
      return tl::make_unexpected(kept.error());
  if (s.microphone)
    if (auto kept = keep_clock(s.microphone->device, witness.microphone_clock_); !kept)
      return tl::make_unexpected(kept.error());
  auto edits = reader.edits();
  if (!edits) return tl::make_unexpected(edits.error());
  witness.edits_ = std::move(*edits);
  witness.sound_radar_covariances_.assign(contacts.size(), 0.0);
  for (std::size_t i = 0; i < contacts.size(); ++i) witness.balls_.push_back(witness.look(i));
  witness.weigh_together();
  return witness;
}

void BallWitness::weigh_together() {
  const auto by = [](const Release& release, Witness witness) {
    return std::find_if(release.candidates.begin(), release.candidates.end(),
                        [&](const auto& candidate) { return candidate.witness == witness; });
  };
  std::vector<SoundAndRadar> heard;
  std::vector<std::size_t> of;
  for (std::size_t i = 0; i < balls_.size(); ++i) {
    if (!balls_[i]) continue;
    const Release& release = balls_[i]->release;
    const auto sound = by(release, Witness::catch_sound);
    const auto radar = by(release, Witness::radar);
    if (sound == release.candidates.end() || radar == release.candidates.end()) continue;
    // A third witness knows better than anything these two could learn, and shows what is wrong
    // with them; of several the best.
    std::optional<ReleaseCandidate> known;
    for (auto one = release.candidates.begin(); one != release.candidates.end(); ++one)
      if (one != sound && one != radar && (!known || one->u < known->u)) known = *one;
    if (known && !release.agrees) continue;
    heard.push_back({*sound, *radar, sound_radar_covariances_[i], known});
    of.push_back(i);
  }
  const std::vector<Measured> times = fuse_session(heard);
  for (std::size_t k = 0; k < of.size(); ++k)
    if (!heard[k].known) balls_[of[k]]->release.time = times[k];
}

std::optional<session::RadarReading> BallWitness::reading_for(
    std::size_t thrown, std::vector<session::ResultFlag>& flags) const {
  if (matches_.empty()) return std::nullopt;
  const MatchedReading& match = matches_[thrown];
  if (match.reading && match.at_plate)
    flags.push_back(flagged(Flag::two_radar_readings,
                            fmt::arg("first", words_of(readings_[*match.reading])),
                            fmt::arg("second", words_of(readings_[*match.at_plate]))));
  if (match.reading) return readings_[*match.reading];
  const MatchSettings matching;
  for (const session::RadarReading& reading : readings_)
    if (std::abs((reading.arrival - due_[thrown].due).count()) <= matching.least_gate &&
        reading.direction >= 0 &&
        !(reading.speed >= settings_.least_ball_speed &&
          reading.speed <= settings_.greatest_ball_speed))
      flags.push_back(flagged(Flag::implausible_reading, fmt::arg("text", reading.text)));
  flags.push_back(flagged(match.doubtful ? Flag::no_single_radar_reading : Flag::no_radar_reading));
  return std::nullopt;
}

std::optional<ReleaseCandidate> BallWitness::from_video(double contact) const {
  const std::vector<bool> stands = session::standing(edits_);
  std::optional<ReleaseCandidate> last;
  for (std::size_t row = 0; row < edits_.size(); ++row) {
    const session::Edit& edit = edits_[row];
    const auto mark = stands[row] ? marks::frame_mark_of(edit) : std::nullopt;
    // The edit names the contact as found; `contact` is coarse, within a trace's bins of it.
    if (!mark || mark->mark != marks::BodyMark::release || !session::is_about(edit, contact))
      continue;
    const Measured after = marks::from_contact(*mark);
    last = {edit.throw_contact + after.value, std::hypot(after.u, seen_landing_u),
            Witness::video_mark, seen_landing_u};
  }
  return last;
}

Result<std::optional<ReleaseCandidate>> BallWitness::from_trigger(double contact) const {
  const session::Trigger& trigger = *reader_->session().trigger;
  const auto piece = read_channel(*reader_, *trigger_clock_, trigger.device, trigger.channel,
                                  contact - 0.05, contact + latest_release + trigger.lag.value);
  if (!piece) return tl::make_unexpected(piece.error());
  const auto index = step_index(piece->values);
  if (!index) return std::nullopt;
  const double sample_u = piece->step / std::sqrt(12.0);
  return ReleaseCandidate{piece->start + *index * piece->step - trigger.lag.value,
                          std::hypot(trigger.lag.u, trigger_clock_->u(), sample_u),
                          Witness::trigger, std::hypot(trigger.lag.u, trigger_clock_->u()),
                          trigger.device};
}

Result<std::optional<ReleaseCandidate>> BallWitness::from_sound(double contact,
                                                                const BallSpeed& speed,
                                                                const Air& air) const {
  const session::CatchMicrophone& microphone = *reader_->session().microphone;
  if (!microphone.flight_distance.known() || !microphone.sound_distance.known())
    return std::nullopt;
  const double way =
      flight_time(speed.speed.value, microphone.flight_distance.value, air.drag.value) +
      microphone.sound_distance.value / air.sound_speed.value;
  // Begin early enough to hear the quiet before.
  constexpr double listen_before = 0.15;
  const auto piece = read_channel(
      *reader_, *microphone_clock_, microphone.device, microphone.channel,
      contact + earliest_release + way - listen_before, contact + latest_release + way);
  if (!piece) return tl::make_unexpected(piece.error());
  constexpr double burst_length = 0.002;
  const auto index = burst_onset(
      piece->values, std::max<Eigen::Index>(
                         4, static_cast<Eigen::Index>(burst_length / std::max(piece->step, 1e-6))));
  if (!index) return std::nullopt;
  const Measured onset{piece->start + *index * piece->step,
                       std::hypot(microphone_clock_->u(), piece->step / std::sqrt(12.0))};
  return from_catch_sound(onset, speed, microphone, air);
}

Result<BallOfThrow> BallWitness::look(std::size_t thrown) {
  const session::Session& s = reader_->session();
  const double contact = contacts_[thrown];
  const session::EditState state = session::state_of(edits_, contact);
  const Air air = for_ball(air_, session::fields_of(state.tags).ball_mass);
  BallOfThrow result;
  BallSpeed speed;
  const auto reading = reading_for(thrown, result.flags);
  if (reading) speed = speed_from_reading(reading->speed, *s.radar, s.athlete, air);
  result.speed = speed.speed;
  if (!result.speed.known() && s.known_ball_speed && contacts_.size() == 1) {
    result.speed = s.known_ball_speed->speed;
    if (result.speed.value < settings_.least_ball_speed ||
        result.speed.value > settings_.greatest_ball_speed) {
      result.flags.push_back(
          flagged(Flag::implausible_given_speed, fmt::arg("text", s.known_ball_speed->text)));
      result.speed = {};
    }
    speed = {result.speed};
  }
  if (!s.radar && !result.speed.known()) result.flags.push_back(flagged(Flag::no_radar_at_all));

  std::vector<ReleaseCandidate> candidates;
  for (const session::KnownRelease& known : s.known_releases)
    if (const double after = seconds(known.time) - contact;
        after > -0.1 && after < latest_release + 0.15)
      candidates.push_back({seconds(known.time), known.u, Witness::told, 0.0, -1, known.source});
  if (const auto candidate = from_video(contact)) candidates.push_back(*candidate);
  if (trigger_clock_) {
    const auto candidate = from_trigger(contact);
    if (!candidate) return tl::make_unexpected(candidate.error());
    if (*candidate) candidates.push_back(**candidate);
  }
  if (microphone_clock_ && result.speed.known()) {
    const auto candidate = from_sound(contact, speed, air);
    if (!candidate) return tl::make_unexpected(candidate.error());
    if (*candidate) candidates.push_back(**candidate);
  }
  if (reading && s.radar->delay.known() && s.radar->delay.u > 0.0)
    candidates.push_back(from_radar(reading->arrival, speed, *s.radar, air));
  if (reading && s.microphone)
    sound_radar_covariances_[thrown] = sound_radar_covariance(speed, *s.microphone, *s.radar, air);
  std::erase_if(candidates, [&](const ReleaseCandidate& candidate) {
    if (usable(candidate)) return false;
    result.flags.push_back(
        flagged(Flag::unusable_release, fmt::arg("source", source_of(candidate))));
    return true;
  });
  result.release = fuse(std::move(candidates));
  if (!result.release.agrees)
    result.flags.push_back(flagged(Flag::release_disagreement, fmt::arg("p", result.release.p)));
  if (!result.release.time.known()) {
    result.release = fuse({{.time = contact + settings_.usual_contact_to_release,
                            .u = settings_.usual_contact_to_release_u,
                            .told_by = "usual time after lead contact"}});
    result.flags.push_back(flagged(Flag::estimated_release));
  }
  if (air.assumed && s.radar) result.flags.push_back(flagged(Flag::assumed_air));
  return result;
}

}  // namespace moundwork::ball
