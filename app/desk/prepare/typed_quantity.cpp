// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/typed_quantity.h"

#include <fmt/format.h>

#include <QRegularExpression>
#include <QString>
#include <chrono>

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

Result<std::string> typed_day(std::string_view text, std::string_view where) {
  const QString plain =
      QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size())).simplified();
  static const QRegularExpression year_first(
      QStringLiteral("^(\\d{4})[-/.](\\d{1,2})[-/.](\\d{1,2})$"));
  static const QRegularExpression day_first(QStringLiteral("^(\\d{1,2})\\.(\\d{1,2})\\.(\\d{4})$"));
  std::chrono::year_month_day day{};
  const auto number = [](const QString& digits) { return digits.toInt(); };
  const auto date = [&](const QString& year, const QString& month, const QString& of_month) {
    return std::chrono::year_month_day{std::chrono::year(number(year)),
                                       std::chrono::month(static_cast<unsigned>(number(month))),
                                       std::chrono::day(static_cast<unsigned>(number(of_month)))};
  };
  if (const auto match = year_first.match(plain); match.hasMatch())
    day = date(match.captured(1), match.captured(2), match.captured(3));
  else if (const auto other = day_first.match(plain); other.hasMatch())
    day = date(other.captured(3), other.captured(2), other.captured(1));
  if (!day.ok())
    return fail(std::string(where), fmt::format("'{}' is not a day", text),
                "write it as YYYY-MM-DD");
  return iso_date(day);
}

}  // namespace moundwork::desk
