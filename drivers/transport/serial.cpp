// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/transport/serial.h"

#include <fmt/format.h>
#include <libserialport.h>
#include <sys/file.h>

#include <cerrno>

#include "drivers/transport/descriptor.h"

namespace moundwork::drivers {
namespace {

std::string last_message(sp_return code) {
  switch (code) {
    case SP_ERR_ARG:
      return "not a serial port";
    case SP_ERR_SUPP:
      return "not supported by this port";
    case SP_ERR_MEM:
      return "out of memory";
    default: {
      char* message = sp_last_error_message();
      std::string text = message == nullptr ? "unknown" : message;
      sp_free_error_message(message);
      return text;
    }
  }
}

SerialPortEntry entry_of(const sp_port* port) {
  const auto text = [](const char* value) { return std::string(value == nullptr ? "" : value); };
  SerialPortEntry entry{text(sp_get_port_name(port)), text(sp_get_port_description(port)), {}};
  int vendor = 0;
  int product = 0;
  if (sp_get_port_usb_vid_pid(port, &vendor, &product) == SP_OK) {
    entry.usb = {vendor, product, text(sp_get_port_usb_serial(port))};
  }
  return entry;
}

bool is_wanted(const UsbIdentity& found, const UsbIdentity& wanted) {
  return found.vendor.has_value() && (!wanted.vendor || wanted.vendor == found.vendor) &&
         (!wanted.product || wanted.product == found.product) &&
         (wanted.serial.empty() || wanted.serial == found.serial);
}

std::string text_of(const UsbIdentity& usb) {
  std::string text = "USB";
  if (usb.vendor) text += fmt::format(" {:04x}", *usb.vendor);
  if (usb.product) text += fmt::format(":{:04x}", *usb.product);
  if (!usb.serial.empty()) text += " serial " + usb.serial;
  return text;
}

Result<std::string> find_name(const SerialSettings& settings) {
  if (!settings.name.empty()) return settings.name;
  const auto ports = list_serial_ports();
  if (!ports) return tl::make_unexpected(ports.error());
  std::string name;
  for (const SerialPortEntry& port : *ports) {
    if (!is_wanted(port.usb, settings.usb)) continue;
    if (!name.empty()) {
      return fail(text_of(settings.usb),
                  "both " + name + " and " + port.name + " answer to this identity",
                  "add the adapter's USB serial number to the station file");
    }
    name = port.name;
  }
  if (name.empty())
    return fail(text_of(settings.usb), "no port with this identity", "plug the device in");
  return name;
}

sp_return configure(sp_port* port, const SerialSettings& settings) {
  const sp_parity parity = settings.parity == Parity::odd    ? SP_PARITY_ODD
                           : settings.parity == Parity::even ? SP_PARITY_EVEN
                                                             : SP_PARITY_NONE;
  const sp_flowcontrol flow = settings.flow_control == FlowControl::rts_cts ? SP_FLOWCONTROL_RTSCTS
                              : settings.flow_control == FlowControl::xon_xoff
                                  ? SP_FLOWCONTROL_XONXOFF
                                  : SP_FLOWCONTROL_NONE;
  if (const auto code = sp_set_baudrate(port, settings.baud_rate); code != SP_OK) return code;
  if (const auto code = sp_set_bits(port, settings.data_bits); code != SP_OK) return code;
  if (const auto code = sp_set_parity(port, parity); code != SP_OK) return code;
  if (const auto code = sp_set_stopbits(port, settings.stop_bits); code != SP_OK) return code;
  return sp_set_flowcontrol(port, flow);
}

}  // namespace

void SerialTransport::ClosePort::operator()(sp_port* port) const noexcept {
  // Closing an unplugged port fails; there is nothing left to do about it.
  (void)sp_close(port);
  sp_free_port(port);
}

Result<std::vector<SerialPortEntry>> list_serial_ports() {
  sp_port** ports = nullptr;
  if (const auto code = sp_list_ports(&ports); code != SP_OK)
    return fail("serial ports", "cannot be listed (" + last_message(code) + ")");
  std::vector<SerialPortEntry> entries;
  for (sp_port** port = ports; *port != nullptr; ++port) entries.push_back(entry_of(*port));
  sp_free_port_list(ports);
  return entries;
}

std::string SerialTransport::describe() const {
  return settings_.name.empty() ? text_of(settings_.usb) : settings_.name;
}

Result<void> SerialTransport::open() {
  const auto name = find_name(settings_);
  if (!name) return tl::make_unexpected(name.error());
  const std::string advice = "check the name in the station file and that the device is plugged in";
  sp_port* found = nullptr;
  if (const auto code = sp_get_port_by_name(name->c_str(), &found); code != SP_OK)
    return fail(*name, "cannot be found (" + last_message(code) + ")", advice);
  if (const auto code = sp_open(found, SP_MODE_READ); code != SP_OK) {
    const std::string why = last_message(code);
    sp_free_port(found);
    return fail(*name, "cannot be opened (" + why + ")", advice);
  }
  std::unique_ptr<sp_port, ClosePort> port(found);
  int descriptor = -1;
  if (const auto code = sp_get_port_handle(found, &descriptor); code != SP_OK)
    return fail(*name, "has no handle (" + last_message(code) + ")");
  // Each byte goes to one reader, and two would have half of the samples each.
  if (::flock(descriptor, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK)
    return fail(*name, "is being read by another program", "end that one first");
  if (const auto code = configure(found, settings_); code != SP_OK)
    return fail(*name, "does not take the settings (" + last_message(code) + ")",
                "check baud, bits, parity, stop bits and flow control in the station file");
  (void)sp_flush(found, SP_BUF_INPUT);
  descriptor_ = descriptor;
  port_ = std::move(port);
  return {};
}

Result<std::size_t> SerialTransport::read(std::span<std::uint8_t> into,
                                          std::chrono::milliseconds patience) {
  // The library's blocking reads take the end of file of a hung-up port for "nothing yet", so the
  // waiting is done here.
  const auto readable = wait_readable(descriptor_, patience, describe());
  if (!readable) return tl::make_unexpected(readable.error());
  if (!*readable) return 0;
  // A count of bytes too, which no value of the library's enum is.
  const int count = sp_nonblocking_read(port_.get(), into.data(), into.size());
  if (count > 0) return static_cast<std::size_t>(count);
  const std::string why =
      count == 0 ? "" : " (" + last_message(static_cast<sp_return>(count)) + ")";
  return fail(describe(), "the device is gone" + why, "plug it in again, the recording goes on");
}

}  // namespace moundwork::drivers
