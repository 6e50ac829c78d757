// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/transport/port_section.h"

namespace moundwork::drivers {
namespace {

namespace fs = std::filesystem;
using table::Faults;
using table::Section;

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

}  // namespace

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

}  // namespace moundwork::drivers
