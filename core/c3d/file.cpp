// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/c3d/file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <type_traits>
#include <utility>

#include "core/base/plain_file.h"
#include "core/c3d/layout.h"

namespace moundwork::c3d {
namespace {

constexpr float missing = std::numeric_limits<float>::quiet_NaN();

// Long lists go on in NAME2, NAME3, ... because one dimension holds at most 255.
template <class Value>
std::vector<Value> continued(const Parameters& parameters, const std::string& name,
                             std::vector<Value> Parameter::*values) {
  std::vector<Value> all;
  for (int part = 1;; ++part) {
    const Parameter* entry = find(parameters, part == 1 ? name : name + std::to_string(part));
    if (entry == nullptr) return all;
    all.insert(all.end(), (entry->*values).begin(), (entry->*values).end());
  }
}

std::vector<std::string> labels_of(const Parameters& parameters, const std::string& name,
                                   std::size_t count) {
  std::vector<std::string> labels = continued(parameters, name, &Parameter::texts);
  labels.resize(count);
  return labels;
}

Result<std::vector<AnalogChannel>> read_channels(const Parameters& parameters, const Layout& layout,
                                                 const std::string& name) {
  double general = 1.0;
  if (const double* entry = number(parameters, "ANALOG:GEN_SCALE")) general = *entry;
  const auto labels = labels_of(parameters, "ANALOG:LABELS", layout.channels);
  const auto units = labels_of(parameters, "ANALOG:UNITS", layout.channels);
  const auto scales = continued(parameters, "ANALOG:SCALE", &Parameter::numbers);
  const auto offsets = continued(parameters, "ANALOG:OFFSET", &Parameter::numbers);

  std::vector<AnalogChannel> channels(layout.channels);
  for (std::size_t i = 0; i < channels.size(); ++i) {
    AnalogChannel& channel = channels[i];
    channel.label = labels[i];
    channel.unit = units[i];
    channel.scaled = i < scales.size();
    if (channel.scaled) channel.scale = scales[i] * general;
    if (i < offsets.size())
      channel.offset = layout.unsigned_counts ? unsigned_value(offsets[i]) : offsets[i];
    if (layout.unsigned_counts) channel.offset -= 32768.0;
    if (!std::isfinite(channel.scale) || !std::isfinite(channel.offset))
      return fail(fmt::format("{}, analog channel {} ({})", name, i + 1, channel.label),
                  fmt::format("has the scale {} and the offset {}, where finite numbers are wanted",
                              channel.scale, channel.offset));
    if (!layout.real) {
      channel.lowest = std::numeric_limits<std::int16_t>::min();
      channel.highest = std::numeric_limits<std::int16_t>::max();
    }
  }
  return channels;
}

void read_points(const Bytes& bytes, const Layout& layout, Points& points) {
  points.xyz.reserve(layout.frames * layout.points * 3);
  const std::size_t step = layout.value_size();
  for (std::uint64_t frame = 0; frame < layout.frames; ++frame) {
    std::size_t at = layout.begin + frame * layout.frame_size();
    for (std::size_t point = 0; point < layout.points; ++point, at += 4 * step) {
      // The fourth word is negative where the point was not seen; in real files it is that same
      // integer written as a real number.
      const bool seen =
          layout.real ? bytes.f32(at + 3 * step) >= 0.0F : bytes.i16(at + 3 * step) >= 0;
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double value = layout.real ? static_cast<double>(bytes.f32(at + axis * step))
                                         : bytes.i16(at + axis * step) * layout.point_scale;
        const auto metres = static_cast<float>(value * layout.metres_per_unit);
        points.xyz.push_back(seen && std::isfinite(metres) ? metres : missing);
      }
    }
  }
  // A point with one bad coordinate is nowhere.
  for (std::size_t i = 0; i < points.xyz.size(); i += 3)
    if (std::isnan(points.xyz[i] + points.xyz[i + 1] + points.xyz[i + 2]))
      std::fill_n(points.xyz.begin() + static_cast<std::ptrdiff_t>(i), 3, missing);
}

template <class Value, class Decode>
std::vector<Value> read_analog(const Layout& layout, Decode decode) {
  std::vector<Value> raw;
  const std::size_t per_frame = layout.channels * layout.samples_per_frame;
  raw.reserve(layout.frames * per_frame);
  const std::size_t point_bytes = 4 * layout.points * layout.value_size();
  for (std::uint64_t frame = 0; frame < layout.frames; ++frame) {
    const std::size_t at = layout.begin + frame * layout.frame_size() + point_bytes;
    for (std::size_t i = 0; i < per_frame; ++i) raw.push_back(decode(at + i * layout.value_size()));
  }
  return raw;
}

// ANALOG:BITS tells at which counts the converter clips, unless the data themselves deny it.
void narrow_limits(const Parameters& parameters, const std::vector<std::int16_t>& raw,
                   bool is_unsigned, std::vector<AnalogChannel>& channels) {
  const double* bits = number(parameters, "ANALOG:BITS");
  if (bits == nullptr || !(*bits >= 8.0 && *bits < 16.0) || channels.empty()) return;
  const double span = std::exp2(std::floor(*bits));
  for (std::size_t i = 0; i < channels.size(); ++i) {
    AnalogChannel& channel = channels[i];
    const double shift = is_unsigned ? 32768.0 : 0.0;
    // Offset binary is told by an offset near the middle of the converter's span.
    const bool from_zero = is_unsigned || channel.offset > span / 4.0;
    const double lowest = from_zero ? -shift : -span / 2.0;
    const double highest = lowest + span - 1.0;
    bool within = true;
    for (std::size_t at = i; at < raw.size() && within; at += channels.size())
      within = raw[at] >= lowest && raw[at] <= highest;
    if (!within) continue;
    channel.lowest = lowest;
    channel.highest = highest;
  }
}

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return result;
}

}  // namespace

