// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/connection.h"

#include <fcntl.h>
#include <unistd.h>

#include <QSqlError>
#include <QStringList>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <system_error>
#include <thread>
#include <utility>

#include "app/index/application.h"
#include "core/base/sharing.h"

namespace moundwork::index {
namespace {

using namespace Qt::StringLiterals;

Failure failure(const Connection& connection, const QSqlError& error) {
  QString text = error.databaseText().isEmpty() ? error.driverText() : error.databaseText();
  // A server's message may have more lines; its first says what is the matter.
  text = text.section(u'\n', 0, 0).trimmed();
  if (text.startsWith(u"ERROR:"_s)) text = text.mid(6).trimmed();
  QString advice;
  if (error.nativeErrorCode() == u"42501"_s)  // insufficient_privilege
    advice = u"this account may not do that; see the roles in docs/lab-index.md"_s;
  if (text.contains(u"readonly database"_s) || text.contains(u"attempt to write a readonly"_s))
    advice = u"this account may only read the file"_s;
  if (text.contains(u"disk is full"_s)) advice = u"make room on its disk, then try again"_s;
  if (text.contains(u"not a database"_s) || text.contains(u"malformed"_s))
    return fail(connection.where(), text.toStdString(), Remedy::make_index_again);
  return fail(connection.where(), text.toStdString(), advice.toStdString());
}

QString quoted(const std::string& value) {
  QString text = QString::fromStdString(value);
  text.replace(u"\\"_s, u"\\\\"_s).replace(u"'"_s, u"\\'"_s);
  return u"'"_s + text + u"'"_s;
}

void set_server(QSqlDatabase& database, const ServerAddress& server) {
  // The address alone says where to go: these would lead a local name to another computer.
  for (const char* name : {"PGHOSTADDR", "PGSERVICE", "PGSERVICEFILE"}) qunsetenv(name);
  database.setHostName(QString::fromStdString(server.host));
  database.setPort(server.port);
  database.setDatabaseName(QString::fromStdString(server.database));
  database.setUserName(QString::fromStdString(server.user));
  // Another encryption than TLS would not be held to the certificate.
  QStringList options{u"gssencmode=disable"_s, u"application_name=moundwork"_s};
  bool timeout = false;
  for (const auto& [name, value] : server.options) {
    timeout = timeout || name == "connect_timeout";
    options << QString::fromStdString(name) + u"="_s + quoted(value);
  }
  if (!timeout) options << u"connect_timeout=10"_s;
  database.setConnectOptions(options.join(u';'));
}

Result<void> set_file(QSqlDatabase& database, const std::filesystem::path& file, bool create) {
  std::error_code problem;
  const bool there = std::filesystem::exists(file, problem);
  if (!there && !create) return fail(file.string(), "there is no index", Remedy::make_index);
  if (there && !std::filesystem::is_regular_file(file, problem))
    return fail(file.string(), "is no file", "name the index's file");
  if (!there) {
    (void)make_folders(file.parent_path(), problem);
    if (problem) return fail(file.parent_path().string(), "cannot be made: " + problem.message());
    // SQLite gives its log the same mode.
    const int made = open_for_writing(file, O_RDWR);
    if (made < 0)
      return fail(file.string(), std::string("cannot be made: ") + std::strerror(errno));
    ::close(made);
  }
  database.setDatabaseName(QString::fromStdString(file.string()));
  // Others write for milliseconds, except while an index is made again.
  database.setConnectOptions(u"QSQLITE_BUSY_TIMEOUT=60000"_s);
  return {};
}

}  // namespace

Connection::Connection(QString name, Engine engine, std::string where)
    : name_(std::move(name)), engine_(engine), where_(std::move(where)) {}

Connection::Connection(Connection&& other) noexcept
    : name_(std::exchange(other.name_, {})),
      engine_(other.engine_),
      where_(std::move(other.where_)),
      failed_(std::exchange(other.failed_, std::nullopt)) {}

Connection& Connection::operator=(Connection&& other) noexcept {
  std::swap(name_, other.name_);
  std::swap(engine_, other.engine_);
  std::swap(where_, other.where_);
  std::swap(failed_, other.failed_);
  return *this;
}

Connection::~Connection() {
  if (name_.isEmpty()) return;
  drop_failed();
  database().close();
  QSqlDatabase::removeDatabase(name_);
}

QSqlDatabase Connection::database() const { return QSqlDatabase::database(name_, false); }

Result<Connection> Connection::open(const Address& address, bool create) {
  ensure_application();
  static std::atomic<int> count{0};
  const Engine engine = address.server ? Engine::postgresql : Engine::sqlite;
  const QString driver = engine == Engine::sqlite ? u"QSQLITE"_s : u"QPSQL"_s;
  if (!QSqlDatabase::isDriverAvailable(driver))
    return fail(address.shown(), "Qt's driver " + driver.toStdString() + " is not installed",
                engine == Engine::sqlite ? "install the package libqt6sql6-sqlite"
                                         : "install the package libqt6sql6-psql");
  const QString name = u"lab %1"_s.arg(++count);
  Connection connection(name, engine, address.shown());
  QSqlDatabase database = QSqlDatabase::addDatabase(driver, name);
  if (address.server) {
    set_server(database, *address.server);
  } else if (auto set = set_file(database, address.file, create); !set) {
    return tl::make_unexpected(set.error());
  }
  if (!database.open()) {
    Failure failed = failure(connection, database.lastError());
    failed.value().what = "cannot be opened: " + failed.value().what;
    return failed;
  }
  if (engine == Engine::sqlite) {
    // Before anything of it is changed: another program's file stays that program's.
    const QStringList tables = database.tables();
    if (!tables.isEmpty() && !tables.contains(u"schema_steps"_s))
      return fail(address.shown(), "is another program's database", Remedy::another_index);
    // Readers and a writer at once; no commit lost to a power cut; deleted rows overwritten.
    for (const QString& setting : {u"PRAGMA journal_mode = WAL"_s, u"PRAGMA synchronous = FULL"_s,
                                   u"PRAGMA secure_delete = ON"_s, u"PRAGMA foreign_keys = ON"_s}) {
      auto done = run(connection, setting);
      // SQLite does not wait for others by itself when the journal's mode changes, as it does for
      // the first who open a new index.
      const auto is_locked = [&] {
        return !done && done.error().what.find("locked") != std::string::npos;
      };
      for (int tries = 0; is_locked() && tries < 500; ++tries) {
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
        done = run(connection, setting);
      }
      if (!done && done.error().what.find("readonly") != std::string::npos)
        return fail(address.shown(), "cannot be opened: this account may not write to its folder",
                    "let it: even for reading SQLite keeps a log beside the file");
      if (!done) return tl::make_unexpected(done.error());
    }
  }
  return connection;
}

Result<QSqlQuery> prepare(const Connection& connection, const QString& statement) {
  QSqlQuery query(connection.database());
  query.setForwardOnly(true);
  if (!query.prepare(statement)) return failure(connection, query.lastError());
  return query;
}

Result<void> run(const Connection& connection, QSqlQuery& prepared, const QVariantList& values) {
  for (int i = 0; i < values.size(); ++i) prepared.bindValue(i, values[i]);
  if (prepared.exec()) return {};
  Failure failed = failure(connection, prepared.lastError());
  connection.keep_failed(std::move(prepared));
  return failed;
}

Result<QSqlQuery> run(const Connection& connection, const QString& statement,
                      const QVariantList& values) {
  if (values.isEmpty()) {
    // A server prepares no BEGIN or CREATE.
    QSqlQuery query(connection.database());
    query.setForwardOnly(true);
    if (!query.exec(statement)) return failure(connection, query.lastError());
    return query;
  }
  auto query = prepare(connection, statement);
  if (!query) return query;
  if (auto done = run(connection, *query, values); !done) return tl::make_unexpected(done.error());
  return query;
}

Result<Transaction> Transaction::begin(const Connection& connection) {
  const auto begun =
      run(connection, connection.engine() == Engine::sqlite ? u"BEGIN IMMEDIATE"_s : u"BEGIN"_s);
  if (!begun) return tl::make_unexpected(begun.error());
  return Transaction(connection);
}

Transaction::Transaction(Transaction&& other) noexcept
    : connection_(std::exchange(other.connection_, nullptr)) {}

Transaction::~Transaction() {
  // A failed take-back leaves nothing to do: the connection's end takes back as well.
  if (connection_ == nullptr) return;
  (void)run(*connection_, u"ROLLBACK"_s);
  connection_->drop_failed();
}

Result<void> Transaction::commit() {
  const auto done = run(*connection_, u"COMMIT"_s);
  if (!done) return tl::make_unexpected(done.error());
  connection_ = nullptr;
  return {};
}

}  // namespace moundwork::index
