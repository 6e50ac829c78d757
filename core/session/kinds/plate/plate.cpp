// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/session/attributes.h"
#include "core/session/hdf5.h"
#include "core/session/kinds/kind.h"
#include "core/session/plate_rules.h"
#include "core/session/schema.h"

namespace moundwork::session {
namespace {

using hdf5::read_integer;
using hdf5::read_number;
using hdf5::read_numbers;
using hdf5::read_text;
using hdf5::read_vector;
using hdf5::require;
using hdf5::values_of;
using hdf5::write;

constexpr const char* other_plates = "other";

// The first plate of a foot has the foot's name, as the only one had before there could be several.
std::string group_name(const std::string& serves, std::size_t place) {
  return place == 0 ? serves : fmt::format("{}_{}", serves, place + 1);
}

void write_plate(H5::Group& plates, const std::string& name, const Plate& plate,
                 const std::vector<Device>& devices) {
  H5::Group group = plates.createGroup(name);
  const plate::PlateDescription& d = plate.description;
  write(group, "device", devices.at(static_cast<std::size_t>(plate.device)).name);
  write(group, "channels", std::vector<double>(plate.channels.begin(), plate.channels.end()),
        {plate.channels.size()});
  write(group, "type", static_cast<std::int64_t>(d.type));
  write(group, "origin_m", values_of(d.origin), {3});
  std::vector<double> corners;
  for (const auto& corner : d.corners)
    corners.insert(corners.end(), {corner.x(), corner.y(), corner.z()});
  write(group, "corners_m", corners, {4, 3});
  const Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> rows = d.sensitivity;
  write(group, "sensitivity", std::vector<double>(rows.data(), rows.data() + rows.size()),
        {static_cast<hsize_t>(rows.rows()), static_cast<hsize_t>(rows.cols())});
  write(group, "reaction_sign", d.reaction_sign);
  write(group, "gain_u", plate.accuracy.gain);
  write(group, "crosstalk_u", plate.accuracy.crosstalk);
  write(group, "zero_force_u_N", plate.accuracy.zero_force);
  write(group, "cop_u_m", plate.accuracy.cop);
  if (plate.number > 0) write(group, "number", static_cast<std::int64_t>(plate.number));
}

Plate read_plate(const H5::Group& group, PlateRole role, const std::vector<Device>& devices) {
  Plate plate;
  plate.role = role;
  const std::string device = read_text(group, "device");
  const auto found = std::find_if(devices.begin(), devices.end(),
                                  [&](const Device& d) { return d.name == device; });
  require(found != devices.end(), fmt::format("a plate names the device '{}'", device));
  plate.device = static_cast<int>(found - devices.begin());
  for (const double channel : read_numbers(group, "channels")) {
    require(channel == std::floor(channel) && channel >= 0.0 &&
                channel < static_cast<double>(found->channels.size()),
            fmt::format("a plate names channel {} of '{}'", channel, device));
    plate.channels.push_back(static_cast<int>(channel));
  }
  plate::PlateDescription& d = plate.description;
  const std::int64_t type = read_integer(group, "type");
  require(type >= 1 && type <= 4, fmt::format("plate type {} is none of 1 to 4", type));
  d.type = static_cast<plate::PlateType>(type);
  d.origin = read_vector(group, "origin_m");
  const std::vector<double> corners = read_numbers(group, "corners_m");
  require(corners.size() == 12, "a plate has not four corners");
  for (std::size_t c = 0; c < 4; ++c)
    d.corners[c] = {corners[3 * c], corners[3 * c + 1], corners[3 * c + 2]};
  const std::vector<double> cells = read_numbers(group, "sensitivity");
  const std::size_t columns = plate.channels.size();
  require(columns > 0 && cells.size() % columns == 0,
          "a plate's sensitivity does not fit its channels");
  d.sensitivity =
      Eigen::Map<const Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>>(
          cells.data(), static_cast<Eigen::Index>(cells.size() / columns),
          static_cast<Eigen::Index>(columns));
  d.reaction_sign = read_number(group, "reaction_sign");
  plate.accuracy = {read_number(group, "gain_u"), read_number(group, "crosstalk_u"),
                    read_number(group, "zero_force_u_N"), read_number(group, "cop_u_m")};
  if (group.attrExists("number")) {
    const std::int64_t number = read_integer(group, "number");
    require(number >= 1 && number <= 255, fmt::format("plate number {} is none", number));
    plate.number = static_cast<int>(number);
  }
  return plate;
}

void write_plates(H5::H5File& file, const Session& session) {
  H5::Group group = file.createGroup("plates");
  for (const PlateRole role : {PlateRole::back, PlateRole::lead}) {
    std::size_t place = 0;
    for (const Plate& plate : session.plates)
      if (plate.role == role)
        write_plate(group, group_name(schema::to_text(role), place++), plate, session.devices);
  }
  for (std::size_t i = 0; i < session.other_plates.size(); ++i)
    write_plate(group, group_name(other_plates, i), session.other_plates[i], session.devices);
}

void read_plates(const H5::H5File& file, Session& session) {
  const H5::Group plates = file.openGroup("plates");
  const auto read_all = [&](const std::string& serves, PlateRole role, std::vector<Plate>& into) {
    for (std::size_t place = 0; plates.nameExists(group_name(serves, place)); ++place)
      into.push_back(
          read_plate(plates.openGroup(group_name(serves, place)), role, session.devices));
  };
  for (const PlateRole role : {PlateRole::back, PlateRole::lead})
    read_all(schema::to_text(role), role, session.plates);
  read_all(other_plates, {}, session.other_plates);
  // One that is not read would be left out of a foot's force without a word.
  require(plates.getNumObjs() == session.plates.size() + session.other_plates.size(),
          "'plates' holds a group that is no plate in the order back, back_2, ..., lead, lead_2, "
          "..., other, other_2, ...");
  if (const auto good = check_plates(session, "plates"); !good) require(false, good.error().what);
}

}  // namespace

const Kind& plate_kind();
const Kind& plate_kind() {
  static const Kind kind{"plate", write_plates, read_plates, {}, {}};
  return kind;
}

}  // namespace moundwork::session
