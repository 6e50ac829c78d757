// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/air_dialog.h"

#include <QDialog>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QLabel>

#include "app/desk/state/air.h"
#include "app/desk/state/open_session.h"

namespace moundwork::desk {
namespace {

/// A field whose least value stands for "not known".
QDoubleSpinBox* field(QDialog& dialog, double least, double greatest, const QString& unit,
                      const Measured& known, double factor) {
  auto* box = new QDoubleSpinBox(&dialog);
  box->setRange(least, greatest);
  box->setDecimals(0);
  box->setSuffix(u' ' + unit);
  box->setSpecialValueText(QStringLiteral("not known"));
  box->setValue(known.known() ? known.value * factor : least);
  return box;
}

Measured value_of(const QDoubleSpinBox& box, double factor) {
  if (box.value() <= box.minimum()) return {};
  return {box.value() * factor, 0.0};
}

}  // namespace

Result<void> ask_air(const LabFolder& lab, QWidget* parent) {
  const std::string today = iso_now();
  const session::Conditions known = air_of_day(lab, today);
  QDialog dialog(parent);
  dialog.setWindowTitle(QStringLiteral("Air of the day"));
  auto* form = new QFormLayout(&dialog);
  // The ranges are those of places where people throw; the least of each stands for not known.
  auto* temperature = field(dialog, -31.0, 50.0, QStringLiteral("°C"), known.temperature, 1.0);
  auto* pressure = field(dialog, 599.0, 1100.0, QStringLiteral("hPa"), known.pressure, 0.01);
  auto* humidity = field(dialog, -1.0, 100.0, QStringLiteral("%"), known.relative_humidity, 100.0);
  form->addRow(QStringLiteral("&Temperature"), temperature);
  form->addRow(QStringLiteral("&Pressure here, not reduced to sea level"), pressure);
  form->addRow(QStringLiteral("Relative &humidity"), humidity);
  auto* why = new QLabel(QStringLiteral("The ball slows less in thin, warm air. Without these the "
                                        "usual air is assumed, and each throw says so."),
                         &dialog);
  why->setWordWrap(true);
  form->addRow(why);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel, &dialog);
  form->addRow(buttons);
  QObject::connect(buttons, &QDialogButtonBox::accepted, &dialog, &QDialog::accept);
  QObject::connect(buttons, &QDialogButtonBox::rejected, &dialog, &QDialog::reject);
  if (dialog.exec() != QDialog::Accepted) return {};
  session::Conditions air;
  air.temperature = value_of(*temperature, 1.0);
  air.pressure = value_of(*pressure, 100.0);
  air.relative_humidity = value_of(*humidity, 0.01);
  return keep_air(lab, today, air);
}

}  // namespace moundwork::desk
