// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/words.h"

namespace moundwork::desk {

QString plain_name(std::string_view key) {
  QString name = QString::fromUtf8(key.data(), static_cast<qsizetype>(key.size()));
  if (name.endsWith(QStringLiteral("_bw")))
    name.replace(name.size() - 3, 3, QStringLiteral(" over body weight"));
  name.replace(u'_', u' ');
  name.replace(QStringLiteral("heel toe"), QStringLiteral("heel-to-toe position"));
  if (!name.isEmpty()) name[0] = name[0].toUpper();
  return name;
}

}  // namespace moundwork::desk
