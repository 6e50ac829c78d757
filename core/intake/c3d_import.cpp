// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/c3d_import.h"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/units.h"
#include "core/base/uuid.h"
#include "core/base/wall_time.h"
#include "core/c3d/file.h"
#include "core/c3d/force_platforms.h"
#include "core/intake/markers.h"
#include "core/plate/wrench.h"
#include "core/session/companion.h"
#include "core/session/start.h"
#include "core/session/writer.h"

namespace moundwork::intake {
namespace {

using PlateResult = Result<c3d::ForcePlatform>;

Result<const c3d::ForcePlatform*> plate_numbered(const std::vector<PlateResult>& plates, int number,
                                                 const std::string& file, const char* option) {
  if (number < 1 || number > static_cast<int>(plates.size()))
    return fail(file, fmt::format("has no plate {}, it has {}", number, plates.size()),
                fmt::format("give {} a number from 1 to {}", option, plates.size()));
  const PlateResult& plate = plates[static_cast<std::size_t>(number - 1)];
  if (!plate) return tl::make_unexpected(plate.error());
  return &*plate;
}

// First sample at which a plate carries a fifth of the body's weight; none if it never does.
std::optional<Eigen::Index> first_loaded(const c3d::File& file, const c3d::ForcePlatform& platform,
                                         double mass) {
  const auto map = plate::WrenchMap::make(platform.description);
  if (!map) return std::nullopt;
  constexpr double least_share = 0.2;
  const double threshold = least_share * mass * standard_gravity;
  Eigen::MatrixXd channels = c3d::scaled(file.analog, platform.channels);
  for (std::size_t c = 0; c < platform.channels.size(); ++c)
    channels.col(static_cast<Eigen::Index>(c)).array() -=
        platform.baseline(static_cast<Eigen::Index>(c)) *
        file.analog.channels[static_cast<std::size_t>(platform.channels[c])].scale;
  const Eigen::ArrayXd vertical = (*map)(channels).col(2);
  for (Eigen::Index i = 0; i < vertical.size(); ++i)
    if (vertical(i) >= threshold) return i;
  return std::nullopt;
}

struct Roles {
  const c3d::ForcePlatform* back = nullptr;
  const c3d::ForcePlatform* lead = nullptr;
};

// Given plates, or the first loaded as back and the next as lead.
Result<Roles> choose_plates(const c3d::File& file, const std::vector<PlateResult>& plates,
                            const Facts& facts, double mass, ImportReport& report) {
  Roles roles;
  if (facts.back_plate) {
    const auto plate = plate_numbered(plates, *facts.back_plate, file.name, "back plate");
    if (!plate) return tl::make_unexpected(plate.error());
    roles.back = *plate;
  }
  if (facts.lead_plate) {
    const auto plate = plate_numbered(plates, *facts.lead_plate, file.name, "lead plate");
    if (!plate) return tl::make_unexpected(plate.error());
    roles.lead = *plate;
  }
  if (roles.back && roles.back == roles.lead)
    return fail(file.name, "the same plate was named as back and as lead plate",
                "give the two different numbers");
  std::vector<std::pair<Eigen::Index, const c3d::ForcePlatform*>> loaded;
  if (!roles.back || !roles.lead)
    for (const PlateResult& plate : plates) {
      if (!plate) {
        report.remarks.push_back(plate.error().sentence());
        continue;
      }
      if (&*plate == roles.back || &*plate == roles.lead) continue;
      if (const auto first = first_loaded(file, *plate, mass)) loaded.emplace_back(*first, &*plate);
    }
  std::sort(loaded.begin(), loaded.end());
  auto next = loaded.begin();
  for (const auto& [role, name] :
       {std::pair{&roles.back, "back"}, std::pair{&roles.lead, "lead"}}) {
    if (*role) continue;
    if (next == loaded.end())
      return fail(file.name, fmt::format("no plate is loaded that could be the {} plate", name),
                  role == &roles.back ? Remedy::back_plate : Remedy::lead_plate);
    *role = next++->second;
    report.remarks.push_back(fmt::format(
        "plate {} was taken as the {} plate, by who is loaded first", (*role)->number, name));
  }
  return roles;
}

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
  const auto roles = choose_plates(*file, *plates, request.facts, request.facts.mass.value, report);
  if (!roles) return tl::make_unexpected(roles.error());
  for (const auto* plate : {roles->back, roles->lead})
    for (const std::string& remark : plate->remarks)
      report.remarks.push_back(fmt::format("plate {}: {}", plate->number, remark));

  const auto zone = zone_of(request.facts, target);
  if (!zone) return tl::make_unexpected(zone.error());
  session::Session session;
  session.id = new_uuid();
  session::set_start(session, wall_now(), *zone);
  session.origin = "import of " + source.filename().string();
  session::Device device = device_of(*file);
  session.plates = {plate_of(*roles->back, session::PlateRole::back, device),
                    plate_of(*roles->lead, session::PlateRole::lead, device)};
  session.devices = {device};
  if (auto added = add_markers(*file, request, session); !added)
    return tl::make_unexpected(added.error());
  if (auto applied = apply(request.facts, session); !applied)
    return tl::make_unexpected(applied.error());
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
  report.back_plate = roles->back->number;
  report.lead_plate = roles->lead->number;
  return report;
}

}  // namespace moundwork::intake
