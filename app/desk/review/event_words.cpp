// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/event_words.h"

#include <cmath>

namespace moundwork::desk {

QString event_name(definitions::Event event) {
  const std::string_view key = definitions::entry(event).key;
  return QString::fromUtf8(key.data(), static_cast<qsizetype>(key.size())).replace(u'_', u' ');
}

QString from_contact_text(double seconds) {
  if (!std::isfinite(seconds)) return QStringLiteral("not found");
  return (seconds < 0.0 ? QStringLiteral("−") : QStringLiteral("+")) +
         QString::number(std::abs(1e3 * seconds), 'f', 1) + QStringLiteral(" ms");
}

QString from_contact_text(double seconds, double u) {
  if (!std::isfinite(seconds) || !std::isfinite(u)) return from_contact_text(seconds);
  return (seconds < 0.0 ? QStringLiteral("−") : QStringLiteral("+")) +
         QString::number(std::abs(1e3 * seconds), 'f', 1) + QStringLiteral(" ± ") +
         QString::number(1e3 * u, 'f', 1) + QStringLiteral(" ms");
}

}  // namespace moundwork::desk
