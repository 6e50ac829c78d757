// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/unfinished_offer.h"

#include <QHBoxLayout>
#include <QPushButton>
#include <utility>

#include "app/desk/look/words_label.h"

namespace moundwork::desk {

UnfinishedOffer::UnfinishedOffer(QWidget* parent) : QWidget(parent), words_(new WordsLabel(this)) {
  auto* row = new QHBoxLayout(this);
  row->setContentsMargins(0, 0, 0, 0);
  words_->setWordWrap(true);
  words_->setProperty("caution", true);
  auto* go_on = new QPushButton(QStringLiteral("&Go on with it"), this);
  auto* close = new QPushButton(QStringLiteral("&Close it as it is"), this);
  row->addWidget(words_, 1);
  row->addWidget(go_on);
  row->addWidget(close);
  connect(go_on, &QPushButton::clicked, this, [this] {
    if (!empty()) Q_EMIT go_on_wanted(take());
  });
  connect(close, &QPushButton::clicked, this, [this] {
    if (!empty()) Q_EMIT close_wanted(take());
  });
}

void UnfinishedOffer::set_files(std::vector<std::filesystem::path> files) {
  files_ = std::move(files);
  if (!files_.empty())
    words_->setText(QStringLiteral("The recording %1 was cut off. What it holds is safe.")
                        .arg(QString::fromStdString(files_.front().filename().string())));
}

std::filesystem::path UnfinishedOffer::take() {
  std::filesystem::path first = std::move(files_.front());
  files_.erase(files_.begin());
  return first;
}

}  // namespace moundwork::desk
