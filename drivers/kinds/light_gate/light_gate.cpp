// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <cmath>

#include "core/session/kinds/list.h"
#include "drivers/kinds/light_gate/gate_line.h"
#include "drivers/kinds/station_table.h"
#include "drivers/kinds/station_words.h"
#include "drivers/transport/port_section.h"

namespace moundwork::drivers {
namespace {

using session::Session;
using table::Section;

constexpr const char* key = "light_gate";

void read_gate(const StationTable& one) {
  const Section section(one.table, one.name, one.faults,
                        {"name", "port", "pattern", "position", "position_u", "height", "height_u",
                         "delay", "delay_u", "tick_rate"});
  for (const char* needed : {"position", "height"}) section.need(needed);
  EventPort port{
      key, section.needed_text("name"), read_port(section, one.name, one.folder, one.faults), {}};
  check_name(section, port.name, one.session, one.events);
  const auto pattern = GateLinePattern::make(section.needed_text("pattern"));
  if (pattern) {
    port.make_codec = [pattern = *pattern] { return std::make_unique<GateCodec>(pattern); };
    if (pattern->has_ticks() != section.has("tick_rate"))
      section.fault_at("tick_rate", pattern->has_ticks()
                                        ? "is wanted, since the pattern has {ticks}"
                                        : "is given, but the pattern has no {ticks}");
  } else if (section.has("pattern")) {
    section.fault_at("pattern", "cannot be used: " + pattern.error().what, pattern.error().advice);
  }
  session::EventInstrument gate{key, port.name, {}};
  gate.measures = {{"position", measured(section, "position", Dimension::length)},
                   {"height", measured(section, "height", Dimension::length)},
                   {"delay", measured(section, "delay", Dimension::time)}};
  if (const auto rate = section.quantity("tick_rate", Dimension::frequency))
    gate.measures["tick_rate"] = {*rate, 0.0};
  one.session.instruments.push_back(std::move(gate));
  one.events.push_back(std::move(port));
}

/// As the simulator's gates print.
std::string gates_text(const Session& session) {
  std::string text;
  for (const session::EventInstrument& one : session.instruments) {
    if (one.kind != key) continue;
    text += fmt::format("\n[[light_gate]]\nname = \"{}\"\n", one.name) + port_words(one.name);
    const auto rate = one.measures.find("tick_rate");
    if (rate == one.measures.end())
      text += "pattern = \"G {count}\"\n";
    else
      text += fmt::format("pattern = \"G {{count}} {{ticks}}\"\ntick_rate = \"{:.17g} Hz\"\n",
                          rate->second.value);
    for (const auto& [measure, unit] :
         {std::pair{"position", "m"}, std::pair{"height", "m"}, std::pair{"delay", "s"}})
      if (const auto found = one.measures.find(measure); found != one.measures.end())
        text += measured_words(measure, found->second, unit);
  }
  return text;
}

Result<CheckSheet> check_gates(const session::Reader& reader, const CheckLimits& /*limits*/) {
  constexpr double breaks = 3.0;
  const session::Kind& kind = *session::kind_of(key);
  const auto names = kind.events->names(reader.session());
  if (names.empty())
    return fail("check", "the station has no light gate", "add a [[light_gate]] to its file");
  CheckSheet sheet;
  for (const std::string& name : names) {
    const auto crossings = reader.events(kind, name);
    if (!crossings) return tl::make_unexpected(crossings.error());
    const auto seen = static_cast<double>(crossings->size());
    sheet.push_back({"gate", name + ", breaks seen", "", seen, breaks, 0.0});
    if (crossings->empty() || std::isnan(crossings->front().values[0])) continue;
    // Its own count tells what was lost on the way here.
    const double counted = crossings->back().values[0] - crossings->front().values[0] + 1.0;
    sheet.push_back({"gate", name + ", breaks lost", "", counted - seen, 0.0, 0.0});
  }
  return sheet;
}

}  // namespace

const StationKind& light_gate_station();
const StationKind& light_gate_station() {
  static const StationKind kind{
      key,
      8,
      true,
      read_gate,
      gates_text,
      KindCheck{"gate", "Light gates", "Break each beam three times, a second apart.",
                check_gates}};
  return kind;
}

}  // namespace moundwork::drivers
