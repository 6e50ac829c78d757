// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QStringList>
#include <vector>

/// The index's tables (docs/lab-index.md), in the part of SQL that SQLite and PostgreSQL share.
namespace moundwork::index {

/// A step of the schema and the statements that lead there from the step before. A step that has
/// once been released is never changed: indexes out there have been made by it.
struct SchemaStep {
  int version = 0;
  QStringList statements;
};

/// In order from version 1.
[[nodiscard]] const std::vector<SchemaStep>& schema_steps();
/// What this program reads and writes.
[[nodiscard]] int schema_version();

}  // namespace moundwork::index
