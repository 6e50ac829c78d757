// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/station_text.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <charconv>
#include <sstream>

namespace moundwork::desk {
namespace {

using drivers::PortSettings;

/// Byte of a place in the text; the parser counts lines and characters from 1.
std::size_t byte_at(const std::string& text, const toml::source_position& place) {
  std::size_t at = 0;
  for (toml::source_index line = 1; line < place.line; ++line) {
    at = text.find('\n', at);
    if (at == std::string::npos) return text.size();
    ++at;
  }
  for (toml::source_index column = 1; column < place.column && at < text.size(); ++column) {
    ++at;
    // The bytes that continue a character of UTF-8.
    while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U) ++at;
  }
  return at;
}

const toml::table* table_of(const toml::table& root, const StationKey& key) {
  if (key.table.empty()) return &root;
  const toml::node* node = root.get(key.table);
  if (node == nullptr) return nullptr;
  if (key.number < 0) return node->as_table();
  const toml::array* array = node->as_array();
  if (array == nullptr || static_cast<std::size_t>(key.number) >= array->size()) return nullptr;
  return array->get(static_cast<std::size_t>(key.number))->as_table();
}

std::string heading_of(const StationKey& key) {
  if (key.table.empty()) return "the top";
  return key.number < 0 ? fmt::format("[{}]", key.table)
                        : fmt::format("[[{}]] {}", key.table, key.number + 1);
}

std::string number_text(double value, int digits) {
  std::string text = fmt::format("{:.{}f}", value, digits);
  while (text.ends_with('0') && !text.ends_with(".0")) text.pop_back();
  return text == "-0.0" ? "0.0" : text;
}

struct LineOf {
  std::string operator()(const drivers::SerialSettings& serial) const {
    if (!serial.name.empty()) return serial.name;
    std::string line = fmt::format("USB {:04x}:{:04x}", serial.usb.vendor.value_or(0),
                                   serial.usb.product.value_or(0));
    return serial.usb.serial.empty() ? line : line + ' ' + serial.usb.serial;
  }
  std::string operator()(const drivers::StreamPort& port) const { return "stream " + port.path; }
  std::string operator()(const drivers::TcpPort& port) const {
    return fmt::format("{}:{}", port.host, port.port);
  }
  std::string operator()(const drivers::ReplayPort& port) const {
    return "replay " + port.path.string();
  }
};

struct TomlOf {
  std::string operator()(const drivers::SerialSettings& serial) const {
    std::string text = "{kind = \"serial\"";
    if (!serial.name.empty()) text += ", name = " + toml_text(serial.name);
    if (serial.usb.vendor) text += fmt::format(", usb_vendor = 0x{:04x}", *serial.usb.vendor);
    if (serial.usb.product) text += fmt::format(", usb_product = 0x{:04x}", *serial.usb.product);
    if (!serial.usb.serial.empty()) text += ", usb_serial = " + toml_text(serial.usb.serial);
    const drivers::SerialSettings usual;
    text += fmt::format(", baud = {}", serial.baud_rate);
    if (serial.data_bits != usual.data_bits)
      text += fmt::format(", data_bits = {}", serial.data_bits);
    constexpr std::array parities{"none", "odd", "even"};
    if (serial.parity != usual.parity)
      text += fmt::format(", parity = \"{}\"", parities[static_cast<std::size_t>(serial.parity)]);
    if (serial.stop_bits != usual.stop_bits)
      text += fmt::format(", stop_bits = {}", serial.stop_bits);
    constexpr std::array flows{"none", "rts_cts", "xon_xoff"};
    if (serial.flow_control != usual.flow_control)
      text += fmt::format(", flow = \"{}\"", flows[static_cast<std::size_t>(serial.flow_control)]);
    return text + '}';
  }
  std::string operator()(const drivers::StreamPort& port) const {
    return fmt::format("{{kind = \"stream\", path = {}}}", toml_text(port.path));
  }
  std::string operator()(const drivers::TcpPort& port) const {
    return fmt::format("{{kind = \"tcp\", host = {}, port = {}}}", toml_text(port.host), port.port);
  }
  std::string operator()(const drivers::ReplayPort& port) const {
    return fmt::format("{{kind = \"replay\", path = {}, bytes_per_second = {:.17g}}}",
                       toml_text(port.path.string()), port.bytes_per_second);
  }
};

/// "0403:6001 NM-B" after "USB ".
Result<PortSettings> usb_port(std::string_view line, const PortSettings& before) {
  const auto wrong = [&] {
    return fail("port", fmt::format("'USB {}' names no USB adapter", line),
                "write it as USB 0403:6001, with the adapter's serial number after a blank");
  };
  int vendor = 0, product = 0;
  const char* const end = line.data() + line.size();
  const auto first = std::from_chars(line.data(), end, vendor, 16);
  if (first.ec != std::errc{} || first.ptr == end || *first.ptr != ':') return wrong();
  const auto second = std::from_chars(first.ptr + 1, end, product, 16);
  if (second.ec != std::errc{} || (second.ptr != end && *second.ptr != ' ')) return wrong();
  const auto* serial = std::get_if<drivers::SerialSettings>(&before);
  drivers::SerialSettings port = serial == nullptr ? drivers::SerialSettings{} : *serial;
  port.name.clear();
  port.usb = {vendor, product, second.ptr == end ? "" : std::string(second.ptr + 1, end)};
  return port;
}

}  // namespace

