// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/c3d/write.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <stdexcept>
#include <string_view>

#include "core/base/write_file.h"
#include "core/c3d/layout.h"

namespace moundwork::c3d {
namespace {

// A dimension, and the length of a description, is one byte.
constexpr std::size_t most_in_a_dimension = 255;
constexpr Eigen::Index most_frames = 65535;

class Output {
 public:
  void u8(unsigned value) { bytes_.push_back(static_cast<std::byte>(value & 0xffU)); }
  void u16(unsigned value) {
    u8(value);
    u8(value >> 8);
  }
  void f32(float value) {
    const auto bits = std::bit_cast<std::uint32_t>(value);
    u16(bits & 0xffffU);
    u16(bits >> 16);
  }
  void text(std::string_view characters) {
    for (const char c : characters) u8(static_cast<unsigned char>(c));
  }
  void fill_block() {
    while (bytes_.size() % block_size != 0) u8(0);
  }
  void put_u16(std::size_t at, unsigned value) {
    bytes_[at] = static_cast<std::byte>(value & 0xffU);
    bytes_[at + 1] = static_cast<std::byte>(value >> 8 & 0xffU);
  }
  void put_u8(std::size_t at, unsigned value) { bytes_[at] = static_cast<std::byte>(value); }
  [[nodiscard]] std::size_t size() const { return bytes_.size(); }
  [[nodiscard]] std::vector<std::byte> take() { return std::move(bytes_); }

 private:
  std::vector<std::byte> bytes_;
};

// At most 255 bytes, never ending inside a UTF-8 sequence.
std::string_view cut(std::string_view text) {
  if (text.size() <= most_in_a_dimension) return text;
  std::size_t length = most_in_a_dimension;
  while (length > 0 && (static_cast<unsigned char>(text[length]) & 0xc0U) == 0x80U) --length;
  return text.substr(0, length);
}

/// Writes groups and entries of the parameter section in order; each group before its entries.
class ParameterSection {
 public:
  explicit ParameterSection(Output& out) : out_(out), begin_(out.size()) {
    constexpr unsigned intel = 84;
    out_.u8(1);
    out_.u8(0x50);
    out_.u8(0);  // blocks, known at the end
    out_.u8(intel);
  }

  void group(std::string_view name, std::string_view description) {
    ++group_;
    const std::size_t link = open(name, -group_);
    close(link, description);
  }
  void integers(std::string_view name, const std::vector<int>& dimensions,
                const std::vector<int>& values) {
    const std::size_t link = open(name, group_);
    constexpr unsigned type = 2;
    head(type, dimensions);
    for (const int value : values) out_.u16(static_cast<unsigned>(value));
    close(link, {});
  }
  void reals(std::string_view name, const std::vector<int>& dimensions,
             const std::vector<float>& values) {
    const std::size_t link = open(name, group_);
    constexpr unsigned type = 4;
    head(type, dimensions);
    for (const float value : values) out_.f32(value);
    close(link, {});
  }
  void integer(std::string_view name, int value) { integers(name, {}, {value}); }
  void real(std::string_view name, double value) { reals(name, {}, {static_cast<float>(value)}); }
  void texts(std::string_view name, const std::vector<std::string>& values) {
    std::size_t width = 1;  // a text of no width stops some readers
    for (const std::string& value : values) width = std::max(width, cut(value).size());
    write_texts(name, {static_cast<int>(width), static_cast<int>(values.size())}, width, values);
  }
  void text(std::string_view name, const std::string& value) {
    const std::size_t width = std::max<std::size_t>(1, cut(value).size());
    write_texts(name, {static_cast<int>(width)}, width, {value});
  }

  void end() {
    out_.u8(0);  // an entry with a name of no letters ends the section
    out_.fill_block();
    const std::size_t blocks = (out_.size() - begin_) / block_size;
    // Longer ones are told by where the data begin, as the standard lets readers do.
    out_.put_u8(begin_ + 2, static_cast<unsigned>(std::min<std::size_t>(blocks, 255)));
  }

