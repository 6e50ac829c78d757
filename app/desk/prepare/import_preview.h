// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QDialog>

#include "app/desk/prepare/roster_import.h"

namespace moundwork::desk {

/// What of a file will come into the roster, line by line, and which lines are refused and why;
/// nothing is taken in before it is accepted.
class ImportPreview : public QDialog {
  Q_OBJECT
 public:
  ImportPreview(const RosterImport& import, const QString& file, const std::string& day,
                QWidget* parent = nullptr);
};

}  // namespace moundwork::desk
