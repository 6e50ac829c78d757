// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/station_form.h"

#include <cmath>
#include <vector>

#include "app/desk/prepare/plate_place.h"
#include "app/desk/prepare/station_text.h"
#include "core/base/units.h"
#include "core/session/kinds/radar/radar.h"
#include "core/session/plate_name.h"

namespace moundwork::desk {
namespace {

constexpr double ms = 1e-3;

/// Indices in Session::plates of those of a column.
std::vector<int> plate_indices(const drivers::Station& station, FormColumn column) {
  std::vector<int> indices;
  if (column == FormColumn::radar) return indices;
  const auto role =
      column == FormColumn::back_plate ? session::PlateRole::back : session::PlateRole::lead;
  const auto& plates = station.session.plates;
  for (std::size_t i = 0; i < plates.size(); ++i)
    if (plates[i].role == role) indices.push_back(static_cast<int>(i));
  return indices;
}

/// Index in Session::plates of the column's `plate`; -1 where there is no such plate.
int plate_index(const drivers::Station& station, FormColumn column, int plate) {
  const std::vector<int> indices = plate_indices(station, column);
  const bool there = plate >= 0 && plate < static_cast<int>(indices.size());
  return there ? indices[static_cast<std::size_t>(plate)] : -1;
}

const session::Plate& plate_at(const drivers::Station& station, int index) {
  return station.session.plates[static_cast<std::size_t>(index)];
}

const session::Device& device_of(const drivers::Station& station, int plate) {
  return station.session.devices[static_cast<std::size_t>(plate_at(station, plate).device)];
}

StationKey plate_key(int plate, const char* key) { return {"plate", plate, key}; }

StationKey device_key(const drivers::Station& station, int plate, const char* key) {
  return {"device", plate_at(station, plate).device, key};
}

const drivers::EventPort* radar_port(const drivers::Station& station) {
  return event_port(station, "radar", session::radar_name);
}

std::optional<double> radar_number(const session::Radar& radar, FormRow row) {
  switch (row) {
    case FormRow::x:
      return radar.position.x();
    case FormRow::y:
      return radar.position.y();
    case FormRow::z:
      return radar.position.z();
    case FormRow::delay:
      return radar.delay.value / ms;
    case FormRow::delay_u:
      return radar.delay.u / ms;
    default:
      return std::nullopt;
  }
}

/// The measure of a place that a row stands for; null for the others.
double* member_of(PlatePlace& place, FormRow row) {
  switch (row) {
    case FormRow::x:
      return &place.centre.x();
    case FormRow::y:
      return &place.centre.y();
    case FormRow::z:
      return &place.centre.z();
    case FormRow::length:
      return &place.length;
    case FormRow::width:
      return &place.width;
    case FormRow::fall:
      return &place.fall;
    case FormRow::turn:
      return &place.turn;
    default:
      return nullptr;
  }
}

double factor_of(FormRow row) {
  return row == FormRow::fall || row == FormRow::turn ? radians_per_degree : 1.0;
}

Result<std::string> with_radar_number(const std::string& text, const session::Radar& radar,
                                      FormRow row, double value) {
  Eigen::Vector3d position = radar.position;
  switch (row) {
    case FormRow::x:
      position.x() = value;
      break;
    case FormRow::y:
      position.y() = value;
      break;
    case FormRow::z:
      position.z() = value;
      break;
    case FormRow::delay:
      return with_value(text, {"radar", -1, "delay"}, toml_quantity(value, 1.0, "ms"));
    case FormRow::delay_u:
      return with_value(text, {"radar", -1, "delay_u"}, toml_quantity(value, 1.0, "ms"));
    default:
      return text;
  }
  return with_value(text, {"radar", -1, "position"}, toml_point(position));
}

}  // namespace

FormRowWords words_of(FormRow row) {
  switch (row) {
    case FormRow::x:
      return {QStringLiteral("Toward home"),
              QStringLiteral("Middle of the plate, or the radar: distance from the rubber's front "
                             "edge toward home plate"),
              QStringLiteral("m"),
              3,
              -30.0,
              60.0,
              0.01};
    case FormRow::y:
      return {QStringLiteral("To first-base side"),
              QStringLiteral("Distance from the throwing line; minus on the third-base side"),
              QStringLiteral("m"),
              3,
              -20.0,
              20.0,
              0.01};
    case FormRow::z:
      return {QStringLiteral("Height"),
              QStringLiteral("Above the rubber's top; minus below it"),
              QStringLiteral("m"),
              3,
              -5.0,
              10.0,
              0.01};
    case FormRow::length:
      return {QStringLiteral("Length"),
              QStringLiteral("Along the throwing line, on the plate"),
              QStringLiteral("m"),
              3,
              0.1,
              3.0,
              0.01};
    case FormRow::width:
      return {QStringLiteral("Width"),
              QStringLiteral("Across the throwing line, on the plate"),
              QStringLiteral("m"),
              3,
              0.1,
              3.0,
              0.01};
    case FormRow::fall:
      return {QStringLiteral("Falls toward home"),
              QStringLiteral("Tilt; a mound that falls 1 in a foot has 4.76°"),
              QStringLiteral("°"),
              2,
              -20.0,
              20.0,
              0.1};
    case FormRow::turn:
      return {QStringLiteral("Turned"),
              QStringLiteral("About the vertical, from home toward the first-base side"),
              QStringLiteral("°"),
              2,
              -44.0,
              44.0,
              0.1};
    case FormRow::rate:
      return {QStringLiteral("Samples"),
              QStringLiteral("Rows of samples a second"),
              QStringLiteral("Hz"),
              0,
              1.0,
              100000.0,
              100.0};
    case FormRow::delay:
      return {QStringLiteral("Delay"),
              QStringLiteral("From sampling (plate) or the ball's passing (radar) to arrival in "
                             "this computer"),
              QStringLiteral("ms"),
              2,
              0.0,
              10000.0,
              0.1};
    case FormRow::delay_u:
      return {QStringLiteral("Delay, ±"),
              QStringLiteral("Standard uncertainty of the delay"),
              QStringLiteral("ms"),
              2,
              0.0,
              10000.0,
              0.1};
  }
  return {};
}

QString words_of(FormColumn column) {
  switch (column) {
    case FormColumn::back_plate:
      return QStringLiteral("Back plate");
    case FormColumn::lead_plate:
      return QStringLiteral("Lead plate");
    case FormColumn::radar:
      return QStringLiteral("Radar");
  }
  return {};
}

QStringList form_plates(const drivers::Station& station, FormColumn column) {
  QStringList names;
  for (const int index : plate_indices(station, column))
    names << QString::fromStdString(
        session::plate_ordinal(station.session, static_cast<std::size_t>(index)));
  return names;
}

std::optional<double> form_number(const drivers::Station& station, FormColumn column, FormRow row,
                                  int plate) {
  if (column == FormColumn::radar)
    return station.session.radar ? radar_number(*station.session.radar, row) : std::nullopt;
  const int index = plate_index(station, column, plate);
  if (index < 0) return std::nullopt;
  const session::Device& device = device_of(station, index);
  if (row == FormRow::rate) return device.sample_rate;
  if (row == FormRow::delay) return device.delay.value / ms;
  if (row == FormRow::delay_u) return device.delay.u / ms;
  auto place = place_of(plate_at(station, index).description.corners);
  if (!place) return std::nullopt;
  return *member_of(*place, row) / factor_of(row);
}

Result<std::string> with_form_number(const std::string& text, const drivers::Station& station,
                                     FormColumn column, FormRow row, double value, int plate) {
  if (column == FormColumn::radar) {
    if (!station.session.radar)
      return fail("radar", "is not in the file", "add a [radar] to the file's text");
    return with_radar_number(text, *station.session.radar, row, value);
  }
  const int index = plate_index(station, column, plate);
  if (index < 0)
    return fail(words_of(column).toStdString(), "is not in the file",
                "add a [[plate]] to the file's text");
  if (row == FormRow::rate)
    return with_value(text, device_key(station, index, "sample_rate"),
                      toml_quantity(value, 1.0, "Hz"));
  if (row == FormRow::delay)
    return with_value(text, device_key(station, index, "delay"), toml_quantity(value, 1.0, "ms"));
  if (row == FormRow::delay_u)
    return with_value(text, device_key(station, index, "delay_u"), toml_quantity(value, 1.0, "ms"));
  const Corners& corners = plate_at(station, index).description.corners;
  auto place = place_of(corners);
  if (!place) return tl::make_unexpected(place.error());
  *member_of(*place, row) = value * factor_of(row);
  return with_value(text, plate_key(index, "corners"), toml_corners(corners_at(*place, corners)));
}

std::optional<std::string> form_port(const drivers::Station& station, FormColumn column,
                                     int plate) {
  if (column == FormColumn::radar)
    return radar_port(station) ? std::optional(port_line(radar_port(station)->port)) : std::nullopt;
  const int index = plate_index(station, column, plate);
  if (index < 0) return std::nullopt;
  return port_line(station.devices[static_cast<std::size_t>(plate_at(station, index).device)].port);
}

Result<std::string> with_form_port(const std::string& text, const drivers::Station& station,
                                   FormColumn column, const std::string& line, int plate) {
  const int index = plate_index(station, column, plate);
  const bool radar = column == FormColumn::radar;
  if (radar ? radar_port(station) == nullptr : index < 0)
    return fail(words_of(column).toStdString(), "is not in the file",
                "add it to the file's text first");
  const auto& before =
      radar ? radar_port(station)->port
            : station.devices[static_cast<std::size_t>(plate_at(station, index).device)].port;
  const auto port = port_of_line(line, before);
  if (!port) return tl::make_unexpected(port.error());
  return with_value(text,
                    radar ? StationKey{"radar", -1, "port"} : device_key(station, index, "port"),
                    toml_port(*port));
}

Result<std::string> with_roles_swapped(const std::string& text, const drivers::Station& station) {
  Result<std::string> changed = text;
  for (std::size_t i = 0; i < station.session.plates.size() && changed; ++i)
    changed = with_value(
        *changed, plate_key(static_cast<int>(i), "role"),
        station.session.plates[i].role == session::PlateRole::back ? "\"lead\"" : "\"back\"");
  return changed;
}

}  // namespace moundwork::desk
