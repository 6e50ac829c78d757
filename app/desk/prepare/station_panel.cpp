// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/station_panel.h"

#include <QFontDatabase>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QSplitter>
#include <QTabWidget>
#include <QUndoStack>
#include <QVBoxLayout>
#include <optional>
#include <utility>

#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/plot/station_drawing.h"
#include "app/desk/prepare/station_fields.h"
#include "app/desk/prepare/station_text.h"
#include "app/desk/prepare/text_steps.h"
#include "core/base/sentence.h"
#include "drivers/transport/serial.h"

namespace moundwork::desk {
namespace {

constexpr int typing_rests_ms = 200;
constexpr int follow_ms = 2000;

}  // namespace

StationPanel::StationPanel(DeskState& state, Jobs& jobs, QUndoStack& stack, QWidget* parent)
    : QWidget(parent),
      state_(state),
      jobs_(jobs),
      stack_(stack),
      fields_(new StationFields(this)),
      text_(new QPlainTextEdit(this)),
      steps_(new TextSteps(*text_, stack, QStringLiteral("station"))),
      drawing_(new StationDrawing(state.look(), this)),
      tabs_(new QTabWidget(this)),
      remark_(new Notice(this)),
      saved_(new WordsLabel(this)),
      save_(new QPushButton(QStringLiteral("Sa&ve station"), this)),
      begin_(new QPushButton(QStringLiteral("Begin with an e&xample"), this)),
      swap_(new QPushButton(QStringLiteral("Swap back and lead"), this)) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  auto* split = new QSplitter(Qt::Horizontal, this);
  split->setChildrenCollapsible(false);
  text_->setFont(QFontDatabase::systemFont(QFontDatabase::FixedFont));
  text_->setLineWrapMode(QPlainTextEdit::NoWrap);
  text_->setTabChangesFocus(true);
  text_->setAccessibleName(QStringLiteral("Text of the station file"));
  text_->setPlaceholderText(QStringLiteral("No station file yet."));
  tabs_->addTab(fields_, QStringLiteral("&Measures"));
  tabs_->addTab(text_, QStringLiteral("&File text"));
  split->addWidget(tabs_);
  split->addWidget(drawing_);
  split->setStretchFactor(0, 2);
  split->setStretchFactor(1, 3);
  column->addWidget(split, 1);
  column->addWidget(remark_);
  auto* row = new QHBoxLayout;
  for (QPushButton* button : {save_, swap_, begin_}) row->addWidget(button);
  row->addWidget(saved_, 1);
  column->addLayout(row);
  save_->setShortcut(QKeySequence::Save);
  save_->setToolTip(QStringLiteral("Ctrl+S"));

  typing_.setSingleShot(true);
  typing_.setInterval(typing_rests_ms);
  connect(&typing_, &QTimer::timeout, this, &StationPanel::read_text);
  connect(text_, &QPlainTextEdit::textChanged, &typing_, qOverload<>(&QTimer::start));
  connect(fields_, &StationFields::number_typed, this,
          [this](FormColumn c, FormRow r, double value, int plate) {
            read_text();
            if (const auto* station = draft_.station())
              take(with_form_number(draft_.text(), *station, c, r, value, plate));
          });
  connect(fields_, &StationFields::port_typed, this,
          [this](FormColumn c, const QString& line, int plate) {
            const auto* station = draft_.station();
            if (station == nullptr || form_port(*station, c, plate) == line.toStdString()) return;
            take(with_form_port(draft_.text(), *station, c, line.toStdString(), plate));
          });
  connect(fields_, &StationFields::plate_chosen, this, &StationPanel::show_draft);
  connect(swap_, &QPushButton::clicked, this, [this] {
    if (const auto* station = draft_.station()) take(with_roles_swapped(draft_.text(), *station));
  });
  connect(save_, &QPushButton::clicked, this, &StationPanel::save);
  connect(begin_, &QPushButton::clicked, this, &StationPanel::begin_new);
  connect(&state_, &DeskState::lab_changed, this, &StationPanel::load);
  connect(&state_, &DeskState::preferences_changed, drawing_,
          [this] { drawing_->set_look(state_.look()); });
  follow_.setInterval(follow_ms);
  // While something is being written here, its saving finds out.
  connect(&follow_, &QTimer::timeout, this, [this] {
    if (isVisible() && draft_.saved() && draft_.changed_by_others()) take_from_disk();
  });
  follow_.start();
  load();
}

