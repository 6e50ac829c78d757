// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/station/station.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "core/table/settings_section.h"
#include "drivers/codec/plate_frame.h"
#include "drivers/kinds/list.h"
#include "drivers/kinds/station_table.h"
#include "drivers/transport/port_section.h"

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
  check_name(section, described.name, station.session, station.events);
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

/// Two that open one port would each get a part of its bytes.
void check_ports(const Station& station, const Section& root) {
  std::vector<std::pair<std::string, const PortSettings*>> ports;
  for (std::size_t d = 0; d < station.devices.size(); ++d)
    ports.emplace_back(station.session.devices[d].name, &station.devices[d].port);
  for (const EventPort& events : station.events) ports.emplace_back(events.name, &events.port);
  for (auto one = ports.begin(); one != ports.end(); ++one)
    for (auto other = ports.begin(); other != one; ++other)
      if (same_port(*one->second, *other->second))
        root.fault(fmt::format("gives '{}' and '{}' one port", other->first, one->first),
                   "give each instrument its own; adapters of one make differ in 'usb_serial'");
}

/// The tables of a kind, each read in turn.
void read_kind(const StationKind& kind, const toml::table& table, const Section& root,
               const fs::path& folder, Faults& faults, Station& station) {
  const auto read = [&](const toml::table& one, std::string name) {
    kind.read({one, std::move(name), folder, faults, station.session, station.events});
  };
  if (!kind.listed) {
    if (const auto* one = root.table(kind.key)) read(*one, fmt::format("[{}]", kind.key));
    return;
  }
  int number = 0;
  for (const toml::table* one : tables_of(table, kind.key, kind.most, root))
    read(*one, fmt::format("[[{}]] {}", kind.key, ++number));
}

Station read_root(const toml::table& table, const fs::path& folder, Faults& faults) {
  std::vector<std::string_view> keys{"name", "surface", "pace", "device"};
  for (const StationKind* kind : station_kinds()) keys.push_back(kind->key);
  keys.push_back("check_limits");
  const Section root(table, "the file", faults, keys);
  Station station;
  station.name = root.needed_text("name");
  station.pace = root.number("pace", 0.01, 100.0).value_or(station.pace);
  station.session.conditions.surface = root.text("surface").value_or("");
  for (const toml::table* device : tables_of(table, "device", 16, root))
    read_device(*device, folder, faults, station);
  for (const StationKind* kind : station_kinds())
    read_kind(*kind, table, root, folder, faults, station);
  if (const auto* limits = root.table("check_limits"))
    read_check_limits(*limits, faults, station.check_limits);
  const auto& plates = station.session.plates;
  if (plates.size() > 1 && std::all_of(plates.begin(), plates.end(), [&](const auto& plate) {
        return plate.role == plates.front().role;
      }))
    root.fault_at("plate", fmt::format("gives all {} the role of one foot", plates.size()),
                  "give those under the other foot its role");
  if (station.devices.empty() && station.events.empty())
    root.fault("names no device", "write a [[device]] for each plate");
  if (!faults.first()) check_ports(station, root);
  return station;
}

}  // namespace

const EventPort* event_port(const Station& station, std::string_view kind, std::string_view name) {
  const auto found =
      std::find_if(station.events.begin(), station.events.end(),
                   [&](const EventPort& one) { return one.kind == kind && one.name == name; });
  return found == station.events.end() ? nullptr : &*found;
}

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
