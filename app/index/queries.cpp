// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/queries.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

namespace moundwork::index {
namespace {

using namespace Qt::StringLiterals;

std::string text(const QSqlQuery& row, int column) {
  return row.value(column).toString().toStdString();
}

std::optional<int> whole(const QSqlQuery& row, int column) {
  if (row.isNull(column)) return std::nullopt;
  return row.value(column).toInt();
}

double real(const QSqlQuery& row, int column) {
  if (row.isNull(column)) return std::numeric_limits<double>::quiet_NaN();
  return row.value(column).toDouble();
}

session::Hand hand(const QSqlQuery& row, int column) {
  return row.value(column).toString() == u"left"_s ? session::Hand::left : session::Hand::right;
}

QString key_of(definitions::Quantity quantity) {
  const auto& key = definitions::entry(quantity).key;
  return QString::fromUtf8(key.data(), static_cast<qsizetype>(key.size()));
}

// A statement that grows with what is asked, its values beside it.
struct Question {
  QString statement;
  QVariantList values;

  void add(const QString& part, const QVariantList& more = {}) {
    statement += part;
    values += more;
  }
};

// The condition on a row of means; index means_of_quantity holds all it needs, but the hand.
void add_filter(Question& question, const GroupFilter& filter) {
  question.add(u" AND n >= ?"_s, {filter.least_throws});
  const auto age = [&](const QString& limit, int years) {
    question.add((filter.age_unknown_too ? u" AND (age %1 ? OR age IS NULL)"_s : u" AND age %1 ?"_s)
                     .arg(limit),
                 {years});
  };
  if (filter.age_from) age(u">="_s, *filter.age_from);
  if (filter.age_to) age(u"<="_s, *filter.age_to);
  if (filter.throws)
    question.add(u" AND athlete IN (SELECT id FROM athletes WHERE throws = ?)"_s,
                 {*filter.throws == session::Hand::left ? u"left"_s : u"right"_s});
}

}  // namespace

Result<std::vector<ListedAthlete>> athletes(const Index& index) {
  auto found = run(index.connection,
                   uR"(SELECT a.id, a.name, a.born, a.throws, count(s.id),
                         coalesce(sum(s.throw_count - s.excluded_count), 0),
                         coalesce(min(s.started), ''), coalesce(max(s.started), ''), a.forgotten
                       FROM athletes a LEFT JOIN sessions s ON s.athlete = a.id
                       GROUP BY a.id, a.name, a.born, a.throws, a.forgotten ORDER BY a.id)"_s);
  if (!found) return tl::make_unexpected(found.error());
  std::vector<ListedAthlete> list;
  while (found->next())
    list.push_back({text(*found, 0), text(*found, 1), text(*found, 2), hand(*found, 3),
                    found->value(4).toInt(), found->value(5).toInt(), text(*found, 6),
                    text(*found, 7), text(*found, 8)});
  return list;
}

Result<ListedAthlete> find_athlete(const Index& index, const std::string& who) {
  const QString asked = QString::fromStdString(who);
  auto found = run(index.connection,
                   uR"(SELECT a.id, a.name, a.born, a.throws, count(s.id),
                         coalesce(sum(s.throw_count - s.excluded_count), 0),
                         coalesce(min(s.started), ''), coalesce(max(s.started), ''), a.forgotten
                       FROM athletes a LEFT JOIN sessions s ON s.athlete = a.id
                       WHERE a.id = ? OR a.name = ?
                       GROUP BY a.id, a.name, a.born, a.throws, a.forgotten ORDER BY a.id)"_s,
                   {asked, asked});
  if (!found) return tl::make_unexpected(found.error());
  std::vector<ListedAthlete> named;
  while (found->next()) {
    ListedAthlete athlete{text(*found, 0), text(*found, 1),         text(*found, 2),
                          hand(*found, 3), found->value(4).toInt(), found->value(5).toInt(),
                          text(*found, 6), text(*found, 7),         text(*found, 8)};
    if (athlete.id == who) return athlete;
    named.push_back(std::move(athlete));
  }
  if (named.empty())
    return fail(index.connection.where(), fmt::format("there is no athlete '{}'", who),
                Remedy::list_athletes);
  if (named.size() > 1)
    return fail(index.connection.where(),
                fmt::format("{} athletes are named '{}'", named.size(), who),
                fmt::format("use the id, such as {}", named.front().id));
  return named.front();
}