Result<File> read(const std::filesystem::path& path) {
  if (auto file = refuse_endless(path); !file) return tl::make_unexpected(file.error());
  std::ifstream stream(path, std::ios::binary | std::ios::ate);
  const std::string name = path.string();
  const auto size = stream ? static_cast<std::streamoff>(stream.tellg()) : std::streamoff{-1};
  std::error_code status;
  if (size < 0 || !std::filesystem::is_regular_file(path, status))
    return fail(name, "cannot be opened as a file", "check the name and that you may read it");
  std::vector<std::byte> bytes(static_cast<std::size_t>(size));
  stream.seekg(0);
  if (size > 0) stream.read(reinterpret_cast<char*>(bytes.data()), size);
  if (!stream)
    return fail(name, fmt::format("only {} of its {} bytes could be read", stream.gcount(), size),
                "check the disk");
  return parse(bytes, name);
}

Result<File> parse(std::span<const std::byte> span, std::string name) {
  if (span.size() < block_size)
    return fail(name, fmt::format("is {} bytes long, where a C3D file begins with a header of {}",
                                  span.size(), block_size));
  const auto block = std::to_integer<std::size_t>(span[0]);
  if (std::to_integer<int>(span[1]) != 0x50)
    return fail(name, fmt::format("is not a C3D file: its second byte is {:#04x}, not 0x50",
                                  std::to_integer<int>(span[1])));
  const std::size_t section = block == 0 ? 0 : (block - 1) * block_size;
  constexpr std::size_t section_header = 4;
  if (section < block_size || section + section_header > span.size())
    return fail(name,
                fmt::format("says its parameters begin at block {}, where it has {} whole blocks",
                            block, span.size() / block_size),
                "the file was cut short or is damaged; copy or export it again");
  const auto processor = std::to_integer<int>(span[section + 3]);
  if (processor < 84 || processor > 86)
    return fail(fmt::format("{}, parameter section", name),
                fmt::format("names the processor {}, where 84 (Intel), 85 (DEC) or 86 (MIPS) is "
                            "wanted",
                            processor));
  const Bytes bytes(span, static_cast<Processor>(processor));
  // The section's own length is one byte of blocks and overflows; where the data begin is sure.
  const std::size_t data_block = bytes.u16(16);
  const std::size_t data_begin = data_block == 0 ? 0 : (data_block - 1) * block_size;
  const std::size_t section_end =
      data_begin > section ? std::min(data_begin, span.size()) : span.size();
  auto parameters = parse_parameters(bytes, section, section_end, name);
  if (!parameters) return tl::make_unexpected(parameters.error());
  auto layout = find_layout(bytes, *parameters, name);
  if (!layout) return tl::make_unexpected(layout.error());
  auto channels = read_channels(*parameters, *layout, name);
  if (!channels) return tl::make_unexpected(channels.error());

  File file;
  file.point_rate = layout->frame_rate;
  file.frame_count = static_cast<Eigen::Index>(layout->frames);
  file.samples_per_frame = static_cast<Eigen::Index>(layout->samples_per_frame);
  file.metres_per_unit = layout->metres_per_unit;
  file.points.labels = labels_of(*parameters, "POINT:LABELS", layout->points);
  read_points(bytes, *layout, file.points);
  file.analog.rate = layout->frame_rate * static_cast<double>(layout->samples_per_frame);
  file.analog.channels = std::move(*channels);
  if (layout->real) {
    file.analog.raw =
        read_analog<float>(*layout, [&bytes](std::size_t at) { return bytes.f32(at); });
  } else {
    // Flipping the top bit takes unsigned counts to signed ones less 32768.
    const unsigned flip = layout->unsigned_counts ? 0x8000U : 0U;
    auto raw = read_analog<std::int16_t>(*layout, [&bytes, flip](std::size_t at) {
      return static_cast<std::int16_t>(bytes.u16(at) ^ flip);
    });
    narrow_limits(*parameters, raw, layout->unsigned_counts, file.analog.channels);
    file.analog.raw = std::move(raw);
  }
  file.remarks = std::move(layout->remarks);
  file.parameters = std::move(*parameters);
  file.name = std::move(name);
  return file;
}