void StationPanel::showEvent(QShowEvent* event) {
  QWidget::showEvent(event);
  if (draft_.saved() && draft_.changed_by_others()) take_from_disk();
  look_for_ports();
}

void StationPanel::load() {
  StationDraft fresh;
  const auto loaded = fresh.load(state_.lab().station());
  const bool same_lab = draft_.path() == fresh.path();
  // The lab's other files change too: what is being written here, and its steps back, stay.
  if (same_lab && (!draft_.saved() || draft_.text() == fresh.text())) return;
  show_fresh(std::move(fresh), loaded);
}

void StationPanel::take_from_disk() {
  StationDraft fresh;
  const auto loaded = fresh.load(draft_.path());
  show_fresh(std::move(fresh), loaded);
}

void StationPanel::show_fresh(StationDraft fresh, const Result<void>& loaded) {
  std::optional<Result<std::filesystem::path>> aside;
  if (!draft_.saved()) aside = draft_.put_aside();
  draft_ = std::move(fresh);
  text_->setPlainText(QString::fromStdString(draft_.text()));
  typing_.stop();
  stack_.clear();
  show_draft();
  if (!loaded)
    remark_->report(loaded.error());
  else if (aside && !*aside)
    remark_->report(aside->error());
  else if (aside)
    remark_->caution(QStringLiteral("The station that was not saved is kept in %1.")
                         .arg(QString::fromStdString((*aside)->string())));
}

void StationPanel::begin_new() {
  steps_->replace(QString::fromStdString(new_station_text()));
  read_text();
  tabs_->setCurrentIndex(0);
  if (!draft_.fault())
    remark_->say(
        QStringLiteral("An example to begin with: put your own measures, ports and calibration "
                       "in their places, then save. The file's text says what is to be measured."));
}

void StationPanel::look_for_ports() {
  jobs_.run(
      QStringLiteral("Looking for serial ports"), this,
      [](JobControl&) { return drivers::list_serial_ports(); },
      [this](const Result<std::vector<drivers::SerialPortEntry>>& found) {
        QStringList names;
        if (found)
          for (const drivers::SerialPortEntry& port : *found) {
            // By its USB identity where it has one: names change with the order of plugging in.
            drivers::SerialSettings settings;
            settings.usb = port.usb;
            if (!port.usb.vendor) settings.name = port.name;
            names << QString::fromStdString(port_line(settings));
          }
        fields_->offer_ports(names);
      });
}

void StationPanel::read_text() {
  typing_.stop();
  draft_.set_text(text_->toPlainText().toStdString());
  show_draft();
}

void StationPanel::take(const Result<std::string>& text) {
  if (!text) return remark_->report(text.error());
  steps_->replace(QString::fromStdString(*text));
  read_text();
}

void StationPanel::show_draft() {
  const bool readable = !draft_.fault() && !draft_.empty();
  fields_->show_station(readable ? draft_.station() : nullptr);
  // While a line is half typed the last drawing that made sense stays.
  drawing_->show_station(draft_.station() != nullptr && !draft_.empty()
                             ? std::optional(draft_.station()->session)
                             : std::nullopt);
  if (draft_.fault())
    remark_->report(*draft_.fault());
  else
    remark_->quiet();
  begin_->setVisible(draft_.empty());
  swap_->setVisible(readable);
  save_->setEnabled(!draft_.saved() && !draft_.fault());
  saved_->setText(draft_.empty()
                      ? QStringLiteral("This lab has no station yet: begin with an example and "
                                       "put your own measures in.")
                  : draft_.saved() ? QStringLiteral("Saved in the lab's folder.")
                                   : QStringLiteral("Changed, and not saved yet."));
  Q_EMIT draft_changed();
}

void StationPanel::save() {
  read_text();
  if (draft_.changed_by_others()) {
    const std::filesystem::path path = draft_.path();
    take_from_disk();
    return remark_->caution(QString::fromStdString(sentence(
        "Somebody else changed {station} meanwhile, and that is what you see now. What you had "
        "written is kept in {aside}.",
        "station"_is(path.filename().string()), "aside"_is(StationDraft::unsaved_name))));
  }
  const auto written = draft_.save();
  show_draft();
  if (!written) return remark_->report(written.error());
  remark_->say(QStringLiteral("Saved. Run the checks again when something was moved."));
  Q_EMIT state_.lab_changed();
}

}  // namespace moundwork::desk
