// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/delete_athlete.h"

#include <QCheckBox>
#include <QDialog>
#include <QDialogButtonBox>
#include <QInputDialog>
#include <QLineEdit>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QStringList>
#include <QVBoxLayout>
#include <map>
#include <optional>
#include <utility>

#include "app/desk/jobs/jobs.h"
#include "app/desk/look/words_label.h"
#include "app/desk/page/notice.h"
#include "app/desk/state/desk_state.h"
#include "app/desk/state/lab_index.h"
#include "core/base/sentence.h"
#include "core/session/identity.h"

namespace moundwork::desk {
namespace {

using index::Doomed;

Result<index::ForgetPlan> plan_for(const LabFolder& lab, const std::string& who) {
  const auto kept = open_index_of(lab);
  if (!kept) return tl::make_unexpected(kept.error());
  return index::plan_forgetting(*kept ? &**kept : nullptr, {lab.root}, who);
}

Result<index::Forgotten> carry_out_in(const LabFolder& lab, const index::ForgetPlan& plan) {
  const auto kept = open_index_of(lab);
  if (!kept) return tl::make_unexpected(kept.error());
  return index::carry_out(*kept ? &**kept : nullptr, plan);
}

void tell(const Result<index::Forgotten>& done, const QString& who, DeskState& state,
          Notice& remark) {
  state.take_over_roster();
  if (!done) return remark.report(done.error());
  const auto files = static_cast<long>(done->deleted.size());
  QStringList lines{QString::fromStdString(sentence_for(
      files, "{count} file of {who} was deleted.", "{count} files of {who} were deleted.",
      "count"_is(files), "who"_is(who.toStdString())))};
  if (done->off_roster)
    lines << QString::fromStdString(
        sentence("{who} is off the roster too.", "who"_is(who.toStdString())));
  for (const index::LeftBehind& left : done->left)
    lines << QString::fromStdString(
        sentence("Left: {file} ({why}).", "file"_is(left.path), "why"_is(left.problem)));
  for (const std::string& file : done->not_ours)
    lines << QString::fromStdString(
        sentence("Kept, since another session lies there now: {file}.", "file"_is(file)));
  const QString words = lines.join(u'\n');
  if (done->left.empty())
    remark.say(words);
  else
    remark.caution(words);
}

void carry_out(DeskState& state, Jobs& jobs, Notice& remark, index::ForgetPlan plan) {
  // What is looked at must not be written again after it is gone.
  if (const OpenSession* open = state.session();
      open != nullptr &&
      plan.athlete.id == (open->session().athlete.id.empty() ? open->session().athlete.name
                                                             : open->session().athlete.id))
    state.close_session();
  const QString who = QString::fromStdString(plan.athlete.id);
  jobs.run(
      QStringLiteral("Deleting ") + who, &remark,
      [lab = state.lab(), plan = std::move(plan)](JobControl&) { return carry_out_in(lab, plan); },
      [&state, &remark, who](const Result<index::Forgotten>& done) {
        tell(done, who, state, remark);
      });
}

void confirm(DeskState& state, Jobs& jobs, Notice& remark, index::ForgetPlan plan,
             QWidget* parent) {
  auto* dialog = new QDialog(parent);
  dialog->setAttribute(Qt::WA_DeleteOnClose);
  dialog->setObjectName(QStringLiteral("delete athlete"));
  dialog->setWindowTitle(
      QStringLiteral("Delete %1 for good").arg(QString::fromStdString(plan.athlete.id)));
  auto* column = new QVBoxLayout(dialog);
  auto* words = new WordsLabel(deletion_words(plan), dialog);
  words->setWordWrap(true);
  column->addWidget(words);
  QString paths;
  for (const Doomed& doomed : plan.listed)
    for (const auto& file : doomed.files) paths += QString::fromStdString(file.string()) + u'\n';
  auto* list = new QPlainTextEdit(paths, dialog);
  list->setReadOnly(true);
  list->setTabChangesFocus(true);
  list->setAccessibleName(QStringLiteral("Files that go"));
  column->addWidget(list, 1);
  auto* off = new QCheckBox(QStringLiteral("Take them off the &roster too"), dialog);
  off->setChecked(plan.on_roster);
  off->setVisible(plan.on_roster);
  column->addWidget(off);
  auto* asked = new WordsLabel(
      QStringLiteral("&Type %1 to delete all of this for good:")
          .arg(QString::fromStdString(plan.athlete.id).replace(u'&', QStringLiteral("&&"))),
      dialog);
  auto* typed = new QLineEdit(dialog);
  asked->setBuddy(typed);
  column->addWidget(asked);
  column->addWidget(typed);
  auto* buttons = new QDialogButtonBox(dialog);
  QPushButton* go = buttons->addButton(QStringLiteral("&Delete"), QDialogButtonBox::AcceptRole);
  buttons->addButton(QStringLiteral("&Keep all"), QDialogButtonBox::RejectRole)->setDefault(true);
  go->setAutoDefault(false);
  go->setEnabled(false);
  column->addWidget(buttons);
  const QString id = QString::fromStdString(plan.athlete.id);
  QObject::connect(typed, &QLineEdit::textChanged, go,
                   [go, id](const QString& text) { go->setEnabled(text.trimmed() == id); });
  QObject::connect(buttons, &QDialogButtonBox::accepted, dialog, &QDialog::accept);
  QObject::connect(buttons, &QDialogButtonBox::rejected, dialog, &QDialog::reject);
  QObject::connect(dialog, &QDialog::accepted, &remark,
                   [&state, &jobs, &remark, off, typed, id, plan = std::move(plan)]() mutable {
                     if (typed->text().trimmed() != id) return;
                     plan.take_off_roster = plan.on_roster && off->isChecked();
                     carry_out(state, jobs, remark, std::move(plan));
                   });
  dialog->resize(640, 480);
  dialog->open();
}

}  // namespace

QString deletion_words(const index::ForgetPlan& plan) {
  std::map<std::string, std::size_t> counts;
  for (const Doomed& doomed : plan.listed)
    if (!doomed.files.empty()) counts[doomed.what] += doomed.files.size();
  const auto who = "who"_is(plan.athlete.id);
  QStringList lines;
  if (counts.empty())
    lines << QString::fromStdString(sentence("The lab holds no file of {who}.", who));
  else
    lines << QString::fromStdString(sentence("These files of {who} go:", who));
  for (const auto& [what, number] : counts)
    lines << QString::fromStdString(
        sentence("{kind}: {count}", "kind"_is(what), "count"_is(number)));
  if (plan.sessions > 0)
    lines << QString::fromStdString(
        sentence("The lab's index forgets these rows: sessions {sessions}, throws "
                 "{throws}, edits {edits}.",
                 "sessions"_is(plan.sessions), "throws"_is(plan.throws), "edits"_is(plan.edits)));
  if (!plan.shared.empty()) {
    lines << QString::fromStdString(
        sentence("Others are in these too, so they stay; make them again afterwards:"));
    for (const auto& file : plan.shared) lines << QString::fromStdString(file.string());
  }
  if (!plan.perhaps.empty()) {
    lines << QString::fromStdString(sentence(
        "These may be of the same person under another id; they stay until that is settled:"));
    for (const auto& file : plan.perhaps) lines << QString::fromStdString(file.string());
  }
  lines << QString::fromStdString(
      sentence("Not reached by this: backups, copies elsewhere, what was sent or printed."));
  return lines.join(u'\n');
}

void ask_deletion(DeskState& state, Jobs& jobs, Notice& remark, const std::string& id,
                  QWidget* parent) {
  QStringList people;
  int at = 0;
  for (const RosterAthlete& athlete : state.roster()) {
    if (athlete.id == id) at = static_cast<int>(people.size());
    people << QString::fromStdString(athlete.id);
  }
  bool given = false;
  // Who is off the roster already can be typed.
  const QString who = QInputDialog::getItem(
      parent, QStringLiteral("Delete an athlete"),
      QStringLiteral("Whose sessions, weigh-ins, pages and tables are to go? Id, or name:"), people,
      at, true, &given);
  if (!given || who.trimmed().isEmpty()) return;
  remark.quiet();
  jobs.run(
      QStringLiteral("Looking what the lab holds of ") + who, &remark,
      [lab = state.lab(), wanted = who.trimmed().toStdString()](JobControl&) {
        return plan_for(lab, wanted);
      },
      [&state, &jobs, &remark, parent](const Result<index::ForgetPlan>& plan) {
        if (!plan) return remark.report(plan.error());
        confirm(state, jobs, remark, *plan, parent);
      });
}

}  // namespace moundwork::desk
