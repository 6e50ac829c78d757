// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/throw_tags.h"

#include <QStringList>
#include <algorithm>

#include "core/base/sentence.h"

namespace moundwork::desk {

std::string miss_text(int digit, session::Hand hand) {
  if (digit == 5) return "on target";
  const int row = (digit - 1) / 3;     // 0 low to 2 high
  const int column = (digit - 1) % 3;  // 0 left to 2 right, seen from the mound
  std::string text = row == 0 ? "low" : row == 2 ? "high" : "";
  if (column != 1) {
    const bool right = column == 2;
    const bool arm_side = right == (hand == session::Hand::right);
    if (!text.empty()) text += ", ";
    text += arm_side ? "arm side" : "glove side";
  }
  return text;
}

std::string effort_after(const std::string& effort) {
  const auto now = std::find(effort_texts.begin(), effort_texts.end(), effort);
  if (now == effort_texts.end()) return effort_texts.front();
  return now + 1 == effort_texts.end() ? std::string() : std::string(*(now + 1));
}

session::Edit tag_edit(double contact, const std::string& tag, const std::string& text) {
  session::Edit edit;
  edit.throw_contact = contact;
  edit.action = session::Action::tag;
  edit.target = tag;
  edit.text = text;
  return edit;
}

session::Edit exclude_edit(double contact, const std::string& why) {
  session::Edit edit;
  edit.throw_contact = contact;
  edit.action = session::Action::exclude;
  edit.why = why;
  return edit;
}

session::Edit include_edit(double contact) {
  session::Edit edit;
  edit.throw_contact = contact;
  edit.action = session::Action::include;
  return edit;
}

QString tag_words(const session::EditState& state) {
  QStringList words;
  if (state.excluded)
    words << QString::fromStdString(sentence("left out: {why}", "why"_is(state.excluded->why)));
  for (const auto& [tag, text] : state.tags) {
    const auto text_is = "text"_is(text);
    if (tag == warm_up_tag) {
      if (text == warm_up_text) words << QString::fromStdString(sentence("warm-up"));
      continue;
    }
    const QString said = QString::fromStdString(
        tag == cue_tag                                ? sentence("cue: {text}", text_is)
        : tag == effort_tag                           ? sentence("effort {text}", text_is)
        : tag == delivery_tag && text == stretch_text ? sentence("from the stretch")
        : tag == miss_tag && text != "on target"      ? sentence("missed {text}", text_is)
                                                      : text);
    // What it was comes before how it went.
    if (tag == pitch_tag)
      words.prepend(said);
    else
      words << said;
  }
  return words.join(QStringLiteral("; "));
}

}  // namespace moundwork::desk
