// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/follow_line.h"

#include <QHBoxLayout>
#include <QPushButton>
#include <QStyle>

#include "app/desk/capture/live_follow.h"
#include "app/desk/look/words_label.h"

namespace moundwork::desk {

FollowLine::FollowLine(QWidget* parent)
    : QWidget(parent),
      words_(new WordsLabel(this)),
      back_(new QPushButton(QStringLiteral("Back to the newest (Esc)"), this)) {
  auto* row = new QHBoxLayout(this);
  row->setContentsMargins(0, 0, 0, 0);
  words_->setWordWrap(true);
  words_->setObjectName(QStringLiteral("following"));
  row->addWidget(words_, 1);
  row->addWidget(back_);
  back_->setFocusPolicy(Qt::TabFocus);
  // Its place is kept, so that nothing moves under the eye.
  QSizePolicy kept = back_->sizePolicy();
  kept.setRetainSizeWhenHidden(true);
  back_->setSizePolicy(kept);
  connect(back_, &QPushButton::clicked, this, &FollowLine::newest_wanted);
  show_following(0, 0);
}

void FollowLine::show_following(int shown, int newest) {
  const bool behind = newest > 0 && shown != newest;
  words_->setProperty("caution", behind);
  words_->setProperty("secondary", !behind);
  words_->style()->unpolish(words_);
  words_->style()->polish(words_);
  words_->setText(follow_words(shown, newest));
  back_->setVisible(behind);
}

}  // namespace moundwork::desk