Eigen::Index sample_count(const Analog& analog) {
  if (analog.channels.empty()) return 0;
  const std::size_t values = std::visit([](const auto& raw) { return raw.size(); }, analog.raw);
  return static_cast<Eigen::Index>(values / analog.channels.size());
}

Eigen::MatrixXd scaled(const Analog& analog, std::span<const int> channels) {
  const Eigen::Index rows = sample_count(analog);
  const auto stride = analog.channels.size();
  Eigen::MatrixXd values(rows, static_cast<Eigen::Index>(channels.size()));
  std::visit(
      [&](const auto& raw) {
        for (std::size_t c = 0; c < channels.size(); ++c) {
          const auto column = static_cast<std::size_t>(channels[c]);
          const AnalogChannel& channel = analog.channels.at(column);
          for (Eigen::Index row = 0; row < rows; ++row)
            values(row, static_cast<Eigen::Index>(c)) =
                (static_cast<double>(raw[static_cast<std::size_t>(row) * stride + column]) -
                 channel.offset) *
                channel.scale;
        }
      },
      analog.raw);
  return values;
}

std::optional<Eigen::Index> find_point(const File& file, std::string_view label) {
  const std::string wanted = lower(label);
  std::optional<Eigen::Index> behind_prefix;
  for (std::size_t i = 0; i < file.points.labels.size(); ++i) {
    const std::string label_here = lower(file.points.labels[i]);
    if (label_here == wanted) return static_cast<Eigen::Index>(i);
    if (!behind_prefix && label_here.ends_with(':' + wanted))
      behind_prefix = static_cast<Eigen::Index>(i);
  }
  return behind_prefix;
}

Eigen::Array<double, Eigen::Dynamic, 3> trajectory(const File& file, Eigen::Index point) {
  const auto count = static_cast<Eigen::Index>(file.points.labels.size());
  Eigen::Array<double, Eigen::Dynamic, 3> path(file.frame_count, 3);
  for (Eigen::Index frame = 0; frame < file.frame_count; ++frame)
    for (Eigen::Index axis = 0; axis < 3; ++axis)
      path(frame, axis) = static_cast<double>(
          file.points.xyz.at(static_cast<std::size_t>((frame * count + point) * 3 + axis)));
  return path;
}

}  // namespace moundwork::c3d
