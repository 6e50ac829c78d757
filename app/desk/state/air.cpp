// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/air.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <charconv>
#include <cmath>
#include <system_error>

#include "core/base/write_file.h"
#include "core/intake/limits.h"
#include "core/intake/usual_uncertainty.h"

namespace moundwork::desk {
namespace {

namespace usual_u = intake::usual_u;

std::filesystem::path air_file(const LabFolder& lab) { return lab.root / "air.toml"; }

std::string line(const char* name, const Measured& measured) {
  return measured.known() ? fmt::format("{} = {:.3f}\n", name, measured.value) : std::string();
}

QString text_of(double value, int digits) {
  QString text = QString::number(value, 'f', digits);
  if (text.endsWith(QStringLiteral(".0"))) text.chop(2);
  return text;
}

struct AirUnit {
  const char* name;
  double scale, offset;  // SI = scale * (number - offset)
};

/// A number whose value in SI is within the limits, or unknown where nothing is typed.
Result<Measured> read_number(const QString& typed, const intake::Range& limits, const char* what,
                             const AirUnit& unit) {
  const double least = limits.least / unit.scale + unit.offset,
               greatest = limits.greatest / unit.scale + unit.offset;
  // A comma stands for the decimal point only.
  QString plain = typed.trimmed();
  plain.replace(u',', u'.').replace(QStringLiteral("−"), QStringLiteral("-"));
  if (plain.isEmpty()) return Measured{};
  const std::string text = plain.toStdString();
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size())
    return fail(what, fmt::format("'{}' is not a number", typed.toStdString()),
                fmt::format("type it in {}, such as {:.0f}", unit.name, 0.5 * (least + greatest)));
  const double in_si = unit.scale * (value - unit.offset);
  if (!limits.holds(in_si))
    return fail(what, fmt::format("{} {} is no air that people throw in", text, unit.name),
                fmt::format("it lies from {:.0f} to {:.0f} {}; look at the unit", least, greatest,
                            unit.name));
  return Measured{in_si, 0.0};
}

}  // namespace

TypedAir typed_air(const session::Conditions& air, TemperatureUnit unit) {
  TypedAir typed;
  typed.unit = unit;
  if (air.temperature.known())
    typed.temperature =
        text_of(unit == TemperatureUnit::fahrenheit ? 32.0 + 1.8 * air.temperature.value
                                                    : air.temperature.value,
                1);
  if (air.pressure.known()) typed.pressure = text_of(0.01 * air.pressure.value, 1);
  if (air.relative_humidity.known())
    typed.humidity = text_of(100.0 * air.relative_humidity.value, 1);
  return typed;
}

Result<session::Conditions> read_air(const TypedAir& typed) {
  const AirUnit degrees = typed.unit == TemperatureUnit::fahrenheit ? AirUnit{"°F", 1.0 / 1.8, 32.0}
                                                                    : AirUnit{"°C", 1.0, 0.0};
  namespace limits = intake::limits;
  auto temperature = read_number(typed.temperature, limits::temperature, "temperature", degrees);
  auto pressure =
      read_number(typed.pressure, limits::pressure, "pressure", AirUnit{"hPa", 100.0, 0.0});
  auto humidity =
      read_number(typed.humidity, limits::relative_humidity, "humidity", AirUnit{"%", 0.01, 0.0});
  for (const auto* read : {&temperature, &pressure, &humidity})
    if (!*read) return tl::make_unexpected(read->error());
  session::Conditions air;
  air.temperature = *temperature;
  air.pressure = *pressure;
  air.relative_humidity = *humidity;
  return air;
}

session::Conditions air_of_day(const LabFolder& lab, const std::string& day) {
  session::Conditions air;
  if (std::error_code error; !std::filesystem::exists(air_file(lab), error)) return air;
  try {
    const toml::table file = toml::parse_file(air_file(lab).string());
    // Yesterday's air is not today's.
    if (file["day"].value_or(std::string()) != day.substr(0, 10)) return air;
    const auto read = [&](const char* name, double u) -> Measured {
      const auto value = file[name].value<double>();
      if (!value || !std::isfinite(*value)) return {};
      return {*value, u};
    };
    air.temperature = read("temperature_c", usual_u::temperature);
    air.pressure = read("pressure_pa", usual_u::pressure);
    air.relative_humidity = read("relative_humidity", usual_u::relative_humidity);
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
  return replace_file(air_file(lab), text);
}

}  // namespace moundwork::desk
