// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/c3d/layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string_view>
#include <utility>

#include "core/base/units.h"

namespace moundwork::c3d {
namespace {

// The header's 16-bit words, numbered from 1 as the standard does.
std::size_t header_byte(int word) { return 2 * static_cast<std::size_t>(word - 1); }

struct Header {
  std::size_t points, analog_per_frame, first_frame, last_frame, data_block, samples_per_frame;
  double scale, rate;
};

Header read_header(const Bytes& bytes) {
  return {bytes.u16(header_byte(2)), bytes.u16(header_byte(3)), bytes.u16(header_byte(4)),
          bytes.u16(header_byte(5)), bytes.u16(header_byte(9)), bytes.u16(header_byte(10)),
          bytes.f32(header_byte(7)), bytes.f32(header_byte(11))};
}

struct FrameCount {
  std::string_view source;
  std::uint64_t count;
};

std::optional<std::uint64_t> whole_count(double value) {
  // 2^32 frames would take months to record.
  if (!(value >= 1.0 && value < 4294967296.0)) return std::nullopt;
  return static_cast<std::uint64_t>(value);
}

// From the widest to the narrowest place, since the narrow ones cannot hold long recordings.
std::vector<FrameCount> claimed_frame_counts(const Header& header, const Parameters& parameters) {
  std::vector<FrameCount> claims;
  const auto claim = [&claims](std::string_view source, double value) {
    if (const auto count = whole_count(value)) claims.push_back({source, *count});
  };
  const auto field = [&parameters](std::string_view name) -> std::optional<double> {
    const Parameter* parameter = find(parameters, name);
    if (parameter == nullptr || parameter->numbers.size() < 2) return std::nullopt;
    return unsigned_value(parameter->numbers[0]) + 65536.0 * unsigned_value(parameter->numbers[1]);
  };
  const auto first = field("TRIAL:ACTUAL_START_FIELD");
  const auto last = field("TRIAL:ACTUAL_END_FIELD");
  if (first && last) claim("TRIAL:ACTUAL_END_FIELD", *last - *first + 1.0);
  if (const double* frames = number(parameters, "POINT:LONG_FRAMES"))
    claim("POINT:LONG_FRAMES", *frames);
  if (const double* frames = number(parameters, "POINT:FRAMES"))
    claim("POINT:FRAMES", unsigned_value(*frames));
  claim("the header",
        static_cast<double>(header.last_frame) - static_cast<double>(header.first_frame) + 1.0);
  return claims;
}

std::string list_claims(const std::vector<FrameCount>& claims) {
  std::string text;
  for (const FrameCount& claim : claims)
    text += fmt::format("{}{} says {}", text.empty() ? "" : ", ", claim.source, claim.count);
  return text;
}

Result<void> settle_frames(const Bytes& bytes, const Header& header, const Parameters& parameters,
                           const std::string& name, Layout& layout) {
  const std::vector<FrameCount> claims = claimed_frame_counts(header, parameters);
  if (claims.empty())
    return fail(name, "neither its header nor its parameters say how many frames it has");
  const std::uint64_t room = (bytes.size() - layout.begin) / layout.frame_size();
  // A claim that fills the file to its last block is right even when a wider field was forgotten
  // by a program that cut the recording.
  const auto fills = [&](const FrameCount& claim) {
    return claim.count <= room &&
           bytes.size() - layout.begin - claim.count * layout.frame_size() < block_size;
  };
  auto chosen = std::find_if(claims.begin(), claims.end(), fills);
  if (chosen == claims.end()) chosen = claims.begin();
  if (chosen->count > room)
    return fail(fmt::format("{}, data section", name),
                fmt::format("{} frames, but the file ends after {}", list_claims(claims), room),
                "the file was cut short; copy or export it again");
  layout.frames = chosen->count;
  const bool agree = std::all_of(claims.begin(), claims.end(), [&](const FrameCount& claim) {
    // 65535 in a 16-bit place is how long recordings say "more than I can hold".
    return claim.count == chosen->count || claim.count == 65535;
  });
  if (!agree)
    layout.remarks.push_back(fmt::format("frame counts disagree ({}); {} were read",
                                         list_claims(claims), chosen->count));
  return {};
}

Result<void> settle_analog(const Header& header, const Parameters& parameters,
                           const std::string& name, Layout& layout) {
  const double* used_entry = number(parameters, "ANALOG:USED");
  const auto used =
      used_entry == nullptr
          ? std::size_t{0}
          : static_cast<std::size_t>(std::clamp(unsigned_value(*used_entry), 0.0, 65535.0));
  const std::size_t per_frame = header.analog_per_frame;
  if (per_frame == 0) {
    if (used != 0)
      layout.remarks.push_back(
          fmt::format("ANALOG:USED says {} channels, but the header says no analog data", used));
    return {};
  }
  std::size_t samples = header.samples_per_frame;
  if (samples == 0 && used != 0) samples = per_frame / used;
  if (samples == 0 || per_frame % samples != 0)
    return fail(name, fmt::format("the header says {} analog values a frame, which {} samples of "
                                  "each channel do not divide",
                                  per_frame, samples));
  layout.samples_per_frame = samples;
  layout.channels = per_frame / samples;
  if (used_entry != nullptr && used != layout.channels)
    return fail(name, fmt::format("ANALOG:USED says {} channels, where the header has room for {} "
                                  "({} values a frame, {} samples of each channel)",
                                  used, layout.channels, per_frame, samples));
  return {};
}

bool usable_rate(double rate) { return std::isfinite(rate) && rate > 0.0; }

Result<void> settle_rate(const Header& header, const Parameters& parameters,
                         const std::string& name, Layout& layout) {
  const double* point_rate = number(parameters, "POINT:RATE");
  const double* analog_rate = number(parameters, "ANALOG:RATE");
  const auto per_frame = static_cast<double>(layout.samples_per_frame);
  if (point_rate != nullptr && usable_rate(*point_rate)) {
    layout.frame_rate = *point_rate;
  } else if (usable_rate(header.rate)) {
    layout.frame_rate = header.rate;
  } else if (analog_rate != nullptr && usable_rate(*analog_rate) && per_frame > 0.0) {
    layout.frame_rate = *analog_rate / per_frame;
  } else {
    return fail(fmt::format("{}, POINT:RATE", name),
                fmt::format("the frame rate is {}, where a positive number of hertz is wanted",
                            point_rate == nullptr ? header.rate : *point_rate));
  }
  // Every time on the plates comes from this, so two answers cannot both be let pass. Rates are
  // rounded by some writers (59.94 to 60).
  constexpr double rounding = 0.005;
  if (analog_rate != nullptr && per_frame > 0.0) {
    const double expected = layout.frame_rate * per_frame;
    if (!(std::abs(*analog_rate - expected) <= rounding * expected))
      return fail(fmt::format("{}, ANALOG:RATE", name),
                  fmt::format("{} Hz, where {} samples in each of {} frames a second make {} Hz",
                              *analog_rate, layout.samples_per_frame, layout.frame_rate, expected));
  }
  return {};
}

Result<void> settle_scale(const Header& header, const Parameters& parameters,
                          const std::string& name, Layout& layout) {
  const double* entry = number(parameters, "POINT:SCALE");
  const double scale = entry != nullptr ? *entry : header.scale;
  if (!std::isfinite(scale) || scale == 0.0)
    return fail(
        fmt::format("{}, POINT:SCALE", name),
        fmt::format("{}, where a number other than zero is wanted (negative: real data)", scale));
  if (entry != nullptr && std::isfinite(header.scale) && header.scale * scale < 0.0)
    return fail(fmt::format("{}, POINT:SCALE", name),
                fmt::format("{} and the header's {} do not agree whether the data are integer or "
                            "real",
                            scale, header.scale));
  layout.real = scale < 0.0;
  layout.point_scale = scale;
  const Parameter* format = find(parameters, "ANALOG:FORMAT");
  layout.unsigned_counts = !layout.real && format != nullptr && !format->texts.empty() &&
                           format->texts.front() == "UNSIGNED";
  return {};
}

Result<void> settle_units(const Parameters& parameters, const std::string& name, Layout& layout) {
  const Parameter* units = find(parameters, "POINT:UNITS");
  std::string symbol =
      units == nullptr || units->texts.empty() ? std::string() : units->texts.front();
  for (char& c : symbol)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  if (symbol.empty()) {
    // Common practice: motion laboratories record in millimetres unless they say otherwise.
    layout.remarks.emplace_back("POINT:UNITS is missing; millimetres were taken");
    return {};
  }
  const auto factor = unit_factor(symbol, Dimension::length, fmt::format("{}, POINT:UNITS", name));
  if (!factor) return tl::make_unexpected(factor.error());
  layout.metres_per_unit = *factor;
  return {};
}

}  // namespace

Result<Layout> find_layout(const Bytes& bytes, const Parameters& parameters,
                           const std::string& name) {
  const Header header = read_header(bytes);
  Layout layout;

  layout.points = header.points;
  if (const double* used = number(parameters, "POINT:USED");
      used != nullptr && unsigned_value(*used) != static_cast<double>(header.points))
    return fail(name, fmt::format("POINT:USED says {} points, where the header says {}",
                                  unsigned_value(*used), header.points));
  if (auto done = settle_analog(header, parameters, name, layout); !done)
    return tl::make_unexpected(done.error());
  if (layout.points == 0 && layout.channels == 0)
    return fail(name, "holds neither points nor analog channels");
  if (auto done = settle_scale(header, parameters, name, layout); !done)
    return tl::make_unexpected(done.error());
  if (auto done = settle_rate(header, parameters, name, layout); !done)
    return tl::make_unexpected(done.error());
  if (auto done = settle_units(parameters, name, layout); !done)
    return tl::make_unexpected(done.error());

  std::size_t data_block = header.data_block;
  if (const double* start = number(parameters, "POINT:DATA_START"); start != nullptr) {
    const double block = unsigned_value(*start);
    if (data_block == 0 && block >= 1.0 && block <= 65535.0)
      data_block = static_cast<std::size_t>(block);
    else if (block != static_cast<double>(data_block))
      layout.remarks.push_back(
          fmt::format("POINT:DATA_START says block {}, the header block {}; the header's was taken",
                      block, data_block));
  }
  layout.begin = data_block == 0 ? 0 : (data_block - 1) * block_size;
  if (layout.begin < block_size || layout.begin >= bytes.size())
    return fail(name,
                fmt::format("says its data begin at block {}, where it has {} whole blocks",
                            data_block, bytes.size() / block_size),
                "the file was cut short or is damaged; copy or export it again");
  if (auto done = settle_frames(bytes, header, parameters, name, layout); !done)
    return tl::make_unexpected(done.error());
  return layout;
}

}  // namespace moundwork::c3d