 private:
  std::size_t open(std::string_view name, int id) {
    out_.u8(static_cast<unsigned>(name.size()));
    out_.u8(static_cast<unsigned>(id));
    out_.text(name);
    const std::size_t link = out_.size();
    out_.u16(0);
    return link;
  }
  void write_texts(std::string_view name, const std::vector<int>& dimensions, std::size_t width,
                   const std::vector<std::string>& values) {
    const std::size_t link = open(name, group_);
    constexpr unsigned type = 0xff;  // -1
    head(type, dimensions);
    for (const std::string& value : values) {
      const std::string_view shown = cut(value);
      out_.text(shown);
      out_.text(std::string(width - shown.size(), ' '));
    }
    close(link, {});
  }
  void head(unsigned type, const std::vector<int>& dimensions) {
    out_.u8(type);
    out_.u8(static_cast<unsigned>(dimensions.size()));
    for (const int size : dimensions) out_.u8(static_cast<unsigned>(size));
  }
  void close(std::size_t link, std::string_view description) {
    out_.u8(static_cast<unsigned>(description.size()));
    out_.text(description);
    out_.put_u16(link, static_cast<unsigned>(out_.size() - link));
  }

  Output& out_;
  std::size_t begin_;
  int group_ = 0;
};

template <class Item, class Get>
auto list_of(const std::vector<Item>& items, Get get) {
  std::vector<std::decay_t<std::invoke_result_t<Get, const Item&>>> list;
  list.reserve(items.size());
  for (const Item& item : items) list.push_back(get(item));
  return list;
}

void check_fit(const Recording& r) {
  const bool rates = r.frame_rate > 0.0 && std::isfinite(r.frame_rate) && r.samples_per_frame >= 1;
  const bool points = std::all_of(r.points.begin(), r.points.end(), [&](const RecordingPoint& p) {
    return p.xyz.rows() == r.frames;
  });
  const bool channels =
      std::all_of(r.channels.begin(), r.channels.end(), [&](const RecordingChannel& c) {
        return c.values.size() == r.frames * r.samples_per_frame && c.values.allFinite();
      });
  const bool plates =
      std::all_of(r.platforms.begin(), r.platforms.end(), [&](const RecordingPlatform& p) {
        return std::all_of(p.channels.begin(), p.channels.end(), [&](int c) {
          return c >= 0 && c < static_cast<int>(r.channels.size());
        });
      });
  if (!rates || r.frames < 1 || !points || !channels || !plates)
    throw std::logic_error("parts of a C3D recording do not fit each other");
}

Result<void> check_room(const Recording& r) {
  const std::pair<std::string_view, std::size_t> counts[] = {{"points", r.points.size()},
                                                             {"channels", r.channels.size()},
                                                             {"plates", r.platforms.size()},
                                                             {"events", r.events.size()}};
  for (const auto& [what, count] : counts)
    if (count > most_in_a_dimension)
      return fail("C3D",
                  fmt::format("cannot hold {} {}, only {}", count, what, most_in_a_dimension));
  if (r.frames > most_frames)
    return fail("C3D", fmt::format("cannot hold {} frames, only {}", r.frames, most_frames));
  return {};
}

void write_header(Output& out, const Recording& r) {
  out.u8(2);  // block at which the parameters begin
  out.u8(0x50);
  out.u16(static_cast<unsigned>(r.points.size()));
  out.u16(static_cast<unsigned>(r.channels.size()) * static_cast<unsigned>(r.samples_per_frame));
  out.u16(1);
  out.u16(static_cast<unsigned>(r.frames));
  out.u16(0);      // no gap was interpolated
  out.f32(-1.0F);  // negative: real numbers
  out.u16(0);      // block at which the data begin, known later
  out.u16(static_cast<unsigned>(r.samples_per_frame));
  out.f32(static_cast<float>(r.frame_rate));
  out.fill_block();
}

void write_platforms(ParameterSection& section, const Recording& r) {
  const int count = static_cast<int>(r.platforms.size());
  std::vector<float> corners, origins;
  std::vector<int> channels;
  for (const RecordingPlatform& plate : r.platforms) {
    for (const Eigen::Vector3f& corner : plate.corners)
      corners.insert(corners.end(), corner.begin(), corner.end());
    origins.insert(origins.end(), plate.origin.begin(), plate.origin.end());
    for (const int channel : plate.channels) channels.push_back(channel + 1);
  }
  section.group("FORCE_PLATFORM", "Force plates");
  section.integer("USED", count);
  section.integers("TYPE", {count}, std::vector<int>(r.platforms.size(), 2));
  section.integers("ZERO", {2}, {0, 0});  // the samples are tared
  section.reals("CORNERS", {3, 4, count}, corners);
  section.reals("ORIGIN", {3, count}, origins);
  section.integers("CHANNEL", {6, count}, channels);
}

void write_events(ParameterSection& section, const Recording& r) {
  const int count = static_cast<int>(r.events.size());
  std::vector<float> times;  // minutes and seconds
  for (const RecordingEvent& event : r.events) {
    const double minutes = std::floor(event.time / 60.0);
    times.push_back(static_cast<float>(minutes));
    times.push_back(static_cast<float>(event.time - 60.0 * minutes));
  }
  section.group("EVENT", "Events of the throw");
  section.integer("USED", count);
  if (count == 0) return;
  section.texts("CONTEXTS", list_of(r.events, [](const auto& e) { return e.context; }));
  section.texts("LABELS", list_of(r.events, [](const auto& e) { return e.label; }));
  section.texts("DESCRIPTIONS", list_of(r.events, [](const auto& e) { return e.description; }));
  section.texts("SUBJECTS", std::vector<std::string>(r.events.size(), r.subject));
  section.reals("TIMES", {2, count}, times);
  section.integers("ICON_IDS", {count}, std::vector<int>(r.events.size(), 0));
}

// `data_block`: 1-based block at which the data begin; the section's length does not depend on it.
void write_parameters(Output& out, const Recording& r, std::size_t data_block) {
  ParameterSection section(out);
  const int points = static_cast<int>(r.points.size());
  const int channels = static_cast<int>(r.channels.size());
  section.group("POINT", "Markers");
  section.integer("USED", points);
  section.real("SCALE", -1.0);
  section.real("RATE", r.frame_rate);
  section.integer("DATA_START", static_cast<int>(data_block));
  section.integer("FRAMES", static_cast<int>(r.frames));
  section.text("UNITS", "mm");
  if (points > 0) {
    section.texts("LABELS", list_of(r.points, [](const auto& p) { return p.label; }));
    section.texts("DESCRIPTIONS", list_of(r.points, [](const auto& p) { return p.description; }));
  }
  section.group("ANALOG", "Channels of the force plates");
  section.integer("USED", channels);
  section.real("GEN_SCALE", 1.0);
  section.real("RATE", r.frame_rate * r.samples_per_frame);
  if (channels > 0) {
    section.reals("SCALE", {channels}, std::vector<float>(r.channels.size(), 1.0F));
    section.integers("OFFSET", {channels}, std::vector<int>(r.channels.size(), 0));
    section.texts("LABELS", list_of(r.channels, [](const auto& c) { return c.label; }));
    section.texts("UNITS", list_of(r.channels, [](const auto& c) { return c.unit; }));
    section.texts("DESCRIPTIONS", list_of(r.channels, [](const auto& c) { return c.description; }));
  }
  if (!r.platforms.empty()) write_platforms(section, r);
  write_events(section, r);
  section.group("SUBJECTS", "Who was recorded");
  section.integer("USED", 1);
  section.text("NAMES", r.subject);
  section.group("MANUFACTURER", "What wrote the file");
  section.text("SOFTWARE", r.software);
  section.text("VERSION_LABEL", r.version);
  if (!r.notes.empty()) {
    section.group("MOUNDWORK", "What the other groups have no place for");
    for (const auto& [name, value] : r.notes) section.text(name, value);
  }
  section.end();
}

void write_frames(Output& out, const Recording& r) {
  for (Eigen::Index frame = 0; frame < r.frames; ++frame) {
    for (const RecordingPoint& point : r.points) {
      const bool seen = point.xyz.row(frame).isFinite().all();
      for (Eigen::Index axis = 0; axis < 3; ++axis) out.f32(seen ? point.xyz(frame, axis) : 0.0F);
      out.f32(seen ? 0.0F : -1.0F);  // residual; negative: not seen
    }
    for (Eigen::Index i = 0; i < r.samples_per_frame; ++i)
      for (const RecordingChannel& channel : r.channels)
        out.f32(channel.values(frame * r.samples_per_frame + i));
  }
  out.fill_block();
}

}  // namespace

Result<std::vector<std::byte>> to_bytes(const Recording& recording) {
  check_fit(recording);
  if (auto room = check_room(recording); !room) return tl::make_unexpected(room.error());
  Output parameters;
  write_parameters(parameters, recording, 0);
  const std::size_t data_block = 2 + parameters.size() / block_size;
  constexpr std::size_t data_block_at = 16;
  Output out;
  write_header(out, recording);
  out.put_u16(data_block_at, static_cast<unsigned>(data_block));
  write_parameters(out, recording, data_block);
  write_frames(out, recording);
  return out.take();
}

Result<void> write(const Recording& recording, const std::filesystem::path& path) {
  const auto bytes = to_bytes(recording);
  if (!bytes) return fail(path.string(), bytes.error().sentence());
  return write_file(path, {reinterpret_cast<const char*>(bytes->data()), bytes->size()});
}

}  // namespace moundwork::c3d
