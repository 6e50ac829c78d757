// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/store.h"

#include <fmt/format.h>

#include <cmath>

#include "core/base/time_zone.h"
#include "core/base/wall_time.h"
#include "core/session/identity.h"

namespace moundwork::index {
namespace {

using namespace Qt::StringLiterals;

QVariant text(const std::string& value) { return QString::fromStdString(value); }

// What is not known is NULL in the index, so that averages in SQL leave it out.
QVariant number(double value) {
  return std::isfinite(value) ? QVariant(value) : QVariant(QMetaType(QMetaType::Double));
}

QVariant number(const std::optional<int>& value) {
  return value ? QVariant(*value) : QVariant(QMetaType(QMetaType::Int));
}

QVariant now() { return text(iso_now()); }

// The statements of one put, stopping at the first that fails.
class Steps {
 public:
  explicit Steps(const Connection& connection) : connection_(connection) {}

  // Rows changed.
  int run(const QString& statement, const QVariantList& values) {
    const auto query = ask(statement, values);
    return query ? query->numRowsAffected() : 0;
  }

  std::optional<QSqlQuery> ask(const QString& statement, const QVariantList& values) {
    if (error_) return std::nullopt;
    auto query = index::run(connection_, statement, values);
    if (!query) {
      error_ = query.error();
      return std::nullopt;
    }
    return std::move(*query);
  }

  void run_each(const QString& statement, const std::vector<QVariantList>& rows) {
    if (error_ || rows.empty()) return;
    auto query = prepare(connection_, statement);
    if (!query) {
      error_ = query.error();
      return;
    }
    for (const QVariantList& row : rows) {
      if (const auto done = index::run(connection_, *query, row); !done) {
        error_ = done.error();
        return;
      }
    }
  }

  [[nodiscard]] const std::optional<Error>& error() const { return error_; }

 private:
  const Connection& connection_;
  std::optional<Error> error_;
};

QString marks(qsizetype count) {
  QStringList list;
  for (qsizetype i = 0; i < count; ++i) list << u"?"_s;
  return list.join(u", "_s);
}

const QString& insert_throw() {
  static const QString statement = [] {
    QStringList columns{u"session"_s,  u"number"_s, u"contact"_s,
                        u"excluded"_s, u"why"_s,    u"flags"_s};
    for (std::size_t q = 0; q < definitions::quantity_count; ++q) {
      const auto& key = definitions::entry(static_cast<definitions::Quantity>(q)).key;
      const QString column = QString::fromUtf8(key.data(), static_cast<qsizetype>(key.size()));
      columns << column << column + u"_u"_s;
    }
    return u"INSERT INTO throws (%1) VALUES (%2)"_s.arg(columns.join(u", "_s),
                                                        marks(columns.size()));
  }();
  return statement;
}

// A session that is in the index's table but whose rows are still to come.
constexpr auto still_to_come = "still to come"_L1;

// Another session of this identity that seems to be of another person; empty when there is none.
std::string other_person(Steps& steps, const SessionEntry& entry) {
  const session::Athlete& athlete = entry.athlete;
  const auto words = [&](const std::string& name, const std::string& born,
                         const std::string& where) {
    const auto described = [](const std::string& who, const std::string& birth) {
      return birth.empty() ? who : fmt::format("{}{}born {}", who, who.empty() ? "" : ", ", birth);
    };
    return fmt::format("athlete {} is {} here and {} in {}; see whether they are two people",
                       entry.identity(), described(athlete.name, athlete.born),
                       described(name, born), where);
  };
  const auto texts = [](const QSqlQuery& row, int column) {
    return row.value(column).toString().toStdString();
  };
  auto found = steps.ask(
      u"SELECT name, born, day FROM sessions WHERE athlete = ? AND id <> ? ORDER BY started"_s,
      {text(entry.identity()), text(entry.id)});
  while (found && found->next())
    if (session::two_people(athlete.name, athlete.born, texts(*found, 0), texts(*found, 1)))
      return words(texts(*found, 0), texts(*found, 1), "the session of " + texts(*found, 2));
  found.reset();
  // Sessions of an index of old do not say whom they describe.
  auto known = steps.ask(u"SELECT name, born, as_of FROM athletes WHERE id = ? AND as_of <> ?"_s,
                         {text(entry.identity()), text(entry.started)});
  if (known && known->next() &&
      session::two_people(athlete.name, athlete.born, texts(*known, 0), texts(*known, 1)))
    return words(texts(*known, 0), texts(*known, 1), "another session");
  return {};
}

// Returns the athlete's birth date as far as it is known.
std::string put_athlete(Steps& steps, const SessionEntry& entry,
                        std::vector<std::string>& remarks) {
  const session::Athlete& athlete = entry.athlete;
  const QVariant id = text(entry.identity());
  if (std::string other = other_person(steps, entry); !other.empty())
    remarks.push_back(std::move(other));
  // The newest session says who the athlete is; a birth date once known is not lost to a session
  // without one.
  steps.run(
      uR"(INSERT INTO athletes (id, name, throws, born, as_of) VALUES (?, ?, ?, ?, ?)
          ON CONFLICT (id) DO UPDATE SET
            name = CASE WHEN excluded.as_of >= athletes.as_of THEN excluded.name
                        ELSE athletes.name END,
            throws = CASE WHEN excluded.as_of >= athletes.as_of THEN excluded.throws
                          ELSE athletes.throws END,
            born = CASE WHEN excluded.born <> ''
                             AND (excluded.as_of >= athletes.as_of OR athletes.born = '')
                        THEN excluded.born ELSE athletes.born END,
            as_of = CASE WHEN excluded.as_of >= athletes.as_of THEN excluded.as_of
                         ELSE athletes.as_of END,
            forgotten = '')"_s,
      {id, text(athlete.name), athlete.throws == session::Hand::left ? u"left"_s : u"right"_s,
       text(athlete.born), text(entry.started)});
  auto known = steps.ask(u"SELECT born FROM athletes WHERE id = ?"_s, {id});
  if (!known || !known->next()) return {};
  return known->value(0).toString().toStdString();
}

struct Places {
  std::vector<std::string> others;  ///< where the session lies as well
  bool displaced = false;           ///< another session was listed under this path
};

// Where the session lies, and lies no more.
Places put_location(Steps& steps, const Index& index, const SessionEntry& entry) {
  Places found;
  const QVariant id = text(entry.id), station = text(index.station);
  const QVariant path = text(entry.path.string());
  found.displaced =
      steps.run(u"DELETE FROM locations WHERE station = ? AND path = ? AND session <> ?"_s,
                {station, path, id}) > 0;
  steps.run(
      uR"(INSERT INTO locations (session, station, path, seen, bytes) VALUES (?, ?, ?, ?, ?)
          ON CONFLICT (station, path) DO UPDATE SET
            session = excluded.session, seen = excluded.seen, bytes = excluded.bytes,
            problem = '')"_s,
      {id, station, path, now(), static_cast<qint64>(entry.bytes)});
  auto places = steps.ask(
      u"SELECT station, path FROM locations WHERE session = ? ORDER BY station, path"_s, {id});
  std::vector<QString> moved;
  while (places && places->next()) {
    const QString at = places->value(0).toString(), file = places->value(1).toString();
    const bool here = at == station.toString();
    if (here && file == path.toString()) continue;
    if (here && gone(file.toStdString()))
      moved.push_back(file);
    else
      found.others.push_back((here ? file : at + u": "_s + file).toStdString());
  }
  places.reset();
  for (const QString& file : moved)
    steps.run(u"DELETE FROM locations WHERE station = ? AND path = ?"_s, {station, file});
  return found;
}

