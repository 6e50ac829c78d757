// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "core/plate/component_unit.h"
#include "core/plate/wrench.h"
#include "core/session/plate_rules.h"
#include "drivers/kinds/station_table.h"
#include "drivers/kinds/station_words.h"

namespace moundwork::drivers {
namespace {

using session::Session;
using table::Faults;
using table::Section;

/// Components come in N, m and N m whatever the channels say.
void use_si(const Section& section, const plate::PlateDescription& description, int component,
            session::Channel& channel) {
  const auto kind = plate::component_kind(description.type, component);
  const auto unit = plate::parse_component_unit(channel.unit);
  if (!unit || unit->kind != kind) {
    section.fault_at("channels",
                     fmt::format("has '{}' in '{}', which cannot be turned into {}", channel.name,
                                 channel.unit, plate::si_symbol(kind)),
                     "give the unit, or a 'sensitivity' matrix from the channels' unit");
    return;
  }
  channel.scale *= unit->factor;
  channel.unit = plate::si_symbol(kind);
}

session::PlateAccuracy read_accuracy(const Section& plate, const std::string& name,
                                     Faults& faults) {
  session::PlateAccuracy accuracy;
  const toml::table* table = plate.table("accuracy");
  if (table == nullptr) return accuracy;
  const Section section(*table, "'accuracy' of " + name, faults,
                        {"gain", "crosstalk", "zero_force", "cop"});
  accuracy.gain = section.number("gain", 0.0, 1.0).value_or(0.0);
  accuracy.crosstalk = section.number("crosstalk", 0.0, 1.0).value_or(0.0);
  accuracy.zero_force = section.quantity("zero_force", Dimension::force, true).value_or(0.0);
  accuracy.cop = section.quantity("cop", Dimension::length, true).value_or(0.0);
  return accuracy;
}

void read_plate(const StationTable& one) {
  Faults& faults = one.faults;
  Session& session = one.session;
  const Section section(one.table, one.name, faults,
                        {"role", "device", "channels", "type", "origin", "corners", "sensitivity",
                         "reaction_sign", "accuracy"});
  for (const char* key : {"role", "channels", "type", "corners"}) section.need(key);
  session::Plate plate;
  plate::PlateDescription& description = plate.description;
  if (section.choice("role", {"back", "lead"}) == std::size_t{1})
    plate.role = session::PlateRole::lead;
  plate.device = device_index(section, session);
  const auto names = section.texts("channels");
  for (auto channel = names.begin(); channel != names.end(); ++channel) {
    plate.channels.push_back(channel_index(section, "channels", session, plate.device, *channel));
    if (std::find(names.begin(), channel, *channel) != channel)
      section.fault_at("channels", "names '" + *channel + "' twice");
    for (const session::Plate& other : session.plates)
      if (other.device == plate.device && std::find(other.channels.begin(), other.channels.end(),
                                                    plate.channels.back()) != other.channels.end())
        section.fault_at("channels", "names '" + *channel + "', which is another plate's",
                         "every channel is one plate's");
  }
  description.type = static_cast<plate::PlateType>(section.integer("type", 1, 4).value_or(2));
  if (const auto origin = section.point("origin")) description.origin = *origin;
  if (const auto corners = section.matrix("corners")) {
    if (corners->rows() != 4 || corners->cols() != 3) {
      section.fault_at("corners", "is not 4 points of 3 coordinates");
    } else {
      for (int i = 0; i < 4; ++i)
        description.corners[static_cast<std::size_t>(i)] = corners->row(i).transpose();
    }
  }
  if (const auto sign = section.integer("reaction_sign", -1, 1)) {
    if (*sign == 0) section.fault_at("reaction_sign", "is 0, where -1 or 1 is wanted");
    description.reaction_sign = *sign;
  }
  plate.accuracy = read_accuracy(section, one.name, faults);

  const int components = plate::component_count(description.type);
  const auto channels = static_cast<int>(plate.channels.size());
  description.sensitivity = Eigen::MatrixXd::Identity(components, components);
  if (description.type == plate::PlateType::six_component_matrix) section.need("sensitivity");
  if (const auto matrix = section.matrix("sensitivity")) {
    if (matrix->rows() != components || matrix->cols() != channels)
      section.fault_at("sensitivity",
                       fmt::format("is {} x {}, where {} x {} are wanted", matrix->rows(),
                                   matrix->cols(), components, channels));
    description.sensitivity = *matrix;
  } else if (channels != components) {
    section.fault_at("channels", fmt::format("has {} names, where a type {} plate has {}", channels,
                                             static_cast<int>(description.type), components));
  } else if (plate.device >= 0) {
    auto& described = session.devices[static_cast<std::size_t>(plate.device)].channels;
    // A device without channels was complained of already.
    for (int i = 0; i < components && !described.empty(); ++i)
      use_si(section, description, i,
             described[static_cast<std::size_t>(plate.channels[static_cast<std::size_t>(i)])]);
  }
  if (!faults.first()) {
    if (const auto map = plate::WrenchMap::make(description); !map)
      section.fault("cannot be used: " + map.error().what, map.error().advice);
    for (const session::Plate& other : session.plates)
      if (other.role == plate.role && session::in_one_place(other.description, description))
        section.fault_at("corners", "puts it where another plate of that foot lies",
                         "give each plate the corners of its own surface");
  }
  session.plates.push_back(std::move(plate));
}

std::string plate_text(const session::Plate& plate, const session::Session& session) {
  const session::Device& device = session.devices[static_cast<std::size_t>(plate.device)];
  std::vector<std::string> channels;
  for (const int channel : plate.channels)
    channels.push_back('"' + device.channels[static_cast<std::size_t>(channel)].name + '"');
  const plate::PlateDescription& d = plate.description;
  std::string text = fmt::format(
      "\n[[plate]]\nrole = \"{}\"\ndevice = \"{}\"\nchannels = [{}]\ntype = {}\norigin = {}\n"
      "corners = [{}, {}, {}, {}]\nreaction_sign = {}\n",
      plate.role == session::PlateRole::back ? "back" : "lead", device.name,
      fmt::join(channels, ", "), static_cast<int>(d.type), point_words(d.origin),
      point_words(d.corners[0]), point_words(d.corners[1]), point_words(d.corners[2]),
      point_words(d.corners[3]), d.reaction_sign);
  if (!d.sensitivity.isIdentity(0.0)) {
    std::vector<std::string> rows;
    for (Eigen::Index i = 0; i < d.sensitivity.rows(); ++i) {
      std::vector<std::string> cells;
      for (Eigen::Index j = 0; j < d.sensitivity.cols(); ++j)
        cells.push_back(fmt::format("{:.17g}", d.sensitivity(i, j)));
      rows.push_back(fmt::format("[{}]", fmt::join(cells, ", ")));
    }
    text += fmt::format("sensitivity = [{}]\n", fmt::join(rows, ", "));
  }
  const session::PlateAccuracy& a = plate.accuracy;
  text += fmt::format(
      "accuracy = {{gain = {:.17g}, crosstalk = {:.17g}, zero_force = \"{:.17g} N\", cop = "
      "\"{:.17g} m\"}}\n",
      a.gain, a.crosstalk, a.zero_force, a.cop);
  return text;
}

std::string plates_text(const Session& session) {
  std::string text;
  for (const session::Plate& plate : session.plates) text += plate_text(plate, session);
  return text;
}

}  // namespace

// As many as mounds are built of, and more; a list of hundreds is a mistake.
constexpr int most_plates = 16;

const StationKind& plate_station();
const StationKind& plate_station() {
  static const StationKind kind{"plate", most_plates, true, read_plate, plates_text, {}};
  return kind;
}

}  // namespace moundwork::drivers
