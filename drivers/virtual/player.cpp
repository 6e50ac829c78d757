// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/virtual/player.h"

#include <algorithm>

#include "core/base/write_file.h"
#include "core/session/kinds/list.h"
#include "drivers/virtual/station_text.h"

namespace moundwork::drivers {
namespace {

namespace fs = std::filesystem;
bool is_integer(session::SampleType type) {
  return type == session::SampleType::int16 || type == session::SampleType::int32;
}

}  // namespace

Result<Player> Player::open(const fs::path& session, const fs::path& folder,
                            PlayerSettings settings) {
  auto reader = session::Reader::open(session);
  if (!reader) return tl::make_unexpected(reader.error());
  std::error_code status;
  fs::create_directories(folder, status);
  if (status) return fail(folder.string(), "cannot be made (" + status.message() + ")");
  const fs::path station = folder / "station.toml";
  Player player(std::move(*reader), settings);
  const auto lock = [&]() -> Result<void> {
    auto locked = session::FileLock::acquire(station);
    if (!locked)
      return fail(folder.string(), "holds the ports of instruments that are being played",
                  "end that first, or name another folder");
    player.lock_.emplace(std::move(*locked));
    return {};
  };
  if (fs::exists(station, status))
    if (auto locked = lock(); !locked) return tl::make_unexpected(locked.error());
  const session::Session& described = player.session();
  const auto early = [&](const auto& one) { return seconds(one.arrival) < settings.from; };
  for (std::size_t i = 0; i < described.devices.size(); ++i) {
    const session::Device& device = described.devices[i];
    if (!is_integer(device.sample_type))
      return fail(session.string(), "'" + device.name + "' has decimal samples",
                  "only recordings of whole numbers can be played as binary frames");
    auto blocks = player.reader_.blocks(static_cast<int>(i));
    if (!blocks) return tl::make_unexpected(blocks.error());
    auto port = VirtualPort::open(folder / port_name(device.name));
    if (!port) return tl::make_unexpected(port.error());
    const auto first = std::find_if_not(blocks->begin(), blocks->end(), early) - blocks->begin();
    player.channels_.push_back(
        {i, std::move(*port), std::move(*blocks), static_cast<std::size_t>(first), 0});
  }
  for (const session::EventSource& source : session::event_sources(described)) {
    auto events = player.reader_.events(*source.kind, source.name);
    if (!events) return tl::make_unexpected(events.error());
    auto port = VirtualPort::open(folder / port_name(source.name));
    if (!port) return tl::make_unexpected(port.error());
    const auto first = std::find_if_not(events->begin(), events->end(), early) - events->begin();
    player.lines_.push_back(
        {std::move(*port), std::move(*events), static_cast<std::size_t>(first)});
  }
  // Last and whole: where it is, the ports are.
  if (auto written = replace_file(station, station_text(described, settings.speed)); !written)
    return tl::make_unexpected(written.error());
  if (auto locked = lock(); !locked) return tl::make_unexpected(locked.error());
  return player;
}

Result<bool> Player::play_until(std::chrono::duration<double> time) {
  const SessionTime now = session_time(settings_.from + time.count() * settings_.speed);
  bool more = false;
  for (Channel& channel : channels_) {
    for (; channel.next_block < channel.blocks.size(); ++channel.next_block) {
      const session::Block& block = channel.blocks[channel.next_block];
      if (block.arrival > now) break;
      const std::int64_t end = channel.next_block + 1 < channel.blocks.size()
                                   ? channel.blocks[channel.next_block + 1].first_sample
                                   : reader_.sample_count(static_cast<int>(channel.device));
      if (auto sent = send(channel, block, end); !sent) return tl::make_unexpected(sent.error());
    }
    channel.port.write({});  // what a late reader left
    more = more || channel.next_block < channel.blocks.size() || channel.port.waiting() > 0;
  }
  for (Lines& lines : lines_) {
    for (; lines.next < lines.events.size() && lines.events[lines.next].arrival <= now;
         ++lines.next) {
      const std::string line = lines.events[lines.next].text + "\r\n";
      lines.port.write({reinterpret_cast<const std::uint8_t*>(line.data()), line.size()});
    }
    more = more || lines.next < lines.events.size();
  }
  return more;
}

Result<void> Player::send(Channel& channel, const session::Block& block, std::int64_t end) {
  const session::Device& device = session().devices[channel.device];
  const double ticks_per_row = device.tick_rate / device.sample_rate;
  session::RawTable<std::int32_t> rows;
  if (auto read = reader_.read(static_cast<int>(channel.device), block.first_sample,
                               end - block.first_sample, rows);
      !read)
    return read;
  if (block.missing_before > 0) ++channel.sequence;
  for (Eigen::Index first = 0; first < rows.rows(); first += most_rows) {
    const auto count = std::min<Eigen::Index>(most_rows, rows.rows() - first);
    PlateFrame frame;
    frame.sequence = channel.sequence++;
    frame.ticks =
        static_cast<std::uint32_t>(static_cast<std::int64_t>(block.ticks) +
                                   std::llround(static_cast<double>(first) * ticks_per_row));
    frame.rows = static_cast<int>(count);
    frame.channels = static_cast<int>(rows.cols());
    const std::int32_t* cells = rows.data() + first * rows.cols();
    frame.samples.assign(cells, cells + count * rows.cols());
    channel.port.write(encode(frame, SampleWidth::four_bytes));
  }
  return {};
}

}  // namespace moundwork::drivers
