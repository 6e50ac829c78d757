// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/summaries/summaries_page.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDesktopServices>
#include <QHBoxLayout>
#include <QListWidget>
#include <QPushButton>
#include <QSpinBox>
#include <QUrl>
#include <QVBoxLayout>

#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/summaries/order.h"
#include "app/desk/summaries/page_preview.h"
#include "core/base/sentence.h"

namespace moundwork::desk {
namespace {

// Places in the list of who may stand beside an athlete; the first is what holds unasked.
constexpr int like_age = 1;
constexpr int any_age = 2;

}  // namespace

SummariesPage::SummariesPage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent),
      state_(state),
      jobs_(jobs),
      preview_(new PagePreview(this)),
      scope_(new QComboBox(this)),
      paper_(new QComboBox(this)),
      others_(new QComboBox(this)),
      years_(new QSpinBox(this)),
      pdf_(new QCheckBox(QStringLiteral("Page for paper (P&DF)"), this)),
      html_(new QCheckBox(QStringLiteral("Page for a &browser (HTML)"), this)),
      tables_(new QCheckBox(QStringLiteral("&Tables and traces (CSV, HDF5)"), this)),
      recordings_(new QCheckBox(QStringLiteral("Each throw as &C3D"), this)),
      codes_(new QCheckBox(QStringLiteral("Codes &instead of names and dates of birth"), this)),
      make_(new QPushButton(QStringLiteral("&Make them"), this)),
      made_(new QListWidget(this)),
      remark_(new Notice(this)) {
  lay_out();
  const auto changed = [this] {
    stale_ = true;
    if (isVisible()) draw_preview();
  };
  connect(&state_, &DeskState::session_changed, this, changed);
  connect(&state_, &DeskState::results_changed, this, changed);
  connect(&state_, &DeskState::preferences_changed, this, changed);
  connect(paper_, &QComboBox::currentIndexChanged, this, changed);
  connect(years_, &QSpinBox::valueChanged, this, changed);
  connect(others_, &QComboBox::currentIndexChanged, this, [this, changed] {
    years_->setEnabled(others_->currentIndex() == like_age);
    changed();
  });
  connect(make_, &QPushButton::clicked, this, &SummariesPage::make);
  connect(made_, &QListWidget::itemActivated, this, [](const QListWidgetItem* item) {
    QDesktopServices::openUrl(QUrl::fromLocalFile(item->data(Qt::UserRole).toString()));
  });
}

QString SummariesPage::hint() const {
  if (is_practice(state_.lab().root))
    return QStringLiteral(
        "What an athlete takes home. Files of practice stay in its folder, under summaries.");
  return QStringLiteral(
      "What the athlete takes home. Files go into the lab's folder, under summaries.");
}

void SummariesPage::lay_out() {
  auto* row = new QHBoxLayout(this);
  row->setContentsMargins(12, 4, 12, 8);
  auto* left = new QVBoxLayout;
  auto* scope_label = new WordsLabel(QStringLiteral("&Of which sessions"), this);
  scope_label->setBuddy(scope_);
  scope_->addItems({QStringLiteral("the open session"),
                    QStringLiteral("all of its day, with a cover sheet"),
                    QStringLiteral("all in the lab's folder")});
  auto* paper_label = new WordsLabel(QStringLiteral("Pape&r"), this);
  paper_label->setBuddy(paper_);
  paper_->addItems({QStringLiteral("A4"), QStringLiteral("letter")});
  auto* others_label = new WordsLabel(QStringLiteral("&Others on the page"), this);
  others_label->setBuddy(others_);
  others_->addItems({QStringLiteral("from 18 on, within 2 years of age"),
                     QStringLiteral("of like age, also under 18"),
                     QStringLiteral("of any age, also under 18")});
  others_->setToolTip(
      QStringLiteral("Who is under 18 is not set beside others, nor counts among them, unless it "
                     "is chosen here. Fewer than three others are never shown."));
  years_->setRange(0, 20);
  years_->setValue(summary::usual_years);
  years_->setSuffix(QStringLiteral(" years either way"));
  years_->setAccessibleName(QStringLiteral("Years of age either way"));
  years_->setEnabled(false);
  pdf_->setChecked(true);
  html_->setChecked(true);
  left->addWidget(scope_label);
  left->addWidget(scope_);
  left->addWidget(paper_label);
  left->addWidget(paper_);
  left->addWidget(others_label);
  left->addWidget(others_);
  left->addWidget(years_);
  left->addSpacing(8);
  for (QCheckBox* box : {pdf_, html_, tables_, recordings_, codes_}) left->addWidget(box);
  left->addSpacing(8);
  left->addWidget(make_);
  left->addWidget(remark_);
  auto* made_label = new WordsLabel(QStringLiteral("Fil&es made (Enter opens one)"), this);
  made_label->setBuddy(made_);
  left->addWidget(made_label);
  left->addWidget(made_, 1);
  auto* caution = new WordsLabel(
      QStringLiteral("These files hold health data of people, often of minors: hand them to the "
                     "athlete or guardian, and keep what leaves the lab to what was agreed."),
      this);
  caution->setWordWrap(true);
  caution->setProperty("secondary", true);
  left->addWidget(caution);
  auto* side = new QWidget(this);
  side->setLayout(left);
  left->setContentsMargins(0, 0, 8, 0);
  side->setMaximumWidth(32 * fontMetrics().averageCharWidth() + 120);
  row->addWidget(side, 1);
  row->addWidget(preview_, 3);
}

