// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/c3d_builder.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <map>
#include <utility>

namespace moundwork::test {
namespace {

constexpr std::size_t block = 512;

class Output {
 public:
  explicit Output(int processor) : processor_(processor) {}

  void u8(unsigned value) { bytes_.push_back(static_cast<std::byte>(value & 0xff)); }
  void u16(unsigned value) {
    if (processor_ == 86) {
      u8(value >> 8);
      u8(value);
    } else {
      u8(value);
      u8(value >> 8);
    }
  }
  void f32(double value) {
    if (processor_ == 85) {
      dec(value);
      return;
    }
    const auto bits = std::bit_cast<std::uint32_t>(static_cast<float>(value));
    if (processor_ == 86) {
      u16(bits >> 16);
      u16(bits & 0xffff);
    } else {
      u16(bits & 0xffff);
      u16(bits >> 16);
    }
  }
  void pad_to_block() {
    while (bytes_.size() % block != 0) u8(0);
  }
  void put_u16(std::size_t at, unsigned value) {
    Output two(processor_);
    two.u16(value);
    std::copy(two.bytes_.begin(), two.bytes_.end(),
              bytes_.begin() + static_cast<std::ptrdiff_t>(at));
  }
  void put_u8(std::size_t at, unsigned value) { bytes_[at] = static_cast<std::byte>(value & 0xff); }
  [[nodiscard]] std::size_t size() const { return bytes_.size(); }
  [[nodiscard]] std::vector<std::byte> take() { return std::move(bytes_); }

 private:
  // VAX F_floating, 0.1fff x 2^(e - 128): the sign and exponent word comes first. It has no NaN, so
  // the reserved operand stands for it.
  void dec(double value) {
    if (value == 0.0) {
      u16(0);
      u16(0);
      return;
    }
    if (!std::isfinite(value)) {
      u16(0x8000);
      u16(0);
      return;
    }
    int exponent = 0;
    const double fraction =
        std::frexp(static_cast<double>(static_cast<float>(std::abs(value))), &exponent);
    const auto mantissa = static_cast<std::uint32_t>((fraction - 0.5) * (1 << 24));
    const std::uint32_t bits = (value < 0 ? 0x80000000U : 0U) |
                               static_cast<std::uint32_t>(exponent + 128) << 23 | mantissa;
    u16(bits >> 16);
    u16(bits & 0xffff);
  }

