// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/support/played_station.h"

#include <sys/wait.h>
#include <unistd.h>

#include <cmath>
#include <csignal>
#include <stdexcept>
#include <thread>

#include "app/support/run_command.h"
#include "core/session/writer.h"

namespace moundwork::test {
namespace {

using namespace std::chrono_literals;

constexpr double late = 0.003;  // s from a block's last sample to its arrival
constexpr double block = 0.02;  // s

session::Session station() {
  session::Session session;
  session.id = "script";
  session.athlete.id = "script";
  session.athlete.mass = {1.0, 0.0};
  for (const char* name : {"back plate", "lead plate"}) {
    session::Device device;
    device.name = name;
    device.sample_rate = 1000.0;
    device.tick_rate = 1e6;
    device.delay = {late, 0.0002};
    for (const char* channel : {"Fx", "Fy", "Fz"}) device.channels.push_back({channel, "N", 0.01});
    for (const char* channel : {"Mx", "My", "Mz"})
      device.channels.push_back({channel, "N m", 0.001});
    session.devices.push_back(device);
    session::Plate plate;
    plate.role = session.plates.empty() ? session::PlateRole::back : session::PlateRole::lead;
    plate.device = static_cast<int>(session.plates.size());
    plate.channels = {0, 1, 2, 3, 4, 5};
    const double x = session.plates.empty() ? 0.0 : 1.2;
    plate.description.corners = {Eigen::Vector3d(x + 0.6, -0.3, 0.0), Eigen::Vector3d(x, -0.3, 0.0),
                                 Eigen::Vector3d(x, 0.3, 0.0), Eigen::Vector3d(x + 0.6, 0.3, 0.0)};
    plate.accuracy = {0.002, 0.003, 0.5, 0.0015};
    session.plates.push_back(plate);
  }
  session::Device microphone;
  microphone.name = "microphone";
  microphone.sample_rate = microphone.tick_rate = 8000.0;
  microphone.delay = {late, 0.0002};
  microphone.channels = {{"sound", "V", 1e-3}};
  session.devices.push_back(microphone);
  session.microphone = session::CatchMicrophone{2, 0, {16.9, 0.1}, {2.5, 0.03}};
  session::Radar radar;
  radar.position = {20.5, 0.4, 1.2};
  radar.resolution = 0.1 * 0.44704;
  session.radar = radar;
  return session;
}

/// Raw row of a plate whose axes are x down the field, y to the right, z down: the athlete's push
/// of `force` down at (px, py) of the plate has moment (py F, -px F, 0).
void add_row(std::vector<std::int32_t>& cells, const Standing& standing, double middle,
             std::int64_t row) {
  const double px = standing.place.x() - middle;
  const double py = -standing.place.y();
  const auto count = [](double value, double scale) {
    return static_cast<std::int32_t>(std::lround(value / scale));
  };
  // Hardly any noise, but never the same number twice over.
  const std::int32_t noise = static_cast<std::int32_t>((row * 7919) % 13) - 6;
  cells.insert(cells.end(),
               {noise, -noise, count(standing.force, 0.01) + noise,
                count(py * standing.force, 0.001), count(-px * standing.force, 0.001), 0});
}

void must(const Result<void>& done) {
  if (!done) throw std::runtime_error(done.error().sentence());
}

}  // namespace

void write_script(const std::filesystem::path& path, const StationScript& script) {
  const session::Session session = station();
  auto writer = session::Writer::create(path, session);
  if (!writer) throw std::runtime_error(writer.error().sentence());
  for (double begin = 0.0; begin < script.length; begin += block) {
    for (int d = 0; d < 3; ++d) {
      const session::Device& device = session.devices[static_cast<std::size_t>(d)];
      const auto rows = static_cast<std::int64_t>(std::lround(block * device.sample_rate));
      const auto first = static_cast<std::int64_t>(std::lround(begin * device.sample_rate));
      std::vector<std::int32_t> cells;
      for (std::int64_t row = first; row < first + rows; ++row) {
        const double time = static_cast<double>(row) / device.sample_rate;
        if (d < 2)
          add_row(cells,
                  script.load ? script.load(session.plates[static_cast<std::size_t>(d)].role, time)
                              : Standing{},
                  d == 0 ? 0.3 : 1.5, row);
        else
          cells.push_back(static_cast<std::int32_t>(
                              std::lround(script.sound ? 1000.0 * script.sound(time) : 0.0)) +
                          static_cast<std::int32_t>((row * 7919) % 5) - 2);
      }
      const double ticks = static_cast<double>(first) * device.tick_rate / device.sample_rate;
      const double last = static_cast<double>(first + rows - 1) / device.sample_rate;
      must(writer->append(d,
                          {first, DeviceTicks{std::llround(ticks)}, session_time(last + late), 0},
                          std::span<const std::int32_t>(cells)));
    }
  }
  for (const auto& reading : script.readings) must(writer->append(reading));
  must(writer->close());
}

pid_t run_apart(const std::vector<std::string>& arguments) {
  const pid_t child = fork();
  if (child < 0) throw std::runtime_error("no process to be had");
  if (child > 0) return child;
  const CommandRun run = run_command(arguments);
  _exit(run.code);
}

Playing::Playing(const std::filesystem::path& session, double from) { play(session, from); }

Playing::Playing(const StationScript& script) {
  write_script(folder_ / "script.h5", script);
  play(folder_ / "script.h5", 0.0);
}

void Playing::play(const std::filesystem::path& session, double from) {
  player_ = run_apart({"simulate", "--devices", path("ports"), "--play", session.string(), "--from",
                       std::to_string(from)});
  for (int i = 0; i < 1000 && !std::filesystem::exists(station()); ++i)
    std::this_thread::sleep_for(10ms);
  std::this_thread::sleep_for(50ms);  // until it is whole
}

Playing::~Playing() {
  kill(player_, SIGTERM);
  waitpid(player_, nullptr, 0);
}

}  // namespace moundwork::test
