// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/words.h"

#include "core/definitions/key_name.h"

namespace moundwork::desk {

QString plain_name(std::string_view key) {
  QString name = QString::fromStdString(definitions::key_name(key));
  if (!name.isEmpty()) name[0] = name[0].toUpper();
  return name;
}

}  // namespace moundwork::desk
