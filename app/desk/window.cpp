// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/window.h"

#include <QApplication>
#include <QCloseEvent>
#include <QFileDialog>
#include <QFrame>
#include <QMenuBar>
#include <QMessageBox>
#include <QPushButton>
#include <QSplitter>
#include <QStackedWidget>
#include <QUndoGroup>
#include <QVBoxLayout>
#include <optional>

#include "app/desk/air_dialog.h"
#include "app/desk/capture/practice.h"
#include "app/desk/capture/throw_page.h"
#include "app/desk/choices.h"
#include "app/desk/day_path.h"
#include "app/desk/edit_list.h"
#include "app/desk/index_dialog.h"
#include "app/desk/jobs_strip.h"
#include "app/desk/look/plain_tips.h"
#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/prepare/prepare_page.h"
#include "app/desk/relate/relate_page.h"
#include "app/desk/review/review_page.h"
#include "app/desk/summaries/summaries_page.h"
#include "core/base/lab_file.h"
#include "core/session/start.h"

namespace moundwork::desk {
namespace {

QString text_of(const std::filesystem::path& path) { return QString::fromStdString(path.string()); }

std::filesystem::path path_of(const QString& text) { return text.toStdString(); }

constexpr const char* cautions =
    "<p><b>Before anyone throws</b></p><ul>"
    "<li>Throwing hard loads the arm. Warm up first; pain, numbness or unusual tiredness: stop and "
    "see a qualified clinician.</li>"
    "<li>Young arms need limits and rest days, and warm-up and test throws load the arm too. "
    "Follow the rules that hold where you are; the guardian's and the athlete's consent come "
    "first.</li>"
    "<li>Plates flush with their surroundings, tops that do not slip, no cable in the stride or "
    "the follow-through, catcher and net clear, a rated load above the landing of your heaviest "
    "athlete.</li>"
    "<li>The numbers describe these throws. What goes together is an association, not an "
    "instruction to push harder. A change of technique is for a coach or clinician to judge.</li>"
    "<li>No medical device: it does not diagnose and does not tell the risk of injury.</li></ul>";

/// The lab in whose folder, or in whose folder of sessions, a session lies.
std::optional<std::filesystem::path> lab_around(const std::filesystem::path& session) {
  std::error_code error;
  const auto folder = std::filesystem::absolute(session, error).lexically_normal().parent_path();
  const auto home = lab_home_of(folder);
  if (!home || (*home != folder && *home != folder.parent_path())) return std::nullopt;
  return home;
}

}  // namespace

Window::Window(DeskState& state)
    : state_(state),
      practice_band_(new QFrame(this)),
      heading_(new WordsLabel(this)),
      hint_(new WordsLabel(this)),
      remark_(new Notice(this)),
      stack_(new QStackedWidget(this)),
      edits_(new EditList(state, this)),
      undo_(new QUndoGroup(this)) {
  QCoreApplication::instance()->installEventFilter(new PlainTips(this));
  throws_ = new ThrowPage(state_, jobs_, this);  // here, since it already listens to the jobs
  review_ = new ReviewPage(state_, jobs_, this);
  pages_ = {new PreparePage(state_, jobs_, this), throws_, review_,
            new RelatePage(state_, jobs_, this), new SummariesPage(state_, jobs_, this)};
  QStringList stops;
  for (Page* one : pages_) {
    Page& shown = *one;
    stops << shown.title();
    stack_->addWidget(&shown);
    if (shown.undo_stack() != nullptr) undo_->addStack(shown.undo_stack());
    connect(&shown, &Page::hint_changed, this, &Window::show_heading);
    connect(&shown, &Page::wants_page, this, &Window::go_to);
    connect(&shown, &Page::wants_practice, this, &Window::practise);
  }
  path_ = new DayPath(stops, this);
  connect(path_, &DayPath::stop_chosen, this,
          [this](int stop) { go_to(static_cast<DayPage>(stop)); });

  practice_band_->setObjectName(QStringLiteral("practice_band"));
  auto* band = new QHBoxLayout(practice_band_);
  band->setContentsMargins(14, 4, 14, 4);
  auto* practice = new WordsLabel(
      QStringLiteral("Practice: everyone here is invented and nothing belongs to the lab."),
      practice_band_);
  auto* leave = new QPushButton(QStringLiteral("Leave practice"), practice_band_);
  connect(leave, &QPushButton::clicked, this, &Window::leave_practice);
  band->addWidget(practice, 1);
  band->addWidget(leave);

  auto* middle = new QWidget(this);
  auto* column = new QVBoxLayout(middle);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(0);
  column->addWidget(practice_band_);
  column->addWidget(path_);
  auto* words = new QHBoxLayout;
  words->setContentsMargins(14, 4, 14, 4);
  QFont strong = heading_->font();
  strong.setBold(true);
  heading_->setFont(strong);
  hint_->setProperty("secondary", true);
  words->addWidget(heading_);
  words->addSpacing(16);
  words->addWidget(hint_, 1);
  column->addLayout(words);
  remark_->setContentsMargins(14, 2, 14, 2);
  column->addWidget(remark_);
  auto* split = new QSplitter(Qt::Horizontal, middle);
  split->addWidget(stack_);
  split->addWidget(edits_);
  split->setStretchFactor(0, 3);
  split->setStretchFactor(1, 1);
  split->setChildrenCollapsible(false);
  edits_->hide();
  column->addWidget(split, 1);
  column->addWidget(new JobsStrip(jobs_, middle));
  setCentralWidget(middle);
  make_menus();

  connect(&state_, &DeskState::session_changed, this, &Window::show_heading);
  connect(&state_, &DeskState::edits_changed, this, &Window::show_heading);
  connect(&state_, &DeskState::session_told, remark_, &Notice::say);
  connect(&state_, &DeskState::lab_changed, this, &Window::show_heading);
  connect(&state_, &DeskState::lab_changed, this, &Window::show_practice);
  connect(&state_, &DeskState::athlete_changed, this, &Window::show_heading);
  connect(&state_, &DeskState::preferences_changed, this, &Window::apply_look);
  connect(edits_, &EditList::shown_or_hidden, this, &Window::choose_undo);

  setWindowTitle(QStringLiteral("Moundwork"));
  const QSettings kept = settings_file();
  if (!restoreGeometry(kept.value(QStringLiteral("window/geometry")).toByteArray()))
    resize(1280, 720);
  show_practice();
  go_to(state_.preferences().last_page);
}

// Pages go only after all that makes this a Window has gone: what they say while they do must not
// reach it.
Window::~Window() {
  state_.disconnect(this);
  for (QObject* child : findChildren<QObject*>()) child->disconnect(this);
}

void Window::make_menus() {
  QMenu* lab = menuBar()->addMenu(QStringLiteral("&Lab"));
  lab->addAction(QStringLiteral("&Open lab folder…"), QKeySequence(QStringLiteral("Ctrl+Shift+O")),
                 this, &Window::choose_lab);
  lab->addAction(QStringLiteral("Open &session…"), QKeySequence::Open, this,
                 &Window::choose_session);
  lab->addSeparator();
  lab->addAction(QStringLiteral("&Practise with virtual instruments"),
                 QKeySequence(QStringLiteral("Ctrl+Shift+P")), this, &Window::practise);
  QAction* leave = lab->addAction(QStringLiteral("&Leave practice"), this, &Window::leave_practice);
  const auto show_leave = [this, leave] { leave->setEnabled(is_practice(state_.lab().root)); };
  connect(&state_, &DeskState::lab_changed, leave, show_leave);
  show_leave();
  lab->addSeparator();
  lab->addAction(QStringLiteral("The lab's &index…"), this,
                 [this] { ask_index(state_, jobs_, *remark_, this); });
  lab->addSeparator();
  lab->addAction(QStringLiteral("&Quit"), QKeySequence(QStringLiteral("Ctrl+Q")), this,
                 &QWidget::close);

  QMenu* day = menuBar()->addMenu(QStringLiteral("&Day"));
  for (int i = 0; i < day_page_count; ++i) {
    const auto at = static_cast<DayPage>(i);
    day->addAction(page(at).title(), QKeySequence(QStringLiteral("Ctrl+%1").arg(i + 1)), this,
                   [this, at] { go_to(at); });
  }

  day->addSeparator();
  day->addAction(QStringLiteral("&Air of the day…"), QKeySequence(QStringLiteral("Ctrl+Shift+A")),
                 this, [this] {
                   if (auto kept = ask_air(state_, this); !kept) remark_->report(kept.error());
                 });

  QMenu* edit = menuBar()->addMenu(QStringLiteral("&Edit"));
  QAction* undo = undo_->createUndoAction(this);
  undo->setShortcut(QKeySequence::Undo);
  QAction* redo = undo_->createRedoAction(this);
  redo->setShortcut(QKeySequence::Redo);
  edit->addActions({undo, redo});
  edit->addSeparator();
  QAction* list = edit->addAction(QStringLiteral("Show the session's &edits"));
  list->setCheckable(true);
  list->setShortcut(QKeySequence(QStringLiteral("Ctrl+E")));
  connect(list, &QAction::toggled, edits_, &QWidget::setVisible);
  edit->addAction(QStringLiteral("Correct the session's &facts…"), this, [this] {
    go_to(DayPage::review);
    review_->correct_facts();
  });

  make_choices_menu(*menuBar(), state_, this);

  QMenu* help = menuBar()->addMenu(QStringLiteral("&Help"));
  help->addAction(QStringLiteral("&Before anyone throws"), this, [this] {
    QMessageBox::information(this, QStringLiteral("Before anyone throws"),
                             QString::fromUtf8(cautions));
  });
  help->addAction(QStringLiteral("&About"), this, [this] {
    QMessageBox::about(
        this, QStringLiteral("Moundwork"),
        QStringLiteral("Moundwork " MOUNDWORK_VERSION
                       "\n\nForce plates and a radar on one clock, for people who assess "
                       "pitchers.\nGPL-3.0-or-later. No warranty. Not a medical device."));
  });
}

void Window::go_to(DayPage wanted) {
  // Only the page that is seen says how narrow it may be: there must be room for the edits beside.
  for (Page* one : pages_)
    one->setSizePolicy(one == &page(wanted) ? QSizePolicy::Preferred : QSizePolicy::Ignored,
                       QSizePolicy::Preferred);
  stack_->setCurrentIndex(static_cast<int>(wanted));
  path_->go_to(static_cast<int>(wanted));
  choose_undo();
  auto preferences = state_.preferences();
  if (preferences.last_page != wanted) {
    preferences.last_page = wanted;
    state_.set_preferences(preferences);
  }
  show_heading();
}

void Window::choose_undo() {
  QUndoStack* own = page(shown_page()).undo_stack();
  const bool listed = edits_->isVisible();
  undo_->setActiveStack(own == nullptr && listed ? review_->undo_stack() : own);
  const bool of_session =
      own == nullptr || own == review_->undo_stack() || own == page(DayPage::throws).undo_stack();
  edits_->say_undo(of_session ? QString()
                              : QStringLiteral("On this page Undo and Redo are for the roster and "
                                               "the station. Session edits: go to Review."));
}

DayPage Window::shown_page() const { return static_cast<DayPage>(stack_->currentIndex()); }

void Window::show_heading() {
  QString words = text_of(state_.lab().root.filename());
  if (const OpenSession* open = state_.session()) {
    const session::Athlete& athlete = open->session().athlete;
    const std::string who = athlete.name.empty() ? athlete.id : athlete.name;
    words = (who.empty() ? QStringLiteral("Athlete without a name") : QString::fromStdString(who)) +
            QStringLiteral(", ") + QString::fromStdString(session::day_of(open->session()));
  } else if (const RosterAthlete* athlete = state_.athlete()) {
    words = QString::fromStdString(athlete->name.empty() ? athlete->id : athlete->name);
  }
  heading_->setText(words);
  hint_->setText(page(shown_page()).hint());
}

void Window::apply_look() {
  if (auto* application = qobject_cast<QApplication*>(QCoreApplication::instance()))
    desk::apply_look(*application, state_.look());
}

bool Window::is_busy() {
  for (const Page* shown : pages_)
    if (const QString busy = shown->busy_with(); !busy.isEmpty()) {
      remark_->caution(busy);
      return true;
    }
  return false;
}

void Window::practise() {
  go_to(DayPage::throws);
  remark_->quiet();
  throws_->practise();
}

void Window::leave_practice() { open(Practice::lab_of(state_.lab().root)); }

void Window::show_practice() { practice_band_->setVisible(is_practice(state_.lab().root)); }

void Window::open(const std::filesystem::path& path) {
  // A recording keeps its lab and its session.
  if (is_busy()) return;
  const Result<void> opened =
      std::filesystem::is_directory(path) ? state_.open_lab(path) : state_.open_session(path);
  if (opened)
    remark_->quiet();
  else
    remark_->report(opened.error());
}

Result<void> Window::open_given(const std::vector<std::filesystem::path>& paths) {
  std::error_code status;
  for (const auto& path : paths)
    if (!std::filesystem::exists(path, status)) {
      reopen_last();
      const Failure missing =
          fail(path.string(), "is not there, neither as a lab's folder nor as a session's file",
               state_.lab_is_open() ? "what was open last is shown instead"
                                    : "look at how it is written");
      remark_->report(missing.value());
      return missing;
    }
  bool lab_given = false;
  for (const auto& path : paths) {
    const auto opened = open_one_given(path, lab_given);
    if (!opened) {
      if (!state_.lab_is_open()) reopen_last();
      remark_->report(opened.error());
      return opened;
    }
    lab_given = lab_given || std::filesystem::is_directory(path, status);
  }
  return {};
}

Result<void> Window::open_one_given(const std::filesystem::path& path, bool lab_given) {
  std::error_code status;
  if (std::filesystem::is_directory(path, status)) {
    if (auto opened = state_.open_lab(path); !opened) return opened;
    if (state_.roster().empty() && count_session_files(state_.lab()) == 0) go_to(DayPage::prepare);
    return {};
  }
  const auto lab = lab_given ? std::nullopt : lab_around(path);
  const auto& last = state_.preferences().lab;
  if (lab) {
    if (auto opened = state_.open_lab(*lab); !opened) return opened;
  } else if (!state_.lab_is_open() && std::filesystem::is_directory(last, status)) {
    if (auto opened = state_.open_lab(last); !opened) return opened;
  }
  if (auto opened = state_.open_session(path); !opened) return opened;
  go_to(DayPage::review);
  return {};
}

void Window::reopen_last() {
  const std::filesystem::path lab = state_.preferences().lab;
  const std::filesystem::path last = state_.preferences().last_session;
  std::error_code error;
  const bool there = lab.is_absolute() && std::filesystem::is_directory(lab, error);
  // The very first start finds no folder and makes it.
  if (!there && knows_a_lab()) return ask_for_lab();
  if (const auto opened = state_.open_lab(lab); !opened) return remark_->report(opened.error());
  // A session of practice stays in practice.
  if (!last.empty() && is_practice_session(last) == is_practice(state_.lab().root) &&
      std::filesystem::exists(last, error))
    open(last);
}

void Window::ask_for_lab() {
  const std::filesystem::path lab = state_.preferences().lab;
  remark_->caution(QStringLiteral("The lab's folder %1 is not there. Choose it by Lab, Open lab "
                                  "folder (Ctrl+Shift+O).")
                       .arg(text_of(lab)));
  if (!state_.keeps_choices()) return;  // nobody is there to answer
  auto* asked = new QMessageBox(QMessageBox::Question, QStringLiteral("Where is the lab?"), {},
                                QMessageBox::Cancel, this);
  asked->setAttribute(Qt::WA_DeleteOnClose);
  asked->setTextFormat(Qt::PlainText);
  asked->setText(QStringLiteral("The lab's folder is not there:\n%1\n\nIs its disk connected? "
                                "Nothing is made in its place unless you say so.")
                     .arg(text_of(lab)));
  QPushButton* choose =
      asked->addButton(QStringLiteral("&Choose its folder…"), QMessageBox::AcceptRole);
  // A relative folder of an earlier version is anywhere.
  QPushButton* make = lab.is_absolute()
                          ? asked->addButton(QStringLiteral("&Make an empty lab there"),
                                             QMessageBox::DestructiveRole)
                          : nullptr;
  asked->setDefaultButton(choose);
  connect(asked, &QMessageBox::buttonClicked, this, [=, this](const QAbstractButton* button) {
    if (button == choose)
      choose_lab();
    else if (button == make && make != nullptr)
      open_lab(lab);
  });
  asked->open();
}

void Window::open_lab(const std::filesystem::path& folder) {
  if (const auto opened = state_.open_lab(folder); !opened)
    remark_->report(opened.error());
  else
    remark_->quiet();
}

void Window::choose_lab() {
  const QString folder = QFileDialog::getExistingDirectory(this, QStringLiteral("The lab's folder"),
                                                           text_of(state_.lab().root));
  if (!folder.isEmpty()) open(path_of(folder));
}

void Window::choose_session() {
  const QString file = QFileDialog::getOpenFileName(this, QStringLiteral("A session"),
                                                    text_of(state_.lab().sessions()),
                                                    QStringLiteral("Sessions (*.h5)"));
  if (file.isEmpty()) return;
  open(path_of(file));
  if (state_.session() != nullptr) go_to(DayPage::review);
}

void Window::closeEvent(QCloseEvent* event) {
  if (is_busy()) {
    event->ignore();
    return;
  }
  if (state_.keeps_choices()) {
    QSettings kept = settings_file();
    kept.setValue(QStringLiteral("window/geometry"), saveGeometry());
  }
  event->accept();
}

}  // namespace moundwork::desk