  int processor_;
  std::vector<std::byte> bytes_;
};

unsigned word(double value) {
  return static_cast<unsigned>(static_cast<std::int64_t>(std::llround(value)) & 0xffff);
}

// Writes name, id and an empty link; returns where the link is.
std::size_t open_record(Output& out, const std::string& name, int id, bool locked) {
  const int length = static_cast<int>(name.size());
  out.u8(static_cast<unsigned>(locked ? -length : length));
  out.u8(static_cast<unsigned>(id));
  for (const char c : name) out.u8(static_cast<unsigned char>(c));
  const std::size_t link = out.size();
  out.u16(0);
  return link;
}

std::size_t write_group(Output& out, const std::string& name, int id) {
  const std::size_t link = open_record(out, name, -id, false);
  out.u8(0);  // no description
  out.put_u16(link, static_cast<unsigned>(out.size() - link));
  return link;
}

std::size_t write_entry(Output& out, const C3dEntry& entry, int group) {
  const std::size_t link = open_record(out, entry.name, group, entry.locked);
  out.u8(static_cast<unsigned>(entry.type));
  out.u8(static_cast<unsigned>(entry.dimensions.size()));
  for (const int size : entry.dimensions) out.u8(static_cast<unsigned>(size));
  for (const char c : entry.text) out.u8(static_cast<unsigned char>(c));
  for (const double number : entry.numbers) {
    switch (entry.type) {
      case C3dEntry::Type::real:
        out.f32(number);
        break;
      case C3dEntry::Type::int16:
        out.u16(word(number));
        break;
      default:
        out.u8(word(number));
    }
  }
  out.u8(3);  // a short description, as most writers give one
  for (const char c : std::string("???")) out.u8(static_cast<unsigned char>(c));
  out.put_u16(link, static_cast<unsigned>(out.size() - link));
  return link;
}

void write_parameters(Output& out, const C3dRecipe& recipe) {
  const std::size_t begin = out.size();
  out.u8(1);
  out.u8(0x50);
  out.u8(0);
  out.u8(static_cast<unsigned>(recipe.processor));
  std::map<std::string, int> ids;
  std::vector<std::string> names;
  for (const C3dEntry& entry : recipe.entries)
    if (ids.emplace(entry.group, static_cast<int>(ids.size()) + 1).second)
      names.push_back(entry.group);
  std::size_t last_link = 0;
  const auto groups = [&] {
    for (const std::string& name : names) last_link = write_group(out, name, ids[name]);
  };
  if (!recipe.groups_last) groups();
  for (const C3dEntry& entry : recipe.entries)
    last_link = write_entry(out, entry, ids[entry.group]);
  if (recipe.groups_last) groups();
  if (recipe.end_by_zero_link)
    out.put_u16(last_link, 0);
  else
    out.u8(0);
  out.pad_to_block();
  const auto blocks = static_cast<int>((out.size() - begin) / block);
  out.put_u8(begin + 2,
             static_cast<unsigned>(recipe.block_count_byte < 0 ? blocks : recipe.block_count_byte));
}

void write_frames(Output& out, const C3dRecipe& recipe) {
  for (std::size_t frame = 0; frame < recipe.frames; ++frame) {
    for (std::size_t point = 0; point < recipe.points; ++point) {
      const bool seen = !std::isnan(recipe.position(frame, point, 0));
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double value = seen ? recipe.position(frame, point, axis) : 0.0;
        if (recipe.real)
          out.f32(value);
        else
          out.u16(word(value / recipe.point_scale));
      }
      if (recipe.real)
        out.f32(seen ? 0.0 : -1.0);
      else
        out.u16(seen ? 0 : 0xffff);
    }
    for (std::size_t i = 0; i < recipe.samples_per_frame; ++i)
      for (std::size_t channel = 0; channel < recipe.channels; ++channel) {
        const double value = recipe.raw(frame * recipe.samples_per_frame + i, channel);
        if (recipe.real)
          out.f32(value);
        else
          out.u16(word(value));
      }
  }
}

}  // namespace

C3dEntry int_entry(std::string group, std::string name, std::vector<int> dimensions,
                   std::vector<double> numbers) {
  return {std::move(group),      std::move(name),    C3dEntry::Type::int16,
          std::move(dimensions), std::move(numbers), {}};
}

C3dEntry real_entry(std::string group, std::string name, std::vector<int> dimensions,
                    std::vector<double> numbers) {
  return {std::move(group),      std::move(name),    C3dEntry::Type::real,
          std::move(dimensions), std::move(numbers), {}};
}

C3dEntry text_entry(std::string group, std::string name, const std::vector<std::string>& texts) {
  std::size_t width = 0;
  for (const std::string& text : texts) width = std::max(width, text.size());
  C3dEntry entry{std::move(group), std::move(name), C3dEntry::Type::text, {}, {}, {}};
  entry.dimensions = {static_cast<int>(width)};
  if (texts.size() != 1) entry.dimensions.push_back(static_cast<int>(texts.size()));
  for (const std::string& text : texts) entry.text += text + std::string(width - text.size(), ' ');
  return entry;
}

C3dEntry* C3dRecipe::entry(const std::string& group, const std::string& name) {
  for (C3dEntry& candidate : entries)
    if (candidate.group == group && candidate.name == name) return &candidate;
  return nullptr;
}

void C3dRecipe::remove(const std::string& group, const std::string& name) {
  std::erase_if(entries, [&](const C3dEntry& candidate) {
    return candidate.group == group && candidate.name == name;
  });
}

