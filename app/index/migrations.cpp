// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/migrations.h"

#include "app/index/schema.h"
#include "core/base/wall_time.h"

namespace moundwork::index {
namespace {

using namespace Qt::StringLiterals;

// "moundwrk" as a number: any that no other program on the server is likely to lock.
constexpr qint64 schema_lock = 0x6d6f756e6477726b;

}  // namespace

Result<int> version_of(const Connection& connection) {
  if (!connection.database().tables().contains(u"schema_steps"_s)) return 0;
  auto found = run(connection, u"SELECT max(version) FROM schema_steps"_s);
  if (!found) return tl::make_unexpected(found.error());
  return found->next() ? found->value(0).toInt() : 0;
}

Result<void> migrate(const Connection& connection, int version) {
  auto transaction = Transaction::begin(connection);
  if (!transaction) return tl::make_unexpected(transaction.error());
  if (connection.engine() == Engine::postgresql) {
    // SQLite's begin has locked already.
    if (auto locked =
            run(connection, u"SELECT pg_advisory_xact_lock(?)"_s, {QVariant(schema_lock)});
        !locked)
      return tl::make_unexpected(locked.error());
  }
  const auto current = version_of(connection);
  if (!current) return tl::make_unexpected(current.error());
  if (*current >= version) return {};
  QStringList statements;
  if (*current == 0)
    statements << u"CREATE TABLE schema_steps (version INTEGER PRIMARY KEY, made TEXT NOT NULL)"_s;
  for (const SchemaStep& step : schema_steps()) {
    if (step.version <= *current || step.version > version) continue;
    statements << step.statements;
    for (const QString& statement : statements)
      if (auto done = run(connection, statement); !done) return tl::make_unexpected(done.error());
    statements.clear();
    const auto noted = run(connection, u"INSERT INTO schema_steps (version, made) VALUES (?, ?)"_s,
                           {step.version, QString::fromStdString(iso_now())});
    if (!noted) return tl::make_unexpected(noted.error());
  }
  return transaction->commit();
}

}  // namespace moundwork::index