void put_rows(Steps& steps, const SessionEntry& entry, const std::string& born) {
  const QVariant id = text(entry.id);
  for (const QString& table : {u"throws"_s, u"means"_s, u"edits"_s})
    steps.run(u"DELETE FROM "_s + table + u" WHERE session = ?"_s, {id});
  int excluded = 0;
  std::vector<QVariantList> rows;
  for (const ThrowEntry& thrown : entry.throws) {
    excluded += thrown.excluded ? 1 : 0;
    QVariantList row{id,
                     thrown.number,
                     number(thrown.contact),
                     thrown.excluded ? 1 : 0,
                     text(thrown.why),
                     text(thrown.flags)};
    for (const Measured& measured : thrown.quantities)
      row << number(measured.value) << number(measured.u);
    rows.push_back(std::move(row));
  }
  steps.run_each(insert_throw(), rows);

  const std::string athlete = entry.identity();
  const auto age = age_at(born, entry.day);
  steps.run(
      uR"(UPDATE sessions SET athlete = ?, name = ?, born = ?, started = ?, day = ?, origin = ?, age = ?, mass = ?, height = ?,
            surface = ?, made = ?, software = ?, changed = ?, throw_count = ?, excluded_count = ?
          WHERE id = ?)"_s,
      {athlete.empty() ? QVariant(QMetaType(QMetaType::QString)) : text(athlete),
       text(entry.athlete.name), text(entry.athlete.born), text(entry.started), text(entry.day),
       text(entry.origin), number(age), number(entry.athlete.mass.value),
       number(entry.athlete.height.value), text(entry.surface), text(entry.made),
       text(entry.software), text(entry.changed()), static_cast<int>(entry.throws.size()), excluded,
       id});

  rows.clear();
  if (!athlete.empty())
    for (const MeanEntry& mean : means_of(entry.throws))
      rows.push_back({id, text(std::string(definitions::entry(mean.quantity).key)), text(athlete),
                      text(entry.started), text(entry.day), number(age), mean.n, number(mean.mean),
                      number(mean.sd), number(mean.u), number(mean.lowest), number(mean.highest)});
  steps.run_each(
      u"INSERT INTO means (session, quantity, athlete, started, day, age, n, mean, sd, u, lowest, "
      "highest) VALUES ("_s +
          marks(12) + u")"_s,
      rows);

  rows.clear();
  for (const session::Edit& edit : entry.edits)
    rows.push_back({id, static_cast<int>(rows.size()) + 1, text(edit.when), text(edit.who),
                    text(edit.why), number(edit.throw_contact),
                    text(std::string(session::key_of(edit.action))), text(edit.target),
                    number(edit.value),
                    text(edit.action == session::Action::mark ? session::words_of(edit, entry.edits)
                                                              : edit.text)});
  steps.run_each(
      u"INSERT INTO edits (session, position, made, who, why, throw_contact, action, target, "
      "value, words) VALUES ("_s +
          marks(10) + u")"_s,
      rows);
}

}  // namespace

