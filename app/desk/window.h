// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QMainWindow>
#include <array>
#include <filesystem>
#include <vector>

#include "app/desk/jobs/jobs.h"
#include "app/desk/page/page.h"
#include "app/desk/state/desk_state.h"
#include "core/base/result.h"

class QLabel;
class QStackedWidget;
class QUndoGroup;
class QWidget;

namespace moundwork::desk {

class DayPath;
class EditList;
class Notice;
class ReviewPage;
class ThrowPage;

/// The frame around the pages: the day's path, the page, words about what happened, long work.
class Window : public QMainWindow {
  Q_OBJECT
 public:
  explicit Window(DeskState& state);
  ~Window() override;
  Window(const Window&) = delete;
  Window& operator=(const Window&) = delete;

  void go_to(DayPage page);
  [[nodiscard]] DayPage shown_page() const;
  [[nodiscard]] Page& page(DayPage page) { return *pages_.at(static_cast<std::size_t>(page)); }
  [[nodiscard]] Jobs& jobs() { return jobs_; }
  /// Opens what was open last, once the window stands; says why when that fails. A lab folder that
  /// is gone is asked for: a new one in its place would look like a lab that lost everything.
  void reopen_last();
  /// Opens what the command line names: lab folders and session files, a session in the lab whose
  /// folder it lies in, else in the last one. Shows the page that it is for. Fails, and says so in
  /// the window, with the last lab open as a whole and nothing else.
  Result<void> open_given(const std::vector<std::filesystem::path>& paths);
  /// Opens a lab folder or a session file.
  void open(const std::filesystem::path& path);
  /// Plays invented athletes on virtual instruments, on the page Throw.
  void practise();

 protected:
  void closeEvent(QCloseEvent* event) override;

 private:
  void make_menus();
  void choose_lab();
  void choose_session();
  void ask_for_lab();
  void open_lab(const std::filesystem::path& folder);
  Result<void> open_one_given(const std::filesystem::path& path, bool lab_given);
  void leave_practice();
  void show_practice();
  [[nodiscard]] bool is_busy();
  void show_heading();
  /// Which changes undo and redo act on: the page's own, or the session's edits where the page has
  /// none and they are listed beside it.
  void choose_undo();
  void apply_look();

  DeskState& state_;
  QWidget* practice_band_;
  DayPath* path_;
  QLabel* heading_;
  QLabel* hint_;
  Notice* remark_;
  QStackedWidget* stack_;
  EditList* edits_;
  ReviewPage* review_ = nullptr;
  QUndoGroup* undo_;
  ThrowPage* throws_ = nullptr;
  std::array<Page*, day_page_count> pages_{};
  // Last, so that it is destroyed first: work ends before what it hands its results to.
  Jobs jobs_;
};

}  // namespace moundwork::desk
