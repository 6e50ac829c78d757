// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/index_dialog.h"

#include <QInputDialog>

#include "app/desk/jobs/jobs.h"
#include "app/desk/page/notice.h"
#include "app/desk/state/desk_state.h"
#include "app/desk/state/lab_index.h"
#include "app/index/rebuild.h"

namespace moundwork::desk {
namespace {

struct Entered {
  bool kept = false;  ///< false: the lab keeps no index from now on
  index::Rebuilt sessions;
};

Result<Entered> enter(const LabFolder& lab, const std::string& typed, JobControl& control) {
  // A server may take its time, so this too is done apart from the window's thread.
  if (auto kept = keep_index(lab, typed); !kept) return tl::make_unexpected(kept.error());
  if (typed.empty()) return Entered{};
  const auto index = open_index_of(lab);
  if (!index) return tl::make_unexpected(index.error());
  auto rebuilt = index::rebuild(**index, {lab.sessions()},
                                [&](double share) { return control.progress(share); });
  if (!rebuilt) return tl::make_unexpected(rebuilt.error());
  return Entered{true, std::move(*rebuilt)};
}

}  // namespace

void ask_index(DeskState& state, Jobs& jobs, Notice& remark, QWidget* parent) {
  const LabFolder lab = state.lab();
  if (is_practice(lab.root))
    return remark.caution(QStringLiteral(
        "Practice keeps no index: its numbers are invented. Leave it by the menu Lab first."));
  const std::string before = index_of(lab);
  bool given = false;
  const QString typed = QInputDialog::getText(
      parent, QStringLiteral("The lab's index"),
      QStringLiteral("Athletes, sessions and files side by side, for histories and groups.\n"
                     "A file in the lab's folder, or postgresql://USER@HOST/DATABASE for several "
                     "stations; empty for none:"),
      QLineEdit::Normal,
      before.empty() ? QStringLiteral("index.sqlite") : QString::fromStdString(before), &given);
  if (!given) return;
  remark.quiet();
  const auto tell = [&remark](const Result<Entered>& entered) {
    if (!entered) return remark.report(entered.error());
    if (!entered->kept) return remark.say(QStringLiteral("The lab keeps no index from now on."));
    const index::Rebuilt& made = entered->sessions;
    if (made.stopped)
      return remark.caution(
          QStringLiteral("Stopped: %1 of %2 session files are in the lab's index. Name the index "
                         "again to enter the others.")
              .arg(made.files)
              .arg(made.found));
    if (!made.bad.empty()) return remark.report(made.bad.front());
    remark.say(QStringLiteral("%1 sessions stand in the lab's index. What is measured and "
                              "handed out from now on is entered by itself.")
                   .arg(made.sessions));
  };
  jobs.run(
      QStringLiteral("Entering the lab's sessions in its index"), &remark,
      [lab, wanted = typed.trimmed().toStdString()](JobControl& control) {
        return enter(lab, wanted, control);
      },
      tell, tell);
}

}  // namespace moundwork::desk
