// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/station_check.h"

#include <algorithm>
#include <cmath>

#include "drivers/kinds/list.h"
#include "drivers/recorder/short_recording.h"

namespace moundwork::desk {
namespace {

using drivers::CheckLine;
using drivers::CheckSheet;

constexpr int own_checks = 5;  // CheckKind's names

/// Null for a check that is not a kind's.
const drivers::StationKind* kind_checked(CheckKind kind) {
  const int at = static_cast<int>(kind) - own_checks;
  return at < 0 ? nullptr : drivers::checked_kinds().at(static_cast<std::size_t>(at));
}

QString from(std::string_view text) {
  return QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size()));
}

Result<CheckSheet> evaluate(const session::Reader& reader, const StationCheck& check,
                            const drivers::CheckLimits& limits) {
  if (const auto* kind = kind_checked(check.kind)) return kind->check->evaluate(reader, limits);
  switch (check.kind) {
    case CheckKind::rates:
      return drivers::check_rates(reader, limits);
    case CheckKind::zero:
      return drivers::check_zero(reader, limits);
    case CheckKind::weight:
      return drivers::check_weight(reader, check.plate, check.mass, check.point, limits);
    case CheckKind::fork:
      return drivers::check_fork(reader, check.frequency, limits);
    case CheckKind::tap:
      return drivers::check_taps(reader, check.microphone_distance, limits);
  }
  return CheckSheet{};
}

/// Lengths in mm and times in ms: a sheet is read by eye.
struct SheetUnit {
  double factor = 1.0;
  QString unit;
};
SheetUnit shown_in(const std::string& unit) {
  if (unit == "m") return {1e3, QStringLiteral(" mm")};
  if (unit == "s") return {1e3, QStringLiteral(" ms")};
  if (unit.empty()) return {};
  return {1.0, u' ' + QString::fromStdString(unit)};
}

QString number(double value, double limit) {
  // One digit beyond the limit's own: 0.02 beside a limit of 0.3.
  const int digits =
      limit > 0.0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(limit))), 0, 4) : 0;
  return QString::number(value, 'f', digits).replace(u'-', QStringLiteral("−"));
}

}  // namespace

int check_kind_count() { return own_checks + static_cast<int>(drivers::checked_kinds().size()); }

bool has_check(const drivers::Station& station, CheckKind kind) {
  const auto* checked = kind_checked(kind);
  return checked == nullptr ||
         std::any_of(station.events.begin(), station.events.end(),
                     [&](const drivers::EventPort& port) { return port.kind == checked->key; });
}

QString check_title(CheckKind kind) {
  if (const auto* checked = kind_checked(kind)) return from(checked->check->title);
  switch (kind) {
    case CheckKind::rates:
      return QStringLiteral("Rates and losses");
    case CheckKind::zero:
      return QStringLiteral("Empty plates");
    case CheckKind::weight:
      return QStringLiteral("Known weight");
    case CheckKind::fork:
      return QStringLiteral("Radar and fork");
    case CheckKind::tap:
      return QStringLiteral("Knocks");
  }
  return {};
}

QString check_task(CheckKind kind) {
  if (const auto* checked = kind_checked(kind)) return from(checked->check->task);
  switch (kind) {
    case CheckKind::rates:
      return QStringLiteral("Nothing to do: each device's rate against this computer's clock.");
    case CheckKind::zero:
      return QStringLiteral("Keep off the plates.");
    case CheckKind::weight:
      return QStringLiteral("Plate empty for 2 s, then put the weight down and let it rest.");
    case CheckKind::fork:
      return QStringLiteral("Strike the fork and hold it close to the radar's face.");
    case CheckKind::tap:
      return QStringLiteral("Knock five times where all plates feel it, a second apart.");
  }
  return {};
}

std::string check_key(CheckKind kind) {
  if (const auto* checked = kind_checked(kind)) return std::string(checked->check->key);
  switch (kind) {
    case CheckKind::rates:
      return "rates";
    case CheckKind::zero:
      return "zero";
    case CheckKind::weight:
      return "weight";
    case CheckKind::fork:
      return "fork";
    case CheckKind::tap:
      return "tap";
  }
  return {};
}

Result<CheckSheet> run_check(const drivers::Station& station, const StationCheck& check,
                             const Progress& progress) {
  auto recording = drivers::ShortRecording::begin(station);
  if (!recording) return tl::make_unexpected(recording.error());
  const auto reader = (*recording)->end_after(check.duration, progress);
  if (!reader) return tl::make_unexpected(reader.error());
  return evaluate(*reader, check, station.check_limits);
}

QString found_words(const CheckLine& line) {
  const SheetUnit shown = shown_in(line.unit);
  return number(line.found * shown.factor, line.limit * shown.factor) + shown.unit;
}

QString wanted_words(const CheckLine& line) {
  const SheetUnit shown = shown_in(line.unit);
  const double limit = line.limit * shown.factor;
  if (line.wanted == 0.0)
    return (limit > 0.0 ? QStringLiteral("at most ") + number(limit, limit)
                        : QStringLiteral("none")) +
           (limit > 0.0 ? shown.unit : QString());
  return number(line.wanted * shown.factor, limit) + QStringLiteral(" ± ") + number(limit, limit) +
         shown.unit;
}

}  // namespace moundwork::desk
