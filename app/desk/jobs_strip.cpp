// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/jobs_strip.h"

#include <QHBoxLayout>
#include <QProgressBar>
#include <QPushButton>
#include <QVBoxLayout>

#include "app/desk/look/words_label.h"

namespace moundwork::desk {
namespace {
constexpr int show_after_ms = 400;
}  // namespace

JobsStrip::JobsStrip(Jobs& jobs, QWidget* parent)
    : QWidget(parent), jobs_(jobs), lines_(new QVBoxLayout(this)) {
  lines_->setContentsMargins(12, 2, 12, 2);
  lines_->setSpacing(2);
  timer_.setInterval(100);
  connect(&timer_, &QTimer::timeout, this, &JobsStrip::show_progress);
  connect(&jobs_, &Jobs::changed, this, &JobsStrip::rebuild);
  rebuild();
}

void JobsStrip::rebuild() {
  while (QLayoutItem* item = lines_->takeAt(0)) {
    item->widget()->deleteLater();
    delete item;
  }
  for (const Job& job : jobs_.running()) {
    auto* line = new QWidget(this);
    auto* row = new QHBoxLayout(line);
    row->setContentsMargins(0, 0, 0, 0);
    row->addWidget(new WordsLabel(job.title, line));
    auto* bar = new QProgressBar(line);
    bar->setRange(0, 1000);
    bar->setMaximumHeight(14);
    bar->setAccessibleName(job.title);
    row->addWidget(bar, 1);
    auto* stop = new QPushButton(QStringLiteral("Stop"), line);
    stop->setAccessibleName(QStringLiteral("Stop: ") + job.title);
    connect(stop, &QPushButton::clicked, this, [control = job.control] { control->cancel(); });
    row->addWidget(stop);
    lines_->addWidget(line);
  }
  // Work that is over at once would only make the page jump.
  if (jobs_.running().empty()) {
    timer_.stop();
    hide();
  } else if (!timer_.isActive()) {
    busy_.start();
    timer_.start();
  }
}

void JobsStrip::show_progress() {
  if (busy_.elapsed() > show_after_ms) show();
  int index = 0;
  for (const Job& job : jobs_.running()) {
    if (const QLayoutItem* item = lines_->itemAt(index++))
      if (auto* bar = item->widget()->findChild<QProgressBar*>())
        bar->setValue(static_cast<int>(1000.0 * job.control->share()));
  }
}

}  // namespace moundwork::desk