std::vector<std::byte> build(const C3dRecipe& recipe) {
  Output out(recipe.processor);
  const double scale = recipe.real ? -recipe.point_scale : recipe.point_scale;
  out.u8(2);
  out.u8(0x50);
  out.u16(static_cast<unsigned>(recipe.points));
  out.u16(static_cast<unsigned>(recipe.channels * recipe.samples_per_frame));
  const std::size_t last_frame = recipe.first_frame + recipe.frames - 1;
  out.u16(static_cast<unsigned>(recipe.first_frame));
  out.u16(static_cast<unsigned>(std::min<std::size_t>(last_frame, 65535)));
  out.u16(0);
  out.f32(scale);
  const std::size_t data_start_at = out.size();
  out.u16(0);
  out.u16(static_cast<unsigned>(recipe.samples_per_frame));
  out.f32(recipe.header_rate);
  out.pad_to_block();
  write_parameters(out, recipe);
  const std::size_t data_block = out.size() / block + 1;
  out.put_u16(data_start_at, static_cast<unsigned>(data_block));
  write_frames(out, recipe);
  out.pad_to_block();
  return out.take();
}

C3dRecipe four_plate_recipe(int processor, bool real) {
  C3dRecipe recipe;
  recipe.processor = processor;
  recipe.real = real;
  recipe.points = 3;
  recipe.frames = 12;
  recipe.samples_per_frame = 4;

  // Reference-facts 1.3, brought to whole counts; the scales below bring them back.
  struct Channel {
    std::string label, unit;
    double scale, count;
  };
  std::vector<Channel> channels;
  const auto add = [&channels](const std::string& label, const std::string& unit, double scale,
                               double value) {
    channels.push_back({label, unit, scale, value / scale});
  };
  add("Fx1", "N", 0.5, -90);
  add("Fy1", "N", 0.5, 150);
  add("Fz1", "N", 0.5, 800);
  add("Px1", "mm", 0.5, 60);
  add("Py1", "mm", 0.5, -120);
  add("Tz1", "Nmm", 5, 3000);
  add("Fx2", "N", 0.5, -90);
  add("Fy2", "N", 0.5, 150);
  add("Fz2", "N", 0.5, 800);
  add("Mx2", "Nmm", 5, -91600);
  add("My2", "Nmm", 5, -45600);
  add("Mz2", "Nmm", 5, 1245);
  add("Fx12", "N", 0.5, -50);
  add("Fx34", "N", 0.5, -40);
  add("Fy14", "N", 0.5, 100);
  add("Fy23", "N", 0.5, 50);
  add("Fz31", "N", 0.5, 150);
  add("Fz32", "N", 0.5, 100);
  add("Fz33", "N", 0.5, 250);
  add("Fz34", "N", 0.5, 300);
  for (const double volt : {-.2, .3, .8, -.35, -.17, .02}) add("V4", "V", 0.01, volt);
  recipe.channels = channels.size();

  std::vector<std::string> labels, units;
  std::vector<double> scales, offsets, counts;
  // Half the scale lies in GEN_SCALE, so that forgetting it is seen; offsets differ by channel.
  for (const Channel& channel : channels) {
    labels.push_back(channel.label);
    units.push_back(channel.unit);
    scales.push_back(channel.scale * 2.0);
    offsets.push_back(static_cast<double>(labels.size()) - 10.0);
    counts.push_back(std::round(channel.count));
  }
  const int count = static_cast<int>(channels.size());

  // Reference-facts 1.4, mm.
  const std::vector<double> corners{
      798.963727473464, -200, 225.086356043878, 201.036272526536, -200, 274.913643956122,
      201.036272526536, 200,  274.913643956122, 798.963727473464, 200,  225.086356043878};
  std::vector<double> all_corners;
  for (int i = 0; i < 4; ++i) all_corners.insert(all_corners.end(), corners.begin(), corners.end());
  // Matrix of the type 4 example, column by column; the other plates' places hold what must not be
  // used.
  std::vector<double> matrices(3 * 36, 9.0);
  std::vector<double> matrix(36, 0.0);
  const auto element = [&matrix](int row, int column) -> double& {
    return matrix[static_cast<std::size_t>((column - 1) * 6 + row - 1)];
  };
  const double diagonal[] = {500, 500, 1000, 2.5e5, 2.5e5, 1.5e5};
  for (int i = 1; i <= 6; ++i) element(i, i) = diagonal[i - 1];
  element(1, 3) = 4;
  element(2, 1) = -3;
  element(3, 2) = 6;
  element(4, 2) = 2000;
  element(5, 3) = -1500;
  element(6, 1) = 800;
  matrices.insert(matrices.end(), matrix.begin(), matrix.end());

  recipe.entries = {
      int_entry("POINT", "USED", {}, {3}),
      real_entry("POINT", "SCALE", {}, {real ? -recipe.point_scale : recipe.point_scale}),
      real_entry("POINT", "RATE", {}, {100}),
      int_entry("POINT", "FRAMES", {}, {12}),
      text_entry("POINT", "LABELS", {"HEEL", "TOE", "someone:HAND"}),
      text_entry("POINT", "UNITS", {"mm"}),
      int_entry("ANALOG", "USED", {}, {static_cast<double>(count)}),
      text_entry("ANALOG", "LABELS", labels),
      text_entry("ANALOG", "UNITS", units),
      real_entry("ANALOG", "GEN_SCALE", {}, {0.5}),
      real_entry("ANALOG", "SCALE", {count}, scales),
      int_entry("ANALOG", "OFFSET", {count}, offsets),
      real_entry("ANALOG", "RATE", {}, {400}),
      int_entry("FORCE_PLATFORM", "USED", {}, {4}),
      int_entry("FORCE_PLATFORM", "TYPE", {4}, {1, 2, 3, 4}),
      int_entry("FORCE_PLATFORM", "ZERO", {2}, {1, 4}),
      real_entry("FORCE_PLATFORM", "CORNERS", {3, 4, 4}, all_corners),
      real_entry("FORCE_PLATFORM", "ORIGIN", {3, 4},
                 {0, 0, 0, 1.5, -2, -40, 120, 200, -54, 0, 0, -45}),
      int_entry("FORCE_PLATFORM", "CHANNEL", {8, 4},
                {1,  2,  3,  4,  5,  6,  0,  0,  7,  8,  9,  10, 11, 12, 0, 0,
                 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 0, 0}),
      real_entry("FORCE_PLATFORM", "CAL_MATRIX", {6, 6, 4}, matrices),
  };
  recipe.entries.front().locked = true;

  recipe.position = [](std::size_t frame, std::size_t point, std::size_t axis) {
    if (point == 1 && frame == 3) return std::numeric_limits<double>::quiet_NaN();
    return 100.0 * static_cast<double>(point) + 10.0 * static_cast<double>(axis) +
           static_cast<double>(frame) - 50.0;
  };
  recipe.raw = [counts, offsets](std::size_t sample, std::size_t channel) {
    const bool loaded = sample >= four_plate_first_loaded * 4;
    return offsets[channel] + (loaded ? counts[channel] : 0.0);
  };
  return recipe;
}

