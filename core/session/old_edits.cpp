// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/old_edits.h"

#include <fmt/format.h>

#include <array>
#include <boost/uuid/name_generator_sha1.hpp>
#include <boost/uuid/uuid_io.hpp>
#include <charconv>
#include <limits>
#include <optional>
#include <string>
#include <string_view>

namespace moundwork::session::companion {
namespace {

// Any fixed one does: names under it are told from names made elsewhere.
constexpr boost::uuids::uuid list_of_version_1{{0x1d, 0x9a, 0x4e, 0x6c, 0x2f, 0x0b, 0x4d, 0x57,
                                                0x9e, 0x31, 0x6a, 0xc4, 0x58, 0x0d, 0x77, 0x12}};

std::string identity_of(const schema::EditRow& row, std::size_t place) {
  return to_string(boost::uuids::name_generator_sha1(list_of_version_1)(
      fmt::format("{}|{}|{}|{}|{}", place, row.when.str(), row.action.str(), row.target.str(),
                  row.throw_contact)));
}

// "frame 412, contact frame 400, 240 a second", always with a point: it was written by fmt.
std::optional<std::array<double, 3>> frames_in(std::string_view text) {
  constexpr std::array<std::string_view, 3> before{"frame ", ", contact frame ", ", "};
  std::array<double, 3> frames{};
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (!text.starts_with(before[i])) return std::nullopt;
    text.remove_prefix(before[i].size());
    const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), frames[i]);
    if (status != std::errc{}) return std::nullopt;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  }
  return text == " a second" ? std::optional(frames) : std::nullopt;
}

}  // namespace

void as_version_2(std::vector<schema::EditRow>& rows) {
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  for (std::size_t place = 0; place < rows.size(); ++place) {
    schema::EditRow& row = rows[place];
    row.id = hdf5::Text<40>(identity_of(row, place));
    row.frame = row.landing_frame = row.rate = none;
    const std::string action = row.action.str();
    if (action == "undo") {
      if (row.value >= 0.0 && row.value < static_cast<double>(place))
        row.undoes = rows[static_cast<std::size_t>(row.value)].id;
      row.value = 0.0;
    }
    if (action != "mark") continue;
    if (const auto frames = frames_in(row.text.str())) {
      row.frame = (*frames)[0];
      row.landing_frame = (*frames)[1];
      row.rate = (*frames)[2];
      row.text = {};
    }
    row.value = 0.0;
  }
}

}  // namespace moundwork::session::companion
