// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/weigh_in/weigh_in_file.h"

#include <fmt/format.h>

#include <fstream>
#include <sstream>

#include "core/base/write_file.h"
#include "core/table/settings_section.h"

namespace moundwork::weigh_in {
namespace {

using table::Faults;
using table::Section;
namespace fs = std::filesystem;

WeighIn read_root(const toml::table& table, Faults& faults) {
  const Section root(table, "the file", faults,
                     {"athlete", "station", "made", "mass", "mass_u", "foot_line"});
  for (const char* key : {"mass", "mass_u"}) root.need(key);
  WeighIn weigh_in;
  weigh_in.athlete = root.text("athlete").value_or("");
  weigh_in.station = root.text("station").value_or("");
  weigh_in.made = root.text("made").value_or("");
  weigh_in.mass = {root.quantity("mass", Dimension::mass).value_or(1.0),
                   root.quantity("mass_u", Dimension::mass, true).value_or(0.0)};
  if (const toml::table* foot = root.table("foot_line")) {
    const Section section(*foot, "[foot_line]", faults, {"heel", "toe", "u"});
    for (const char* key : {"heel", "toe", "u"}) section.need(key);
    session::FootLine line;
    line.heel = section.point("heel").value_or(line.heel);
    line.toe = section.point("toe").value_or(line.toe);
    line.u = section.quantity("u", Dimension::length, true).value_or(0.0);
    line.source = session::FootLineSource::stances;
    if ((line.toe - line.heel).norm() < 0.01)
      section.fault("has heel and toe at the same place", "weigh in again");
    weigh_in.foot_line = line;
  }
  return weigh_in;
}

std::string point(const Eigen::Vector3d& p) {
  return fmt::format("[{:.5f}, {:.5f}, {:.5f}]", p.x(), p.y(), p.z());
}

/// A text as TOML writes it between quotes.
std::string quoted(const std::string& text) {
  std::ostringstream out;
  out << toml::value<std::string>(text);
  return out.str();
}

}  // namespace

Result<WeighIn> read_weigh_in(const fs::path& path) {
  std::error_code status;
  constexpr std::uintmax_t largest_file = 1 << 16;
  if (!fs::is_regular_file(path, status))
    return fail(path.string(), "there is no such file", "weigh in first");
  if (fs::file_size(path, status) > largest_file)
    return fail(path.string(), "is too large for a weigh-in");
  std::ifstream file(path);
  std::ostringstream text;
  text << file.rdbuf();
  if (!file) return fail(path.string(), "cannot be read", "check its permissions");
  Faults faults(path.string());
  try {
    const toml::table table = toml::parse(text.str(), path.string());
    WeighIn weigh_in = read_root(table, faults);
    if (faults.first()) return tl::make_unexpected(*faults.first());
    return weigh_in;
  } catch (const toml::parse_error& error) {
    return fail(fmt::format("{}, line {}", path.string(), error.source().begin.line),
                std::string(error.description()), "weigh in again");
  }
}

Result<void> write_weigh_in(const fs::path& path, const WeighIn& weigh_in) {
  std::string text =
      fmt::format("athlete = {}\nstation = {}\nmade = {}\n", quoted(weigh_in.athlete),
                  quoted(weigh_in.station), quoted(weigh_in.made));
  text += fmt::format("mass = \"{:.4f} kg\"\nmass_u = \"{:.4f} kg\"\n", weigh_in.mass.value,
                      weigh_in.mass.u);
  if (weigh_in.foot_line)
    text += fmt::format(
        "\n# Where the weight rests on heel and toes: x, y, z in metres in the lab frame.\n"
        "[foot_line]\nheel = {}\ntoe = {}\nu = \"{:.5f} m\"\n",
        point(weigh_in.foot_line->heel), point(weigh_in.foot_line->toe), weigh_in.foot_line->u);
  return replace_file(path, text);
}

}  // namespace moundwork::weigh_in
