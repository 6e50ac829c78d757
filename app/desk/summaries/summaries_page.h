// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <vector>

#include "app/desk/jobs/jobs.h"
#include "app/desk/page/page.h"
#include "app/desk/state/desk_state.h"
#include "app/summary/job.h"

class QCheckBox;
class QComboBox;
class QListWidget;
class QPushButton;
class QSpinBox;

namespace moundwork::desk {

class PagePreview;
class Notice;
struct MadeOrder;

/// What leaves the desk: the athlete's page, the day's pages with a cover sheet, tables.
class SummariesPage : public Page {
  Q_OBJECT
 public:
  SummariesPage(DeskState& state, Jobs& jobs, QWidget* parent = nullptr);
  [[nodiscard]] QString title() const override { return QStringLiteral("Summaries"); }
  [[nodiscard]] QString hint() const override;

 protected:
  void showEvent(QShowEvent* event) override;

 private:
  void lay_out();
  void draw_preview();
  void make();
  void list_files(const std::vector<std::filesystem::path>& files);
  void tell(const Result<MadeOrder>& made, bool stopped);
  [[nodiscard]] summary::Paper paper() const;
  [[nodiscard]] summary::OthersAsked others() const;

  DeskState& state_;
  Jobs& jobs_;
  PagePreview* preview_;
  QComboBox* scope_;
  QComboBox* paper_;
  QComboBox* others_;
  QSpinBox* years_;
  QCheckBox* pdf_;
  QCheckBox* html_;
  QCheckBox* tables_;
  QCheckBox* recordings_;
  QCheckBox* codes_;
  QPushButton* make_;
  QListWidget* made_;
  Notice* remark_;
  bool stale_ = true;
};

}  // namespace moundwork::desk
