// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/c3d_import.h"

#include <fmt/format.h>

#include "core/base/uuid.h"
#include "core/base/wall_time.h"
#include "core/c3d/file.h"
#include "core/c3d/force_platforms.h"
#include "core/intake/markers.h"
#include "core/intake/plate_roles.h"
#include "core/session/companion.h"
#include "core/session/start.h"
#include "core/session/writer.h"

namespace moundwork::intake {
namespace {

session::Device device_of(const c3d::File& file) {
  session::Device device;
  device.name = "recording";
  device.sample_type = std::holds_alternative<std::vector<float>>(file.analog.raw)
                           ? session::SampleType::float32
                           : session::SampleType::int16;
  device.sample_rate = file.analog.rate;
  device.tick_rate = file.analog.rate;  // it counts samples
  device.counts_session_time = true;
  for (const c3d::AnalogChannel& channel : file.analog.channels)
    device.channels.push_back({channel.label, channel.unit, channel.scale, channel.offset,
                               channel.lowest, channel.highest});
  return device;
}

session::Plate plate_of(const c3d::ForcePlatform& platform, session::PlateRole role,
                        session::Device& device) {
  session::Plate plate;
  plate.role = role;
  plate.number = platform.number;
  plate.channels = platform.channels;
  plate.description = platform.description;
  for (std::size_t c = 0; c < platform.channels.size(); ++c)
    device.channels[static_cast<std::size_t>(platform.channels[c])].offset +=
        platform.baseline(static_cast<Eigen::Index>(c));
  return plate;
}

Result<void> add_markers(const c3d::File& file, const C3dRequest& request,
                         session::Session& session) {
  if (request.heel_marker || request.toe_marker) {
    if (!request.heel_marker || !request.toe_marker)
      return fail(file.name, "only one of the foot's markers was named",
                  "name the heel's and the toe's");
    auto line =
        foot_line_from_markers(file, *request.heel_marker, *request.toe_marker, request.to_lab);
    if (!line) return tl::make_unexpected(line.error());
    session.foot_line = *line;
  }
  if (request.release_marker) {
    auto release = release_from_marker(file, *request.release_marker);
    if (!release) return tl::make_unexpected(release.error());
    session.known_releases = {*release};
  }
  return {};
}

}  // namespace

Result<ImportReport> import_c3d(const std::filesystem::path& source, const C3dRequest& request,
                                const std::filesystem::path& target) {
  const auto file = c3d::read(source);
  if (!file) return tl::make_unexpected(file.error());
  const auto plates = c3d::force_platforms(*file, request.to_lab);
  if (!plates) return tl::make_unexpected(plates.error());
  if (c3d::sample_count(file->analog) == 0)
    return fail(file->name, "holds no analog samples", "export it with its force plates");
  if (!request.facts.mass.known()) return fail("body mass", "is not given", Remedy::body_mass);
  ImportReport report;
  report.remarks = file->remarks;
  const auto roles =
      plate_roles(*file, *plates, request.facts, request.facts.mass.value, report.remarks);
  if (!roles) return tl::make_unexpected(roles.error());
  for (const auto* foot : {&roles->back, &roles->lead})
    for (const c3d::ForcePlatform* plate : *foot)
      for (const std::string& remark : plate->remarks)
        report.remarks.push_back(fmt::format("plate {}: {}", plate->number, remark));

  const auto zone = zone_of(request.facts, target);
  if (!zone) return tl::make_unexpected(zone.error());
  session::Session session;
  session.id = new_uuid();
  session::set_start(session, wall_now(), *zone);
  session.origin = "import of " + source.filename().string();
  session::Device device = device_of(*file);
  for (const c3d::ForcePlatform* plate : roles->back) {
    session.plates.push_back(plate_of(*plate, session::PlateRole::back, device));
    report.back_plates.push_back(plate->number);
  }
  for (const c3d::ForcePlatform* plate : roles->lead) {
    session.plates.push_back(plate_of(*plate, session::PlateRole::lead, device));
    report.lead_plates.push_back(plate->number);
  }
  for (const c3d::ForcePlatform* plate : roles->others)
    session.other_plates.push_back(plate_of(*plate, {}, device));
  session.devices = {device};
  if (auto added = add_markers(*file, request, session); !added)
    return tl::make_unexpected(added.error());
  if (auto applied = apply(request.facts, session); !applied)
    return tl::make_unexpected(applied.error());
  report.back_plate = roles->main_back->number;
  report.lead_plate = roles->main_lead->number;
  report.duration = static_cast<double>(c3d::sample_count(file->analog)) / file->analog.rate;
  if (auto inside = check_releases(session, report.duration); !inside)
    return tl::make_unexpected(inside.error());

  auto writer = session::Writer::create(target, session);
  if (!writer) return tl::make_unexpected(writer.error());
  const session::Block whole{0, DeviceTicks{0}, session_time(0.0), 0};
  const auto appended = std::visit(
      [&](const auto& raw) { return writer->append(0, whole, std::span(raw)); }, file->analog.raw);
  if (!appended) return tl::make_unexpected(appended.error());
  if (auto closed = writer->close(); !closed) return tl::make_unexpected(closed.error());
  if (const auto& aside = writer->set_aside())
    report.remarks.push_back(session::set_aside_words(*aside));
  return report;
}

}  // namespace moundwork::intake
