// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/facts_dialog.h"

#include <QCheckBox>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QLineEdit>

#include "app/desk/look/words_label.h"

namespace moundwork::desk {
namespace {

QLineEdit* line(QFormLayout& form, const QString& name, const std::string& text,
                const char* object) {
  auto* field = new QLineEdit(QString::fromStdString(text));
  field->setObjectName(QLatin1String(object));
  form.addRow(name, field);
  return field;
}

std::string text_of(const QLineEdit& field) { return field.text().trimmed().toStdString(); }

}  // namespace

FactsDialog::FactsDialog(const session::Session& session, QWidget* parent)
    : QDialog(parent), session_(session) {
  setWindowTitle(QStringLiteral("The session's facts"));
  auto* form = new QFormLayout(this);
  auto* told =
      new WordsLabel(QStringLiteral("The recording stays as it is: what you put right here is "
                                    "an edit with your name, and can be undone."),
                     this);
  told->setWordWrap(true);
  form->addRow(told);
  const FactsForm known = facts_of(session);
  name_ = line(*form, QStringLiteral("&Name"), known.name, "name");
  athlete_ = line(*form, QStringLiteral("&Id in the lab"), known.athlete, "athlete");
  born_ = line(*form, QStringLiteral("Date of &birth, as 2009-05-14"), known.born, "born");
  left_handed_ = new QCheckBox(QStringLiteral("Throws &left-handed"), this);
  left_handed_->setChecked(known.left_handed);
  form->addRow(left_handed_);
  mass_ = line(*form, QStringLiteral("Body &mass, as dressed for throwing"), known.mass, "mass");
  height_ = line(*form, QStringLiteral("Body &height"), known.height, "height");
  temperature_ = line(*form, QStringLiteral("&Temperature"), known.temperature, "temperature");
  pressure_ = line(*form, QStringLiteral("&Pressure there"), known.pressure, "pressure");
  humidity_ = line(*form, QStringLiteral("Relative h&umidity"), known.humidity, "humidity");
  why_ = line(*form, QStringLiteral("&Why"), {}, "why");
  refused_ = new WordsLabel(this);
  refused_->setTextFormat(Qt::PlainText);
  refused_->setWordWrap(true);
  refused_->setObjectName(QStringLiteral("refused"));
  form->addRow(refused_);
  auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel, this);
  form->addRow(buttons);
  connect(buttons, &QDialogButtonBox::accepted, this, &FactsDialog::accept);
  connect(buttons, &QDialogButtonBox::rejected, this, &FactsDialog::reject);
}

void FactsDialog::accept() {
  const FactsForm form{text_of(*athlete_),        text_of(*name_),     text_of(*born_),
                       left_handed_->isChecked(), text_of(*mass_),     text_of(*height_),
                       text_of(*temperature_),    text_of(*pressure_), text_of(*humidity_)};
  auto made = corrections(session_, form, text_of(*why_));
  if (!made) {
    refused_->setText(QString::fromStdString(made.error().sentence()));
    return;
  }
  edits_ = std::move(*made);
  QDialog::accept();
}

}  // namespace moundwork::desk