bool gone(const std::filesystem::path& path) {
  std::error_code problem;
  if (std::filesystem::exists(path, problem) || problem) return false;
  return std::filesystem::is_directory(path.parent_path(), problem);
}

Result<int> drop_unplaced(const Connection& connection) {
  const auto sessions = run(connection,
                            uR"(DELETE FROM sessions WHERE NOT EXISTS
                                  (SELECT 1 FROM locations WHERE locations.session = sessions.id))"_s);
  if (!sessions) return tl::make_unexpected(sessions.error());
  const int dropped = sessions->numRowsAffected();
  const auto athletes = run(connection,
                            uR"(DELETE FROM athletes WHERE
                                  NOT EXISTS (SELECT 1 FROM sessions
                                              WHERE sessions.athlete = athletes.id)
                                  AND NOT EXISTS (SELECT 1 FROM exports
                                                  WHERE exports.athlete = athletes.id))"_s);
  if (!athletes) return tl::make_unexpected(athletes.error());
  return dropped;
}

Result<Put> put(const Index& index, const SessionEntry& entry, bool again) {
  Put put;
  auto transaction = Transaction::begin(index.connection);
  if (!transaction) return tl::make_unexpected(transaction.error());
  Steps steps(index.connection);
  const QVariant id = text(entry.id);
  if (again) steps.run(u"DELETE FROM forgotten_sessions WHERE session = ?"_s, {id});
  auto forgotten = steps.ask(u"SELECT forgotten FROM forgotten_sessions WHERE session = ?"_s, {id});
  if (forgotten && forgotten->next()) {
    put.stored = Stored::forgotten;
    const std::string when = forgotten->value(0).toString().toStdString();
    const auto time = from_iso_text(when);
    put.remarks.push_back(
        fmt::format("this session was deleted on {} and is left out; delete this copy as well, "
                    "unless it is to be kept",
                    time ? day_in(*time, computer_zone()) : when));
    return put;
  }
  forgotten.reset();
  std::string born;
  if (!entry.identity().empty()) born = put_athlete(steps, entry, put.remarks);
  // Touching the row, new or old, keeps other stations from this session until the commit.
  steps.run(
      uR"(INSERT INTO sessions (id, athlete, started, origin, surface, made, software, changed,
                                throw_count, excluded_count)
          VALUES (?, NULL, '', '', '', '', '', ?, 0, 0)
          ON CONFLICT (id) DO UPDATE SET id = excluded.id)"_s,
      {id, QString(still_to_come)});
  auto known = steps.ask(u"SELECT changed FROM sessions WHERE id = ?"_s, {id});
  const QString changed = known && known->next() ? known->value(0).toString() : QString();
  known.reset();
  Places places = put_location(steps, index, entry);
  put.copies = std::move(places.others);
  if (changed == still_to_come)
    put.stored = Stored::added;
  else if (!put.copies.empty() && changed.toStdString() > entry.changed())
    put.stored = Stored::older_copy;
  else
    put.stored = Stored::replaced;
  if (put.stored != Stored::older_copy) put_rows(steps, entry, born);
  if (steps.error()) return tl::make_unexpected(*steps.error());
  if (places.displaced)
    if (const auto dropped = drop_unplaced(index.connection); !dropped)
      return tl::make_unexpected(dropped.error());
  if (auto done = transaction->commit(); !done) return tl::make_unexpected(done.error());
  return put;
}

Result<void> list_export(const Index& index, const Export& made) {
  std::error_code problem;
  const auto path = std::filesystem::weakly_canonical(made.path, problem);
  if (problem) return fail(made.path.string(), "cannot be listed: " + problem.message());
  auto transaction = Transaction::begin(index.connection);
  if (!transaction) return tl::make_unexpected(transaction.error());
  Steps steps(index.connection);
  const QVariant station = text(index.station), file = text(path.string());
  steps.run(u"DELETE FROM exports WHERE station = ? AND path = ?"_s, {station, file});
  std::vector<QVariantList> rows;
  for (const std::string& athlete : made.athletes)
    rows.push_back({station, file, text(athlete), text(made.kind), now()});
  steps.run_each(
      uR"(INSERT INTO exports (station, path, athlete, kind, made) VALUES (?, ?, ?, ?, ?)
          ON CONFLICT (station, path, athlete) DO NOTHING)"_s,
      rows);
  if (steps.error()) return tl::make_unexpected(*steps.error());
  return transaction->commit();
}

}  // namespace moundwork::index