Result<std::string> with_value(const std::string& text, const StationKey& key,
                               std::string_view value) {
  try {
    const toml::table root = toml::parse(text);
    const toml::table* table = table_of(root, key);
    if (table == nullptr)
      return fail(key.key, "has no place to stand: the file has no " + heading_of(key),
                  "write it in the file's text first");
    std::string changed = text;
    if (const toml::node* node = table->get(key.key)) {
      const std::size_t begin = byte_at(text, node->source().begin);
      const std::size_t end = byte_at(text, node->source().end);
      return changed.replace(begin, end - begin, value);
    }
    std::string line = fmt::format("{} = {}\n", key.key, value);
    std::size_t at = 0;
    if (!key.table.empty()) {
      at = text.find('\n', byte_at(text, table->source().begin));
      if (at == std::string::npos) {
        at = text.size();
        line.insert(0, "\n");
      } else {
        ++at;
      }
    }
    return changed.insert(at, line);
  } catch (const toml::parse_error& error) {
    return fail(fmt::format("line {}", error.source().begin.line), std::string(error.description()),
                "mend the file's text first");
  }
}

std::string toml_text(std::string_view text) {
  std::ostringstream out;
  out << toml::value<std::string>(std::string(text));
  return out.str();
}

std::string toml_point(const Eigen::Vector3d& point) {
  return fmt::format("[{}, {}, {}]", number_text(point.x(), 4), number_text(point.y(), 4),
                     number_text(point.z(), 4));
}

std::string toml_corners(const std::array<Eigen::Vector3d, 4>& corners) {
  return fmt::format("[{}, {}, {}, {}]", toml_point(corners[0]), toml_point(corners[1]),
                     toml_point(corners[2]), toml_point(corners[3]));
}

std::string toml_quantity(double value, double factor, std::string_view unit) {
  // Ten digits hide the rounding of the unit's factor.
  return fmt::format("\"{:.10g} {}\"", value / factor, unit);
}

std::string toml_port(const PortSettings& port) { return std::visit(TomlOf{}, port); }

std::string port_line(const PortSettings& port) { return std::visit(LineOf{}, port); }

Result<PortSettings> port_of_line(std::string_view line, const PortSettings& before) {
  while (line.starts_with(' ')) line.remove_prefix(1);
  while (line.ends_with(' ')) line.remove_suffix(1);
  if (line.empty()) return fail("port", "is empty", "choose a port, or type its name");
  if (line.starts_with("USB ")) return usb_port(line.substr(4), before);
  if (line.starts_with("stream ")) return drivers::StreamPort{std::string(line.substr(7))};
  if (line.starts_with("replay ")) {
    const auto* replay = std::get_if<drivers::ReplayPort>(&before);
    return drivers::ReplayPort{std::string(line.substr(7)),
                               replay == nullptr ? 0.0 : replay->bytes_per_second};
  }
  const std::size_t colon = line.rfind(':');
  if (colon != std::string_view::npos && colon > 0 && colon + 1 < line.size() &&
      line.find_first_not_of("0123456789", colon + 1) == std::string_view::npos)
    return drivers::TcpPort{std::string(line.substr(0, colon)),
                            std::string(line.substr(colon + 1))};
  const auto* serial = std::get_if<drivers::SerialSettings>(&before);
  drivers::SerialSettings port = serial == nullptr ? drivers::SerialSettings{} : *serial;
  port.name = std::string(line);
  port.usb = {};
  return port;
}

}  // namespace moundwork::desk
