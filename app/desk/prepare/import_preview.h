// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QDialog>
#include <functional>
#include <vector>

#include "app/desk/prepare/roster_import.h"

class QComboBox;
class QLabel;
class QPushButton;
class QTableWidget;

namespace moundwork::desk {

/// What of a file will come into the roster, line by line, and which lines are refused and why;
/// above it what each column is taken for, which can be said otherwise. Nothing is taken in before
/// it is accepted.
class ImportPreview : public QDialog {
  Q_OBJECT
 public:
  /// `read` reads the file again with what has been chosen.
  using Read = std::function<Result<RosterImport>(const ImportChoices&)>;
  ImportPreview(RosterImport import, const QString& file, const std::string& day, Read read,
                QWidget* parent = nullptr);

  [[nodiscard]] const RosterImport& import() const { return import_; }

 private:
  struct Mapping {
    QComboBox* field;
    QComboBox* unit;
  };
  QWidget* make_mapping();
  void show_units(const Mapping& mapping);
  void read_again();
  void show_import();

  RosterImport import_;
  std::string day_;
  Read read_;
  std::vector<Mapping> mappings_;
  QLabel* said_;
  QWidget* order_row_;
  QComboBox* order_;
  QTableWidget* table_;
  QPushButton* take_;
};

}  // namespace moundwork::desk
