// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/page/notice.h"

#include <QStyle>

namespace moundwork::desk {

Notice::Notice(QWidget* parent) : WordsLabel(parent) {
  setWordWrap(true);
  setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
  setFocusPolicy(Qt::NoFocus);
  hide();
}

void Notice::say(const QString& words) { show_words(words, false); }
void Notice::caution(const QString& words) { show_words(words, true); }

void Notice::quiet() {
  clear();
  hide();
}

void Notice::show_words(const QString& words, bool caution) {
  setProperty("caution", caution);
  // Style rules on a property are looked up again only when asked.
  style()->unpolish(this);
  style()->polish(this);
  setText(words);
  setVisible(!words.isEmpty());
}

}  // namespace moundwork::desk
