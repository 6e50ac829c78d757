// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>
#include <optional>

#include "app/summary/pdf.h"
#include "core/summary/content.h"

namespace moundwork::desk {

/// The athlete's page as it will be printed: white paper whatever the window's look.
class PagePreview : public QWidget {
  Q_OBJECT
 public:
  explicit PagePreview(QWidget* parent = nullptr);
  void show_summary(std::optional<summary::Summary> summary, summary::Paper paper);
  [[nodiscard]] QSize sizeHint() const override { return {500, 640}; }

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  std::optional<summary::Summary> summary_;
  summary::Paper paper_ = summary::Paper::a4;
};

}  // namespace moundwork::desk
