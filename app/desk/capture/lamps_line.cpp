// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/lamps_line.h"

namespace moundwork::desk {
namespace {

QString shape_of(LampState state) {
  switch (state) {
    case LampState::good:
      return QStringLiteral("●");
    case LampState::waiting:
      return QStringLiteral("○");
    case LampState::trouble:
      return QStringLiteral("▲");
  }
  return {};
}

}  // namespace

LampsLine::LampsLine(QWidget* parent) : QLabel(parent) {
  setTextFormat(Qt::RichText);  // its own; what devices are called is escaped
  setWordWrap(true);
  setAccessibleName(QStringLiteral("Instruments"));
}

void LampsLine::show_lamps(const std::vector<DeviceLamp>& lamps, const QString& cue,
                           const Look& look) {
  QString line, plain;
  for (const DeviceLamp& lamp : lamps) {
    const QColor colour = lamp.state == LampState::good ? look.good : look.caution;
    const QString words = lamp.words.toHtmlEscaped();
    line += QStringLiteral("<span style='color:%1'>%2</span>&nbsp;<b>%3</b> %4 &nbsp; ")
                .arg(colour.name(), shape_of(lamp.state), lamp.name.toHtmlEscaped(),
                     lamp.state == LampState::trouble
                         ? QStringLiteral("<span style='color:%1'>%2</span>")
                               .arg(look.caution.name(), words)
                         : words);
    plain += lamp.name + u' ' + lamp.words + QStringLiteral(". ");
  }
  if (!cue.isEmpty()) {
    const QString words =
        QStringLiteral("The cue “%1” is noted with each throw that comes").arg(cue);
    line += QStringLiteral("<span style='color:%1'><b>%2</b></span>")
                .arg(look.caution.name(), words.toHtmlEscaped());
    plain += words + QStringLiteral(". ");
  }
  if (line == text()) return;
  setText(line);
  setAccessibleDescription(plain);
}

}  // namespace moundwork::desk
