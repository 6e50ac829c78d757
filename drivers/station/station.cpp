// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/station/station.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "core/plate/component_unit.h"
#include "core/plate/wrench.h"
#include "core/table/settings_section.h"
#include "drivers/codec/plate_frame.h"

namespace moundwork::drivers {
namespace {

using session::Session;
using table::Faults;
using table::Section;
namespace fs = std::filesystem;

// A station file is typed by hand; more than this is another file.
constexpr std::uintmax_t largest_file = 1 << 20;

/// Tables of `[[key]]`, at most `most` of them.
std::vector<const toml::table*> tables_of(const toml::table& table, std::string_view key,
                                          std::size_t most, const Section& section) {
  std::vector<const toml::table*> found;
  const toml::node* node = table.get(key);
  if (node == nullptr) return found;
  const toml::array* array = node->as_array();
  if (array == nullptr || array->empty() || array->size() > most ||
      !array->is_homogeneous(toml::node_type::table)) {
    section.fault_at(key, fmt::format("is not 1 to {} tables", most),
                     fmt::format("write [[{}]] above each", key));
    return found;
  }
  for (const toml::node& one : *array) found.push_back(one.as_table());
  return found;
}

Measured measured(const Section& section, const std::string& key, Dimension dimension) {
  return {section.quantity(key, dimension, true).value_or(0.0),
          section.quantity(key + "_u", dimension, true).value_or(0.0)};
}

SerialSettings read_serial(const toml::table& table, const std::string& name, Faults& faults) {
  const Section section(table, name, faults,
                        {"kind", "name", "usb_vendor", "usb_product", "usb_serial", "baud",
                         "data_bits", "parity", "stop_bits", "flow"});
  SerialSettings serial;
  serial.name = section.text("name").value_or("");
  serial.usb.vendor = section.integer("usb_vendor", 0, 0xFFFF);
  serial.usb.product = section.integer("usb_product", 0, 0xFFFF);
  serial.usb.serial = section.text("usb_serial").value_or("");
  if (serial.name.empty() && !serial.usb.vendor && serial.usb.serial.empty())
    section.fault("does not say which port", "give 'name', or 'usb_vendor' and 'usb_product'");
  serial.baud_rate = section.integer("baud", 50, 12'000'000).value_or(serial.baud_rate);
  serial.data_bits = section.integer("data_bits", 5, 8).value_or(serial.data_bits);
  serial.stop_bits = section.integer("stop_bits", 1, 2).value_or(serial.stop_bits);
  if (const auto which = section.choice("parity", {"none", "odd", "even"}))
    serial.parity = static_cast<Parity>(*which);
  if (const auto which = section.choice("flow", {"none", "rts_cts", "xon_xoff"}))
    serial.flow_control = static_cast<FlowControl>(*which);
  return serial;
}

fs::path from_folder(const fs::path& folder, const std::string& path) {
  return fs::path(path).is_absolute() ? fs::path(path) : folder / path;
}

PortSettings read_port(const Section& owner, const std::string& owner_name, const fs::path& folder,
                       Faults& faults) {
  owner.need("port");
  const toml::table* table = owner.table("port");
  if (table == nullptr) return StreamPort{};
  const std::string name = "'port' of " + owner_name;
  const auto* kind = table->get_as<std::string>("kind");
  if (kind != nullptr && kind->get() == "serial") return read_serial(*table, name, faults);
  if (kind != nullptr && kind->get() == "stream") {
    const Section section(*table, name, faults, {"kind", "path"});
    return StreamPort{from_folder(folder, section.needed_text("path")).string()};
  }
  if (kind != nullptr && kind->get() == "tcp") {
    const Section section(*table, name, faults, {"kind", "host", "port"});
    section.need("port");
    return TcpPort{section.needed_text("host"),
                   std::to_string(section.integer("port", 1, 65535).value_or(1))};
  }
  if (kind != nullptr && kind->get() == "replay") {
    const Section section(*table, name, faults, {"kind", "path", "bytes_per_second"});
    return ReplayPort{from_folder(folder, section.needed_text("path")),
                      section.number("bytes_per_second", 0.0, 1e9).value_or(0.0)};
  }
  owner.fault_at("port", "has no kind known here",
                 "give kind = \"serial\", \"stream\", \"tcp\" or \"replay\"");
  return StreamPort{};
}

/// Scaled unit per count of a strain-gauge bridge:
/// volts per count x 1e6 / (sensitivity in uV per V and unit x excitation in V x gain).
std::optional<double> bridge_scale(const Section& channel, const std::string& name,
                                   Faults& faults) {
  const toml::table* table = channel.table("bridge");
  if (table == nullptr) return std::nullopt;
  const std::initializer_list<std::string_view> keys{"volts_per_count", "gain", "excitation",
                                                     "sensitivity"};
  const Section section(*table, "'bridge' of " + name, faults, keys);
  for (const std::string_view key : keys) section.need(key);
  const auto value = [&](std::string_view key) {
    const double given = section.number(key, -1e12, 1e12).value_or(1.0);
    if (given == 0.0) section.fault_at(key, "is 0");
    return given;
  };
  return value("volts_per_count") * 1e6 /
         (value("sensitivity") * value("excitation") * value("gain"));
}

session::Channel read_channel(const toml::table& table, const std::string& name, bool in_lines,
                              LineFormat& lines, Faults& faults) {
  const Section section(
      table, name, faults,
      {"name", "unit", "scale", "offset", "bridge", "lowest", "highest", "field"});
  session::Channel channel;
  channel.name = section.needed_text("name");
  channel.unit = section.needed_text("unit");
  if (section.has("scale") == section.has("bridge"))
    section.fault("needs one of 'scale' and 'bridge', and not both");
  channel.scale = section.number("scale", -1e12, 1e12).value_or(1.0);
  if (const auto scale = bridge_scale(section, name, faults)) channel.scale = *scale;
  if (channel.scale == 0.0) section.fault_at("scale", "is 0");
  channel.offset = section.number("offset", -1e12, 1e12).value_or(0.0);
  channel.lowest = section.number("lowest", -1e12, 1e12).value_or(channel.lowest);
  channel.highest = section.number("highest", -1e12, 1e12).value_or(channel.highest);
  if (!(channel.lowest < channel.highest)) section.fault("has 'lowest' not below 'highest'");
  if (in_lines) section.need("field");
  if (!in_lines && section.has("field"))
    section.fault_at("field", "belongs to lines", "frames hold the channels in the order given");
  if (const auto field = section.integer("field", 1, 1024)) lines.channels.push_back(*field - 1);
  return channel;
}

LineFormat read_lines(const toml::table& table, const std::string& name, Faults& faults) {
  const Section section(table, name, faults,
                        {"kind", "delimiter", "fields", "counter", "counter_bits", "values"});
  section.need("fields");
  LineFormat lines;
  if (const auto which = section.choice("delimiter", {",", ";", "tab", "blank"}))
    lines.delimiter = ",;\t "[*which];
  lines.fields = section.integer("fields", 1, 1024).value_or(1);
  if (const auto counter = section.integer("counter", 1, 1024)) lines.counter = *counter - 1;
  lines.counter_bits = section.integer("counter_bits", 1, 63).value_or(32);
  if (const auto which = section.choice("values", {"integer", "decimal"}))
    lines.integers = *which == 0;
  return lines;
}

/// A device's name is a group's name in the session file and part of paths there.
bool is_plain_name(const std::string& name) {
  return !name.empty() && name.size() <= 40 && std::all_of(name.begin(), name.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == ' ' ||
           c == '_' || c == '-';
  });
}

void read_device(const toml::table& table, const fs::path& folder, Faults& faults,
                 Station& station) {
  const std::string name = fmt::format("[[device]] {}", station.devices.size() + 1);
  const Section section(
      table, name, faults,
      {"name", "port", "format", "sample_rate", "tick_rate", "delay", "delay_u", "channel"});
  for (const char* key : {"sample_rate", "format", "channel"}) section.need(key);
  StationDevice device{read_port(section, name, folder, faults), FrameFormat{}};
  session::Device described;
  described.name = section.needed_text("name");
  if (section.has("name") && !is_plain_name(described.name))
    section.fault_at("name", "is not made of 1 to 40 letters, digits, blanks, '-' and '_'");
  for (const session::Device& other : station.session.devices)
    if (other.name == described.name) section.fault_at("name", "is taken by another device");
  described.sample_rate = section.quantity("sample_rate", Dimension::frequency).value_or(1.0);
  described.tick_rate =
      section.quantity("tick_rate", Dimension::frequency).value_or(described.sample_rate);
  if (described.tick_rate < described.sample_rate)
    section.fault_at("tick_rate", "is below the sample rate", "leave it out for a sample counter");
  described.delay = measured(section, "delay", Dimension::time);

  LineFormat lines;
  bool in_lines = false;
  if (const toml::table* format = section.table("format")) {
    const auto* kind = format->get_as<std::string>("kind");
    in_lines = kind != nullptr && kind->get() == "lines";
    if (in_lines) {
      lines = read_lines(*format, "'format' of " + name, faults);
    } else if (kind == nullptr || kind->get() != "frames") {
      section.fault_at("format", "has no kind known here", "give kind = \"frames\" or \"lines\"");
    } else {
      const Section plain(*format, "'format' of " + name, faults, {"kind"});
    }
  }
  for (const toml::table* channel : tables_of(table, "channel", most_channels, section))
    described.channels.push_back(
        read_channel(*channel, fmt::format("channel {} of {}", described.channels.size() + 1, name),
                     in_lines, lines, faults));
  for (const int field : lines.channels)
    if (field >= lines.fields || (lines.counter && field == *lines.counter))
      section.fault_at("channel",
                       fmt::format("names field {}, which is no field of samples", field + 1));
  if (lines.counter && *lines.counter >= lines.fields && in_lines)
    section.fault_at("format", "has its counter beyond the last field");
  if (in_lines && !lines.counter && section.has("tick_rate"))
    section.fault_at("tick_rate", "is given, but the lines have no counter");
  described.sample_type =
      in_lines && !lines.integers ? session::SampleType::float64 : session::SampleType::int32;
  if (in_lines) device.format = std::move(lines);
  station.devices.push_back(std::move(device));
  station.session.devices.push_back(std::move(described));
}

int device_index(const Section& section, const Session& session) {
  const std::string name = section.needed_text("device");
  for (std::size_t i = 0; i < session.devices.size(); ++i)
    if (session.devices[i].name == name) return static_cast<int>(i);
  if (!name.empty()) section.fault_at("device", "names '" + name + "', which is no [[device]]");
  return -1;
}

int channel_index(const Section& section, std::string_view key, const Session& session, int device,
                  const std::string& name) {
  if (device < 0) return 0;
  const auto& channels = session.devices[static_cast<std::size_t>(device)].channels;
  for (std::size_t i = 0; i < channels.size(); ++i)
    if (channels[i].name == name) return static_cast<int>(i);
  section.fault_at(key, "names '" + name + "', which is no channel of the device");
  return 0;
}

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

void read_plate(const toml::table& table, Faults& faults, Session& session) {
  const std::string name = fmt::format("[[plate]] {}", session.plates.size() + 1);
  const Section section(table, name, faults,
                        {"role", "device", "channels", "type", "origin", "corners", "sensitivity",
                         "reaction_sign", "accuracy"});
  for (const char* key : {"role", "channels", "type", "corners"}) section.need(key);
  session::Plate plate;
  plate::PlateDescription& description = plate.description;
  if (section.choice("role", {"back", "lead"}) == std::size_t{1})
    plate.role = session::PlateRole::lead;
  for (const session::Plate& other : session.plates)
    if (other.role == plate.role) section.fault_at("role", "is that of the other plate as well");
  plate.device = device_index(section, session);
  const auto names = section.texts("channels");
  for (auto channel = names.begin(); channel != names.end(); ++channel) {
    plate.channels.push_back(channel_index(section, "channels", session, plate.device, *channel));
    if (std::find(names.begin(), channel, *channel) != channel)
      section.fault_at("channels", "names '" + *channel + "' twice");
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
  plate.accuracy = read_accuracy(section, name, faults);

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
  }
  session.plates.push_back(std::move(plate));
}

void read_radar(const toml::table& table, const fs::path& folder, Faults& faults,
                Station& station) {
  const Section section(
      table, "[radar]", faults,
      {"port", "pattern", "unit", "toward", "away", "stands", "position", "band", "resolution",
       "delay", "delay_u", "detection_distance", "detection_distance_u", "speed_bias_u"});
  for (const char* key : {"stands", "position", "band"}) section.need(key);
  StationRadar radar{read_port(section, "[radar]", folder, faults), {}};
  radar.lines.pattern = section.needed_text("pattern");
  radar.lines.unit = section.text("unit").value_or("");
  radar.lines.toward = section.texts("toward");
  radar.lines.away = section.texts("away");
  for (const std::string& word : radar.lines.away)
    if (std::find(radar.lines.toward.begin(), radar.lines.toward.end(), word) !=
        radar.lines.toward.end())
      section.fault_at("away", "has '" + word + "', which 'toward' has too");
  radar.lines.behind_pitcher =
      section.choice("stands", {"behind_pitcher", "behind_catcher"}) == std::size_t{0};
  if (!faults.first()) {
    if (const auto pattern = RadarLinePattern::make(radar.lines); !pattern)
      section.fault_at("pattern", "cannot be used: " + pattern.error().what,
                       pattern.error().advice);
  }
  session::Radar described;
  if (const auto position = section.point("position")) described.position = *position;
  described.band = section.quantity("band", Dimension::frequency).value_or(described.band);
  described.resolution = section.quantity("resolution", Dimension::speed, true).value_or(0.0);
  described.delay = measured(section, "delay", Dimension::time);
  described.detection_distance = measured(section, "detection_distance", Dimension::length);
  described.speed_bias.u = section.quantity("speed_bias_u", Dimension::speed, true).value_or(0.0);
  station.radar = std::move(radar);
  station.session.radar = described;
}

void read_microphone(const toml::table& table, Faults& faults, Session& session) {
  const Section section(table, "[catch_microphone]", faults,
                        {"device", "channel", "flight_distance", "flight_distance_u",
                         "sound_distance", "sound_distance_u"});
  for (const char* key : {"flight_distance", "sound_distance"}) section.need(key);
  session::CatchMicrophone microphone;
  microphone.device = device_index(section, session);
  microphone.channel =
      channel_index(section, "channel", session, microphone.device, section.needed_text("channel"));
  microphone.flight_distance = measured(section, "flight_distance", Dimension::length);
  if (section.has("flight_distance") && microphone.flight_distance.value == 0.0)
    section.fault_at("flight_distance", "is 0");
  microphone.sound_distance = measured(section, "sound_distance", Dimension::length);
  session.microphone = microphone;
}

void read_trigger(const toml::table& table, Faults& faults, Session& session) {
  const Section section(table, "[trigger]", faults, {"device", "channel", "lag", "lag_u"});
  session::Trigger trigger;
  trigger.device = device_index(section, session);
  trigger.channel =
      channel_index(section, "channel", session, trigger.device, section.needed_text("channel"));
  trigger.lag = measured(section, "lag", Dimension::time);
  session.trigger = trigger;
}

void read_check_limits(const toml::table& table, Faults& faults, CheckLimits& limits) {
  const Section section(
      table, "[check_limits]", faults,
      {"rate", "force_noise", "force_zero", "weight_force", "weight_cop", "fork_speed", "tap"});
  // A limit of 0 would fail every station.
  const auto share = [&](const char* key, double& limit) {
    constexpr double least = 1e-6;
    limit = section.number(key, least, 1.0).value_or(limit);
  };
  const auto amount = [&](const char* key, Dimension dimension, double& limit) {
    limit = section.quantity(key, dimension).value_or(limit);
  };
  share("rate", limits.rate);
  amount("force_noise", Dimension::force, limits.force_noise);
  amount("force_zero", Dimension::force, limits.force_zero);
  share("weight_force", limits.weight_force);
  amount("weight_cop", Dimension::length, limits.weight_cop);
  share("fork_speed", limits.fork_speed);
  amount("tap", Dimension::time, limits.tap);
}

struct SamePort {
  bool operator()(const SerialSettings& a, const SerialSettings& b) const {
    if (!a.name.empty() || !b.name.empty()) return a.name == b.name;
    return a.usb.vendor == b.usb.vendor && a.usb.product == b.usb.product &&
           a.usb.serial == b.usb.serial;
  }
  bool operator()(const StreamPort& a, const StreamPort& b) const {
    return fs::path(a.path).lexically_normal() == fs::path(b.path).lexically_normal();
  }
  bool operator()(const TcpPort& a, const TcpPort& b) const {
    return a.host == b.host && a.port == b.port;
  }
  // Anything can be opened twice that was captured, and nothing else is the same as another kind.
  template <class A, class B>
  bool operator()(const A& /*a*/, const B& /*b*/) const {
    return false;
  }
};

/// Two that open one port would each get a part of its bytes.
void check_ports(const Station& station, const Section& root) {
  std::vector<std::pair<std::string, const PortSettings*>> ports;
  for (std::size_t d = 0; d < station.devices.size(); ++d)
    ports.emplace_back(station.session.devices[d].name, &station.devices[d].port);
  if (station.radar) ports.emplace_back("radar", &station.radar->port);
  for (auto one = ports.begin(); one != ports.end(); ++one)
    for (auto other = ports.begin(); other != one; ++other)
      if (std::visit(SamePort{}, *one->second, *other->second))
        root.fault(fmt::format("gives '{}' and '{}' one port", other->first, one->first),
                   "give each instrument its own; adapters of one make differ in 'usb_serial'");
}

Station read_root(const toml::table& table, const fs::path& folder, Faults& faults) {
  const Section root(table, "the file", faults,
                     {"name", "surface", "pace", "device", "plate", "radar", "catch_microphone",
                      "trigger", "check_limits"});
  Station station;
  station.name = root.needed_text("name");
  station.pace = root.number("pace", 0.01, 100.0).value_or(station.pace);
  station.session.conditions.surface = root.text("surface").value_or("");
  for (const toml::table* device : tables_of(table, "device", 16, root))
    read_device(*device, folder, faults, station);
  for (const toml::table* plate : tables_of(table, "plate", 2, root))
    read_plate(*plate, faults, station.session);
  if (const auto* radar = root.table("radar")) read_radar(*radar, folder, faults, station);
  if (const auto* microphone = root.table("catch_microphone"))
    read_microphone(*microphone, faults, station.session);
  if (const auto* trigger = root.table("trigger")) read_trigger(*trigger, faults, station.session);
  if (const auto* limits = root.table("check_limits"))
    read_check_limits(*limits, faults, station.check_limits);
  if (station.devices.empty() && !station.radar)
    root.fault("names no device", "write a [[device]] for each plate");
  if (!faults.first()) check_ports(station, root);
  return station;
}

}  // namespace

Result<Station> parse_station(std::string_view text, const fs::path& where) {
  Faults faults(where.string());
  try {
    const toml::table table = toml::parse(text, where.string());
    Station station = read_root(table, where.parent_path(), faults);
    if (faults.first()) return tl::make_unexpected(*faults.first());
    return station;
  } catch (const toml::parse_error& error) {
    return fail(fmt::format("{}, line {}", where.string(), error.source().begin.line),
                std::string(error.description()), "see docs/station-file.md");
  }
}

Result<Station> read_station(const fs::path& path) {
  std::error_code status;
  if (!fs::is_regular_file(path, status))
    return fail(path.string(), "there is no such file", "give the path of a station file");
  if (fs::file_size(path, status) > largest_file)
    return fail(path.string(), "is too large for a station file");
  std::ifstream file(path);
  std::ostringstream text;
  text << file.rdbuf();
  if (!file) return fail(path.string(), "cannot be read", "check its permissions");
  return parse_station(text.str(), path);
}

}  // namespace moundwork::drivers
