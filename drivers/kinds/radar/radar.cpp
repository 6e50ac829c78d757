// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/kinds/radar/radar.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "drivers/codec/radar_line.h"
#include "drivers/kinds/station_table.h"
#include "drivers/kinds/station_words.h"
#include "drivers/transport/port_section.h"

namespace moundwork::drivers {
namespace {

using session::Session;
using table::Faults;
using table::Section;

/// Every line is an event as it came; one that does not fit the pattern has no number for its
/// speed.
class RadarEvents : public EventCodec {
 public:
  explicit RadarEvents(const RadarLineSettings& lines)
      : codec_(RadarLinePattern::make(lines).value()) {}
  void push(std::span<const std::uint8_t> bytes, const Sink& sink) override {
    codec_.push(bytes, [&](const RadarLine& line) {
      constexpr double none = std::numeric_limits<double>::quiet_NaN();
      sink(session::event_of({SessionTime{}, line.value ? line.value->speed : none,
                              line.value ? line.value->direction : 0, kept_line(line.text)}));
    });
  }
  void reset() override { codec_.reset(); }
  void idle() override { codec_.idle(); }
  [[nodiscard]] EventCounts counts() const override {
    return {codec_.counts().readings, codec_.counts().other_lines};
  }

 private:
  RadarLineCodec codec_;
};

void read_radar(const StationTable& one) {
  Faults& faults = one.faults;
  const Section section(
      one.table, one.name, faults,
      {"port", "pattern", "unit", "toward", "away", "stands", "position", "band", "resolution",
       "delay", "delay_u", "detection_distance", "detection_distance_u", "speed_bias_u"});
  for (const char* key : {"stands", "position", "band"}) section.need(key);
  EventPort radar{
      "radar", session::radar_name, read_port(section, one.name, one.folder, faults), {}};
  RadarLineSettings lines;
  lines.pattern = section.needed_text("pattern");
  lines.unit = section.text("unit").value_or("");
  lines.toward = section.texts("toward");
  lines.away = section.texts("away");
  for (const std::string& word : lines.away)
    if (std::find(lines.toward.begin(), lines.toward.end(), word) != lines.toward.end())
      section.fault_at("away", "has '" + word + "', which 'toward' has too");
  lines.behind_pitcher =
      section.choice("stands", {"behind_pitcher", "behind_catcher"}) == std::size_t{0};
  if (!faults.first()) {
    if (const auto pattern = RadarLinePattern::make(lines); !pattern)
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
  radar.make_codec = [lines] { return std::make_unique<RadarEvents>(lines); };
  one.events.push_back(std::move(radar));
  one.session.radar = described;
}

std::string radar_text(const Session& session) {
  if (!session.radar) return {};
  const session::Radar& radar = *session.radar;
  return "\n[radar]\n" + port_words(session::radar_name) +
         "pattern = \"{direction} {speed} {unit}\"\ntoward = [\"R\"]\naway = [\"B\"]\n"
         "stands = \"behind_catcher\"\n" +
         fmt::format("position = {}\nband = \"{:.17g} Hz\"\nresolution = \"{:.17g} m/s\"\n",
                     point_words(radar.position), radar.band, radar.resolution) +
         measured_words("delay", radar.delay, "s") +
         measured_words("detection_distance", radar.detection_distance, "m") +
         fmt::format("speed_bias_u = \"{:.17g} m/s\"\n", radar.speed_bias.u);
}

}  // namespace

const StationKind& radar_station();
const StationKind& radar_station() {
  static const StationKind kind{"radar", 1, false, read_radar, radar_text, {}};
  return kind;
}

}  // namespace moundwork::drivers
