// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/event_words.h"

#include <cmath>

#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/definitions/key_name.h"

namespace moundwork::desk {

QString event_label(definitions::Event event) {
  return QString::fromStdString(definitions::event_name(event));
}

QString from_contact_text(double seconds) {
  if (!std::isfinite(seconds)) return QString::fromStdString(sentence("not found"));
  const auto time = "time"_is(plain_text(std::abs(1e3 * seconds), 1));
  return QString::fromStdString(seconds < 0.0 ? sentence("−{time} ms", time)
                                              : sentence("+{time} ms", time));
}

QString from_contact_text(double seconds, double u) {
  if (!std::isfinite(seconds) || !std::isfinite(u)) return from_contact_text(seconds);
  return QString::fromStdString(sentence("{time} ± {u} ms",
                                         "time"_is(signed_text(1e3 * seconds, 1e3 * u)),
                                         "u"_is(number_text(1e3 * u, 1e3 * u))));
}

}  // namespace moundwork::desk
