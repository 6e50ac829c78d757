// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/plate_rules.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "core/base/sentence.h"
#include "core/session/plate_name.h"

namespace moundwork::session {
namespace {

using plate::PlateFrame;

bool holds(const PlateFrame& plate, const Eigen::Vector3d& point) {
  const Eigen::Vector3d arm = point - plate.centre;
  return std::abs(plate.rotation.col(0).dot(arm)) < plate.half_size.x() &&
         std::abs(plate.rotation.col(1).dot(arm)) < plate.half_size.y();
}

bool is_doubt(double u) { return std::isfinite(u) && u >= 0.0; }

// The first channel of a plate that it or the other reads as well; -1 where there is none.
int read_twice(const Plate& one, const Plate& other) {
  if (one.device != other.device) return -1;
  const bool same = &one == &other;
  for (auto channel = one.channels.begin(); channel != one.channels.end(); ++channel)
    if (same ? std::find(one.channels.begin(), channel, *channel) != channel
             : std::find(other.channels.begin(), other.channels.end(), *channel) !=
                   other.channels.end())
      return *channel;
  return -1;
}

Result<void> check_alone(const Plate& plate, const std::string& name, const std::string& file) {
  constexpr const char* remedy = "correct the file's 'plates' group";
  const double sign = plate.description.reaction_sign;
  if (sign != 1.0 && sign != -1.0)
    return fail(file,
                sentence("the {plate} has the reaction sign {sign}", "plate"_is(name),
                         "sign"_is(fmt::format("{:g}", sign))),
                "give -1, or 1 where the channels hold the reaction");
  const PlateAccuracy& u = plate.accuracy;
  const std::array doubts{u.gain, u.crosstalk, u.zero_force, u.cop};
  if (!std::all_of(doubts.begin(), doubts.end(), is_doubt))
    return fail(
        file, sentence("an uncertainty of the {plate} is negative or no number", "plate"_is(name)),
        remedy);
  return {};
}

Result<void> check_pair(const Session& session, std::size_t i, std::size_t j,
                        const std::string& file) {
  const Plate &one = session.plates[i], &other = session.plates[j];
  if (const int twice = read_twice(one, other); twice >= 0)
    return fail(file,
                sentence("channel {channel} is read twice, for the {one} and for the {other}",
                         "channel"_is(std::to_string(twice)), "one"_is(plate_name(session, i)),
                         "other"_is(plate_name(session, j))),
                "give each plate channels of its own");
  if (i != j && one.role == other.role && in_one_place(one.description, other.description))
    return fail(file,
                sentence("the {one} and the {other} lie in one place",
                         "one"_is(plate_name(session, i)), "other"_is(plate_name(session, j))),
                "correct the corners of one of them");
  return {};
}

}  // namespace

bool in_one_place(const plate::PlateDescription& one, const plate::PlateDescription& other) {
  const auto a = plate::plate_frame(one), b = plate::plate_frame(other);
  return a && b && (holds(*a, b->centre) || holds(*b, a->centre));
}

Result<void> check_plates(const Session& session, const std::string& file) {
  for (std::size_t i = 0; i < session.plates.size(); ++i) {
    if (auto good = check_alone(session.plates[i], plate_name(session, i), file); !good)
      return good;
    for (std::size_t j = 0; j <= i; ++j)
      if (auto good = check_pair(session, i, j, file); !good) return good;
  }
  return {};
}

}  // namespace moundwork::session
