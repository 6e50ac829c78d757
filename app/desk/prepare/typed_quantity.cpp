// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/typed_quantity.h"

#include <fmt/format.h>

#include <QRegularExpression>
#include <QString>
#include <chrono>
#include <optional>

#include "core/base/wall_time.h"

namespace moundwork::desk {
namespace {

QString simplified(std::string_view text) {
  QString plain = QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size())).simplified();
  // A comma stands for the decimal point only; nobody types thousands of kilograms.
  plain.replace(u',', u'.');
  plain.replace(QStringLiteral("lbs"), QStringLiteral("lb"));
  plain.replace(u'’', u'\'');
  plain.replace(u'”', u'"');
  return plain;
}

}  // namespace

Result<double> typed_quantity(std::string_view text, Dimension dimension, std::string_view unit,
                              std::string_view where) {
  const QString plain = simplified(text);
  if (dimension == Dimension::length) {
    static const QRegularExpression feet(
        QStringLiteral("^(\\d+)\\s*(?:ft|')\\s*(?:(\\d+(?:\\.\\d+)?)\\s*(?:in|\"|'')?)?$"));
    if (const auto match = feet.match(plain); match.hasMatch())
      return match.captured(1).toDouble() * metres_per_foot +
             match.captured(2).toDouble() * metres_per_inch;
  }
  bool bare = false;
  const double number = plain.toDouble(&bare);
  if (bare && !unit.empty())
    return unit_factor(unit, dimension, where).map([&](double f) { return number * f; });
  return parse_quantity(plain.toStdString(), dimension, where);
}

namespace {

struct SlashedDay {
  int first = 0, second = 0, year = 0;
};

std::optional<SlashedDay> slashed(std::string_view text) {
  static const QRegularExpression pattern(
      QStringLiteral("^\\s*(\\d{1,2})\\s*/\\s*(\\d{1,2})\\s*/\\s*(\\d{4})\\s*$"));
  const auto match =
      pattern.match(QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size())));
  if (!match.hasMatch()) return std::nullopt;
  return SlashedDay{match.captured(1).toInt(), match.captured(2).toInt(),
                    match.captured(3).toInt()};
}

std::chrono::year_month_day date_from(int year, int month, int day) {
  return std::chrono::year_month_day{std::chrono::year(year),
                                     std::chrono::month(static_cast<unsigned>(month)),
                                     std::chrono::day(static_cast<unsigned>(day))};
}

constexpr int most_months = 12;

}  // namespace

bool has_slashes(std::string_view text) { return slashed(text).has_value(); }

DayOrder order_of_day(std::string_view text) {
  const auto day = slashed(text);
  if (!day || (day->first > most_months) == (day->second > most_months)) return DayOrder::unsettled;
  return day->second > most_months ? DayOrder::month_first : DayOrder::day_first;
}

Result<std::string> typed_day(std::string_view text, std::string_view where, DayOrder order) {
  const QString plain =
      QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size())).simplified();
  static const QRegularExpression year_first(
      QStringLiteral("^(\\d{4})[-/.](\\d{1,2})[-/.](\\d{1,2})$"));
  static const QRegularExpression day_first(QStringLiteral("^(\\d{1,2})\\.(\\d{1,2})\\.(\\d{4})$"));
  std::chrono::year_month_day day{};
  const auto number = [](const QString& digits) { return digits.toInt(); };
  if (const auto match = year_first.match(plain); match.hasMatch()) {
    day =
        date_from(number(match.captured(1)), number(match.captured(2)), number(match.captured(3)));
  } else if (const auto other = day_first.match(plain); other.hasMatch()) {
    day =
        date_from(number(other.captured(3)), number(other.captured(2)), number(other.captured(1)));
  } else if (const auto found = slashed(text)) {
    // 7/7/2003 is one day in either order.
    if (order == DayOrder::unsettled && found->first == found->second) order = DayOrder::day_first;
    if (order == DayOrder::unsettled) order = order_of_day(text);
    const auto us = date_from(found->year, found->first, found->second);
    const auto other_way = date_from(found->year, found->second, found->first);
    if (order == DayOrder::unsettled && us.ok())
      return fail(std::string(where),
                  fmt::format("'{}' may be {} or {}", text, iso_date(us), iso_date(other_way)),
                  "write the one that is meant");
    day = order == DayOrder::month_first ? us : other_way;
  }
  if (!day.ok())
    return fail(std::string(where), fmt::format("'{}' is not a day", text),
                "write it as YYYY-MM-DD");
  return iso_date(day);
}

}  // namespace moundwork::desk
