// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QLabel>

namespace moundwork::desk {

/// The label of this window: what it is given is shown letter by letter. A name, a note or a file's
/// own words are never taken for markup, which would draw, load and hide whatever they say.
class WordsLabel : public QLabel {
  Q_OBJECT
 public:
  explicit WordsLabel(QWidget* parent = nullptr) : QLabel(parent) { setTextFormat(Qt::PlainText); }
  explicit WordsLabel(const QString& words, QWidget* parent = nullptr) : WordsLabel(parent) {
    setText(words);
  }
};

}  // namespace moundwork::desk
