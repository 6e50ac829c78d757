// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QSqlDatabase>
#include <QSqlQuery>
#include <QString>
#include <QVariant>
#include <optional>
#include <string>
#include <utility>

#include "app/index/address.h"
#include "core/base/result.h"

namespace moundwork::index {

enum class Engine { sqlite, postgresql };

/// An open database. For one thread. Several
/// programs on several computers may have the same database open and write.
class Connection {
 public:
  /// Of what the address names, nothing is made but, with `create`, a file that is not there. Makes
  /// an application object (QCoreApplication) where there is none: a program that needs another
  /// kind makes its own before.
  [[nodiscard]] static Result<Connection> open(const Address& address, bool create);
  Connection(Connection&& other) noexcept;
  Connection& operator=(Connection&& other) noexcept;
  ~Connection();

  [[nodiscard]] Engine engine() const { return engine_; }
  [[nodiscard]] const std::string& where() const { return where_; }  ///< for sentences
  [[nodiscard]] QSqlDatabase database() const;

  /// A server takes no word about a failed statement before its transaction has been taken back,
  /// not even that it is done with, and Qt would complain: it is kept until then.
  void keep_failed(QSqlQuery&& statement) const { failed_ = std::move(statement); }
  void drop_failed() const { failed_.reset(); }

 private:
  Connection(QString name, Engine engine, std::string where);
  QString name_;
  Engine engine_ = Engine::sqlite;
  std::string where_;
  mutable std::optional<QSqlQuery> failed_;
};

/// Prepares a statement for several runs. Values never become part of its text.
[[nodiscard]] Result<QSqlQuery> prepare(const Connection& connection, const QString& statement);
/// After a failure `prepared` is of no more use.
[[nodiscard]] Result<void> run(const Connection& connection, QSqlQuery& prepared,
                               const QVariantList& values);
/// Prepares and runs; the query stands before its first row.
[[nodiscard]] Result<QSqlQuery> run(const Connection& connection, const QString& statement,
                                    const QVariantList& values = {});

/// All or nothing: what is not committed is taken back. On SQLite it waits for the right to write
/// at its begin, since a reader that turns writer half-way may have to give up.
class Transaction {
 public:
  [[nodiscard]] static Result<Transaction> begin(const Connection& connection);
  Transaction(Transaction&& other) noexcept;
  Transaction& operator=(Transaction&&) = delete;
  ~Transaction();
  [[nodiscard]] Result<void> commit();

 private:
  explicit Transaction(const Connection& connection) : connection_(&connection) {}
  const Connection* connection_;
};

}  // namespace moundwork::index