Result<std::vector<ListedSession>> sessions(const Index& index, const std::string& athlete) {
  Question question{
      uR"(SELECT s.id, coalesce(s.athlete, ''), s.started, s.day, s.origin, s.made, s.age,
                          s.throw_count, s.excluded_count, l.station, l.path, l.problem
                        FROM sessions s JOIN locations l ON l.session = s.id)"_s,
      {}};
  if (!athlete.empty()) question.add(u" WHERE s.athlete = ?"_s, {QString::fromStdString(athlete)});
  question.add(u" ORDER BY s.started, s.id, l.station, l.path"_s);
  auto found = run(index.connection, question.statement, question.values);
  if (!found) return tl::make_unexpected(found.error());
  std::vector<ListedSession> list;
  while (found->next()) {
    if (const std::string id = text(*found, 0); list.empty() || list.back().id != id)
      list.push_back({id,
                      text(*found, 1),
                      text(*found, 2),
                      text(*found, 3),
                      text(*found, 4),
                      text(*found, 5),
                      whole(*found, 6),
                      found->value(7).toInt(),
                      found->value(8).toInt(),
                      {}});
    list.back().locations.push_back({text(*found, 9), text(*found, 10), text(*found, 11)});
  }
  return list;
}

Result<std::vector<SessionMean>> history(const Index& index, const std::string& athlete,
                                         definitions::Quantity quantity) {
  auto found = run(index.connection,
                   uR"(SELECT session, started, day, age, n, mean, u, sd, lowest, highest FROM means
                       WHERE quantity = ? AND athlete = ? ORDER BY started, session)"_s,
                   {key_of(quantity), QString::fromStdString(athlete)});
  if (!found) return tl::make_unexpected(found.error());
  std::vector<SessionMean> list;
  while (found->next())
    list.push_back({text(*found, 0), text(*found, 1), text(*found, 2), whole(*found, 3),
                    found->value(4).toInt(), Measured{real(*found, 5), real(*found, 6)},
                    real(*found, 7), real(*found, 8), real(*found, 9)});
  return list;
}

Result<std::vector<Member>> group(const Index& index, definitions::Quantity quantity,
                                  const GroupFilter& filter) {
  Question question{
      uR"(SELECT m.athlete, m.session, m.started, m.day, m.n, m.mean, m.u
          FROM (SELECT athlete, max(started) AS latest FROM means WHERE quantity = ?)"_s,
      {key_of(quantity)}};
  add_filter(question, filter);
  question.add(
      uR"( GROUP BY athlete) c
          JOIN means m ON m.quantity = ? AND m.athlete = c.athlete AND m.started = c.latest
          ORDER BY m.mean, m.session)"_s,
      {key_of(quantity)});
  auto found = run(index.connection, question.statement, question.values);
  if (!found) return tl::make_unexpected(found.error());
  std::vector<Member> members;
  std::set<std::string> seen;  // two sessions of one athlete may have started at one time
  while (found->next()) {
    if (!seen.insert(text(*found, 0)).second) continue;
    members.push_back({text(*found, 0), text(*found, 1), text(*found, 2), text(*found, 3),
                       found->value(4).toInt(), Measured{real(*found, 5), real(*found, 6)}});
  }
  return members;
}

Result<summary::Group> group_beside(const Index& index, const std::string& athlete,
                                    GroupFilter filter, summary::Group beside) {
  if (beside.why_none != summary::NoGroup::none) return beside;
  if (beside.ages) {
    filter.age_from = beside.ages->from;
    filter.age_to = beside.ages->to;
    filter.age_unknown_too = beside.ages->unknown_too;
  }
  std::set<std::string> others;
  for (std::size_t q = 0; q < definitions::quantity_count; ++q) {
    const auto quantity = static_cast<definitions::Quantity>(q);
    const auto members = group(index, quantity, filter);
    if (!members) return tl::make_unexpected(members.error());
    for (const Member& member : *members) {
      if (member.athlete == athlete) continue;
      others.insert(member.athlete);
      beside.means[std::string(definitions::entry(quantity).key)].push_back(member.mean.value);
    }
  }
  beside.athletes = static_cast<int>(others.size());
  if ((!filter.age_from && !filter.age_to) || filter.age_unknown_too) return beside;
  auto unknown = run(index.connection,
                     uR"(SELECT count(DISTINCT athlete) FROM means WHERE athlete <> ?
                           AND athlete NOT IN (SELECT athlete FROM means WHERE age IS NOT NULL))"_s,
                     {QString::fromStdString(athlete)});
  if (!unknown) return tl::make_unexpected(unknown.error());
  if (unknown->next()) beside.without_age = unknown->value(0).toInt();
  return beside;
}

Result<std::vector<ListedExport>> exports(const Index& index, const std::string& athlete) {
  auto found = run(index.connection,
                   uR"(SELECT e.station, e.path, e.problem, e.kind, e.made,
                         (SELECT count(*) FROM exports o WHERE o.station = e.station
                            AND o.path = e.path AND o.athlete <> e.athlete)
                       FROM exports e WHERE e.athlete = ? ORDER BY e.station, e.path)"_s,
                   {QString::fromStdString(athlete)});
  if (!found) return tl::make_unexpected(found.error());
  std::vector<ListedExport> list;
  while (found->next())
    list.push_back({{text(*found, 0), text(*found, 1), text(*found, 2)},
                    text(*found, 3),
                    text(*found, 4),
                    found->value(5).toInt()});
  return list;
}

}  // namespace moundwork::index
