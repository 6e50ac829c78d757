// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/air.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <QSaveFile>
#include <cmath>

namespace moundwork::desk {
namespace {

// How well a weather station in the room or the day's report does (common practice).
constexpr double temperature_u = 1.0;  // degrees Celsius
constexpr double pressure_u = 300.0;   // Pa
constexpr double humidity_u = 0.05;

std::filesystem::path file_of(const LabFolder& lab) { return lab.root / "air.toml"; }

std::string line(const char* name, const Measured& measured) {
  return measured.known() ? fmt::format("{} = {:.3f}\n", name, measured.value) : std::string();
}

}  // namespace

session::Conditions air_of_day(const LabFolder& lab, const std::string& day) {
  session::Conditions air;
  if (std::error_code error; !std::filesystem::exists(file_of(lab), error)) return air;
  try {
    const toml::table file = toml::parse_file(file_of(lab).string());
    // Yesterday's air is not today's.
    if (file["day"].value_or(std::string()) != day.substr(0, 10)) return air;
    const auto read = [&](const char* name, double u) -> Measured {
      const auto value = file[name].value<double>();
      if (!value || !std::isfinite(*value)) return {};
      return {*value, u};
    };
    air.temperature = read("temperature_c", temperature_u);
    air.pressure = read("pressure_pa", pressure_u);
    air.relative_humidity = read("relative_humidity", humidity_u);
  } catch (const toml::parse_error&) {
    // A file that somebody spoilt says nothing; the numbers are then flagged as with assumed air.
    return {};
  }
  return air;
}

Result<void> keep_air(const LabFolder& lab, const std::string& day,
                      const session::Conditions& air) {
  const std::string text =
      fmt::format("day = \"{}\"\n", day.substr(0, 10)) + line("temperature_c", air.temperature) +
      line("pressure_pa", air.pressure) + line("relative_humidity", air.relative_humidity);
  QSaveFile file(QString::fromStdString(file_of(lab).string()));
  if (!file.open(QIODevice::WriteOnly) ||
      file.write(text.data(), static_cast<qint64>(text.size())) < 0 || !file.commit())
    return fail(file_of(lab).string(),
                "could not be written (" + file.errorString().toStdString() + ")",
                "look at the folder's rights");
  return {};
}

}  // namespace moundwork::desk
