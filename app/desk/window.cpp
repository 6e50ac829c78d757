// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/window.h"

#include <QApplication>
#include <QCloseEvent>
#include <QFileDialog>
#include <QLabel>
#include <QMenuBar>
#include <QMessageBox>
#include <QSplitter>
#include <QStackedWidget>
#include <QUndoGroup>
#include <QVBoxLayout>

#include "app/desk/air_dialog.h"
#include "app/desk/capture/practice.h"
#include "app/desk/capture/throw_page.h"
#include "app/desk/choices.h"
#include "app/desk/day_path.h"
#include "app/desk/edit_list.h"
#include "app/desk/index_dialog.h"
#include "app/desk/jobs_strip.h"
#include "app/desk/page/notice.h"
#include "app/desk/prepare/prepare_page.h"
#include "app/desk/relate/relate_page.h"
#include "app/desk/review/review_page.h"
#include "app/desk/summaries/summaries_page.h"

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

}  // namespace

Window::Window(DeskState& state)
    : state_(state),
      heading_(new QLabel(this)),
      hint_(new QLabel(this)),
      remark_(new Notice(this)),
      stack_(new QStackedWidget(this)),
      edits_(new EditList(state, this)),
      undo_(new QUndoGroup(this)) {
  throws_ = new ThrowPage(state_, jobs_, this);  // here, since it already listens to the jobs
  pages_ = {new PreparePage(state_, jobs_, this), throws_, new ReviewPage(state_, jobs_, this),
            new RelatePage(state_, jobs_, this), new SummariesPage(state_, jobs_, this)};
  QStringList stops;
  for (int i = 0; i < page_count; ++i) {
    Page& shown = page(i);
    stops << shown.title();
    stack_->addWidget(&shown);
    if (shown.undo_stack() != nullptr) undo_->addStack(shown.undo_stack());
    connect(&shown, &Page::hint_changed, this, &Window::show_heading);
    connect(&shown, &Page::wants_page, this, &Window::go_to);
    connect(&shown, &Page::wants_practice, this, &Window::practise);
  }
  path_ = new DayPath(stops, this);
  connect(path_, &DayPath::stop_chosen, this, &Window::go_to);

  auto* middle = new QWidget(this);
  auto* column = new QVBoxLayout(middle);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(0);
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
  connect(&state_, &DeskState::lab_changed, this, &Window::show_heading);
  connect(&state_, &DeskState::athlete_changed, this, &Window::show_heading);
  connect(&state_, &DeskState::preferences_changed, this, &Window::apply_look);

  setWindowTitle(QStringLiteral("Moundwork"));
  const QSettings kept = settings_file();
  if (!restoreGeometry(kept.value(QStringLiteral("window/geometry")).toByteArray()))
    resize(1280, 720);
  go_to(state_.preferences().last_page);
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
  for (int i = 0; i < page_count; ++i)
    day->addAction(page(i).title(), QKeySequence(QStringLiteral("Ctrl+%1").arg(i + 1)), this,
                   [this, i] { go_to(i); });

  day->addSeparator();
  day->addAction(QStringLiteral("&Air of the day…"), QKeySequence(QStringLiteral("Ctrl+Shift+A")),
                 this, [this] {
                   if (auto kept = ask_air(state_.lab(), this); !kept)
                     remark_->report(kept.error());
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
                       "\n\nTwo force plates and a radar on one clock, for people who assess "
                       "pitchers.\nGPL-3.0-or-later. No warranty. Not a medical device."));
  });
}

void Window::go_to(int page_index) {
  stack_->setCurrentIndex(page_index);
  path_->go_to(page_index);
  undo_->setActiveStack(page(page_index).undo_stack());
  auto preferences = state_.preferences();
  if (preferences.last_page != page_index) {
    preferences.last_page = page_index;
    state_.set_preferences(preferences);
  }
  show_heading();
}

int Window::shown_page() const { return stack_->currentIndex(); }

void Window::show_heading() {
  QString words = text_of(state_.lab().root.filename());
  if (const OpenSession* open = state_.session()) {
    const session::Athlete& athlete = open->session().athlete;
    words = QString::fromStdString(athlete.name.empty() ? athlete.id : athlete.name) +
            QStringLiteral(", ") + QString::fromStdString(open->session().started).left(10);
  } else if (const RosterAthlete* athlete = state_.athlete()) {
    words = QString::fromStdString(athlete->name.empty() ? athlete->id : athlete->name);
  }
  heading_->setText(words);
  hint_->setText(page(shown_page()).hint());
}

void Window::apply_look() {
  if (auto* application = qobject_cast<QApplication*>(QCoreApplication::instance()))
    apply_look(*application, state_.look());
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
  go_to(1);
  remark_->quiet();
  throws_->practise();
}

void Window::leave_practice() { open(Practice::lab_of(state_.lab().root)); }

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

void Window::reopen_last() {
  // The first start finds no folder and makes it.
  if (const auto opened = state_.open_lab(state_.preferences().lab); !opened)
    remark_->report(opened.error());
  const auto last = state_.preferences().last_session;
  if (!last.empty() && std::filesystem::exists(last)) open(last);
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
  if (state_.session() != nullptr) go_to(2);
}

void Window::closeEvent(QCloseEvent* event) {
  if (is_busy()) {
    event->ignore();
    return;
  }
  QSettings kept = settings_file();
  kept.setValue(QStringLiteral("window/geometry"), saveGeometry());
  event->accept();
}

}  // namespace moundwork::desk
