// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/words.h"

#include "core/definitions/quantity_names.h"

namespace moundwork::desk {

QString plain_name(std::string_view key) {
  const auto quantity = definitions::find_quantity(key);
  QString name =
      quantity
          ? QString::fromStdString(definitions::quantity_name(*quantity))
          : QString::fromUtf8(key.data(), static_cast<qsizetype>(key.size())).replace(u'_', u' ');
  if (!name.isEmpty()) name[0] = name[0].toUpper();
  return name;
}

}  // namespace moundwork::desk