std::vector<NamedFile> sample_c3d_files() {
  std::vector<NamedFile> files;
  for (const int processor : {84, 85, 86})
    for (const bool real : {false, true})
      files.push_back({"variant-" + std::to_string(processor) + (real ? "-real" : "-integer"),
                       build(four_plate_recipe(processor, real))});
  C3dRecipe unusual = four_plate_recipe(84, false);
  unusual.groups_last = true;
  unusual.end_by_zero_link = true;
  unusual.entries.push_back(text_entry("ANALOG", "FORMAT", {"UNSIGNED"}));
  unusual.entries.push_back(int_entry("ANALOG", "BITS", {}, {16}));
  unusual.entries.push_back(int_entry("TRIAL", "ACTUAL_START_FIELD", {2}, {1, 0}));
  unusual.entries.push_back(int_entry("TRIAL", "ACTUAL_END_FIELD", {2}, {12, 0}));
  unusual.entries.push_back(real_entry("POINT", "LONG_FRAMES", {}, {12}));
  unusual.entries.push_back(int_entry("POINT", "DATA_START", {}, {7}));
  files.push_back({"unusual", build(unusual)});
  C3dRecipe plain = four_plate_recipe(86, true);
  plain.points = 0;
  plain.entry("POINT", "USED")->numbers = {0};
  files.push_back({"analog-only", build(plain)});
  return files;
}

}  // namespace moundwork::test