void SummariesPage::showEvent(QShowEvent* event) {
  Page::showEvent(event);
  if (stale_) draw_preview();
}

summary::Paper SummariesPage::paper() const {
  return paper_->currentIndex() == 0 ? summary::Paper::a4 : summary::Paper::letter;
}

summary::OthersAsked SummariesPage::others() const {
  switch (others_->currentIndex()) {
    case like_age:
      return {.any_age = false, .within = years_->value()};
    case any_age:
      return {.any_age = true, .within = {}};
    default:
      return {};
  }
}

void SummariesPage::draw_preview() {
  stale_ = false;
  remark_->quiet();
  const OpenSession* open = state_.session();
  if (open == nullptr) {
    preview_->show_summary(std::nullopt, paper());
    return remark_->say(
        QString::fromStdString(sentence("Open a session to see its page (Ctrl+O).")));
  }
  if (open->results().made.empty()) {
    preview_->show_summary(std::nullopt, paper());
    return remark_->say(QString::fromStdString(
        sentence("This session has not been measured yet: look at it under Review first.")));
  }
  jobs_.run(
      QStringLiteral("Writing the page"), this,
      [path = open->path(), lab = state_.lab(), speed = state_.preferences().speed,
       others = others()](JobControl& job) {
        return preview_of(path, lab, speed, others,
                          [&](double share) { return job.progress(share); });
      },
      [this, path = open->path()](Result<summary::Summary> summary) {
        if (state_.session() == nullptr || state_.session()->path() != path) return;
        if (!summary) {
          preview_->show_summary(std::nullopt, paper());
          return remark_->report(summary.error());
        }
        preview_->show_summary(std::move(*summary), paper());
      });
}

void SummariesPage::make() {
  SummaryOrder order;
  order.lab = state_.lab();
  if (state_.session() != nullptr) order.session = state_.session()->path();
  order.scope = static_cast<SummaryScope>(scope_->currentIndex());
  order.paper = paper();
  order.speed = state_.preferences().speed;
  order.pdf = pdf_->isChecked();
  order.html = html_->isChecked();
  order.tables = tables_->isChecked();
  order.recordings = recordings_->isChecked();
  order.codes = codes_->isChecked();
  order.others = others();
  if (!order.pdf && !order.html && !order.tables && !order.recordings)
    return remark_->caution(QString::fromStdString(sentence("Choose at least one thing to make.")));
  remark_->quiet();
  make_->setEnabled(false);
  jobs_.run(
      QStringLiteral("Making summaries"), this,
      [order](JobControl& job) {
        return make_ordered(order, [&](double share) { return job.progress(share); });
      },
      [this](const Result<MadeOrder>& made) { tell(made, false); },
      [this](const Result<MadeOrder>& made) { tell(made, true); });
}

void SummariesPage::tell(const Result<MadeOrder>& made, bool stopped) {
  make_->setEnabled(true);
  if (made) list_files(made->files);
  const QString words = QString::fromStdString(order_words(made, stopped));
  const bool whole = made && made->failed.empty() && !made->without_tables && !made->unlisted;
  if (whole || (!made && stopped))
    remark_->say(words);
  else
    remark_->caution(words);
}

void SummariesPage::list_files(const std::vector<std::filesystem::path>& files) {
  made_->clear();
  for (const auto& file : files) {
    auto* item = new QListWidgetItem(QString::fromStdString(file.filename().string()), made_);
    item->setData(Qt::UserRole, QString::fromStdString(file.string()));
    item->setToolTip(QString::fromStdString(file.string()));
  }
}

}  // namespace moundwork::desk
