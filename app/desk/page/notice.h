// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/desk/look/words_label.h"
#include "core/base/result.h"

namespace moundwork::desk {

/// Words beside where something happened: takes no place until it speaks.
class Notice : public WordsLabel {
  Q_OBJECT
 public:
  explicit Notice(QWidget* parent = nullptr);
  void say(const QString& words);      ///< what was done
  void caution(const QString& words);  ///< what needs a look
  void report(const Error& error) { caution(QString::fromStdString(error.sentence())); }
  void quiet();

 private:
  void show_words(const QString& words, bool caution);
};

}  // namespace moundwork::desk
