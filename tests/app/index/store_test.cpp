// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/store.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "app/index/engines.h"
#include "app/index/made_session.h"
#include "app/index/migrations.h"
#include "app/index/queries.h"
#include "app/index/rebuild.h"
#include "app/index/schema.h"

using namespace moundwork;
using namespace Qt::StringLiterals;
using definitions::Quantity;
using test::count;
using test::MadeSession;

namespace {

index::Put put(const index::Index& index, const std::filesystem::path& file) {
  const auto entry = index::read_entry(file);
  if (!entry) throw std::runtime_error(entry.error().sentence());
  const auto done = index::put(index, *entry);
  if (!done) throw std::runtime_error(done.error().sentence());
  return *done;
}

}  // namespace

TEST_CASE("lab store: values come back to the last bit, what is not known stays unknown",
          "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const support::Folder folder;
    MadeSession made;
    made.name = "Zoë O'Mara \"; DROP TABLE throws; --";
    made.throws = {{1.0 / 3.0, 35.1 + 1e-14, 1e-300}, {2.0, std::nan(""), 1.7976931348623157e308}};
    write(folder / "a.h5", made);
    const auto index = test::open_at(address);
    CHECK(put(index, folder / "a.h5").stored == index::Stored::added);
    auto rows = run(index.connection,
                    u"SELECT contact, ball_speed, ball_speed_u, braking_impulse, stride_length "
                    "FROM throws ORDER BY number"_s);
    REQUIRE(rows);
    REQUIRE(rows->next());
    CHECK(rows->value(0).toDouble() == 1.0 / 3.0);
    CHECK(rows->value(1).toDouble() == 35.1 + 1e-14);
    CHECK(rows->value(2).toDouble() == 0.2);
    CHECK(rows->value(3).toDouble() == 1e-300);
    CHECK(rows->isNull(4));
    REQUIRE(rows->next());
    CHECK(rows->isNull(1));
    CHECK(rows->value(3).toDouble() == 1.7976931348623157e308);
    const auto athletes = index::athletes(index);
    REQUIRE(athletes);
    REQUIRE(athletes->size() == 1);
    CHECK((*athletes)[0].name == made.name);
    CHECK((*athletes)[0].throw_count == 2);
  });
}

TEST_CASE("lab store: adding again brings an analysis and edits up to date", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const support::Folder folder;
    MadeSession made;
    write(folder / "a.h5", made);
    const auto index = test::open_at(address);
    (void)put(index, folder / "a.h5");
    auto history = index::history(index, "A-01", Quantity::ball_speed);
    REQUIRE(history);
    REQUIRE(history->size() == 1);
    CHECK((*history)[0].n == 3);
    CHECK((*history)[0].mean.value == Approx(36.0));
    CHECK((*history)[0].age == 17);

    test::require(
        session::append_edit(folder / "a.h5", test::exclusion(30.0, "2026-03-02T08:00:00Z")));
    CHECK(put(index, folder / "a.h5").stored == index::Stored::replaced);
    history = index::history(index, "A-01", Quantity::ball_speed);
    REQUIRE(history->size() == 1);
    CHECK((*history)[0].n == 2);
    CHECK((*history)[0].mean.value == Approx(35.5));
    CHECK(count(index, "edits") == 1);
    CHECK(count(index, "throws") == 3);

    // A new analysis finds one throw less.
    made.made = "2026-03-03T12:00:00Z";
    made.throws.pop_back();
    test::require(session::append_results(folder / "a.h5", test::results_of(made)));
    (void)put(index, folder / "a.h5");
    CHECK(count(index, "throws") == 2);
    CHECK(count(index, "sessions") == 1);
    CHECK(count(index, "edits") == 1);
  });
}

TEST_CASE("lab store: files that are moved or copied are known by their identity", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const support::Folder folder;
    const MadeSession made;
    std::filesystem::create_directory(folder / "sub");
    write(folder / "a.h5", made);
    const auto index = test::open_at(address);
    (void)put(index, folder / "a.h5");
    const auto places = [&] {
      const auto listed = index::sessions(index);
      REQUIRE(listed);
      REQUIRE(listed->size() == 1);  // never counted twice
      return (*listed)[0].locations;
    };

    std::filesystem::rename(folder / "a.h5", folder / "sub/b.h5");
    std::filesystem::rename(folder / "a.results.hdf5", folder / "sub/b.results.hdf5");
    CHECK(put(index, folder / "sub/b.h5").copies.empty());
    REQUIRE(places().size() == 1);
    CHECK(places()[0].path == std::filesystem::canonical(folder / "sub/b.h5").string());

    for (const char* ending : {".h5", ".results.hdf5"})
      std::filesystem::copy_file(folder / (std::string("sub/b") + ending),
                                 folder / (std::string("copy") + ending));
    const auto copied = put(index, folder / "copy.h5");
    REQUIRE(copied.copies.size() == 1);
    CHECK(places().size() == 2);
    CHECK(count(index, "throws") == 3);

    // Work on the copy: from now on it counts, whichever is added last.
    test::require(
        session::append_edit(folder / "copy.h5", test::exclusion(10.0, "2026-03-05T08:00:00Z")));
    CHECK(put(index, folder / "copy.h5").stored == index::Stored::replaced);
    CHECK(put(index, folder / "sub/b.h5").stored == index::Stored::older_copy);
    CHECK((*index::history(index, "A-01", Quantity::ball_speed))[0].n == 2);

    // Another session takes a name: the old place goes, and with its last place the session.
    std::filesystem::remove(folder / "copy.h5");
    MadeSession other;
    other.id = "another";
    other.athlete = "A-02";
    std::filesystem::remove(folder / "sub/b.results.hdf5");
    std::filesystem::remove(folder / "sub/b.h5");
    write(folder / "sub/b.h5", other);
    (void)put(index, folder / "sub/b.h5");
    const auto rest = index::sessions(index);
    REQUIRE(rest);
    // The copy was not looked at since it vanished.
    CHECK(rest->size() == 2);
    REQUIRE(index::rebuild(index, {folder.path()}));
    CHECK(index::sessions(index)->size() == 1);
    CHECK(index::athletes(index)->size() == 1);
  });
}

TEST_CASE("lab store: an athlete is what the latest session says", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const support::Folder folder;
    const auto index = test::open_at(address);
    MadeSession late, early, odd;
    late.id = "late";
    late.name = "Mara Quill-Ost";
    early.id = "early";
    early.started = "2025-03-01T09:30:00Z";
    early.born.clear();
    odd.id = "odd";
    odd.started = "2024-03-01T09:30:00Z";
    odd.born = "2007-06-15";
    write(folder / "late.h5", late);
    write(folder / "early.h5", early);
    write(folder / "odd.h5", odd);
    (void)put(index, folder / "late.h5");
    CHECK(put(index, folder / "early.h5").remarks.empty());
    const auto found = index::find_athlete(index, "A-01");
    REQUIRE(found);
    CHECK(found->name == "Mara Quill-Ost");
    CHECK(found->born == "2008-06-15");
    // A birth date known from one session gives the age of the others.
    const auto history = index::history(index, "A-01", Quantity::ball_speed);
    REQUIRE(history->size() == 2);
    CHECK((*history)[0].started == early.started);
    CHECK((*history)[0].age == 16);

    const auto remarks = put(index, folder / "odd.h5").remarks;
    REQUIRE(remarks.size() == 1);
    CHECK(remarks[0].find("two people") != std::string::npos);
    CHECK(index::find_athlete(index, "Mara Quill-Ost")->id == "A-01");
    CHECK_FALSE(index::find_athlete(index, "nobody"));
  });
}

TEST_CASE("lab store: two people under one id are remarked on in any order", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const support::Folder folder;
    MadeSession old, fresh;
    old.id = "old";
    old.name = "Old Pupil";
    old.born = "2009-01-01";
    fresh.id = "new";
    fresh.name = "New Kid";
    fresh.born = "2012-03-04";
    fresh.started = "2026-05-01T09:30:00Z";
    write(folder / "old.h5", old);
    write(folder / "new.h5", fresh);
    const bool old_first = GENERATE(true, false);
    const index::Index index = test::open_at(address);
    CHECK(put(index, folder / (old_first ? "old.h5" : "new.h5")).remarks.empty());
    const auto second = put(index, folder / (old_first ? "new.h5" : "old.h5")).remarks;
    REQUIRE(second.size() == 1);
    CHECK(second[0].find("two people") != std::string::npos);
    CHECK(second[0].find("Old Pupil, born 2009-01-01") != std::string::npos);
    CHECK(second[0].find("New Kid, born 2012-03-04") != std::string::npos);
    // Brought up to date after an analysis, it is said again.
    CHECK(put(index, folder / "new.h5").remarks.size() == 1);
  });
}

TEST_CASE("lab store: a group counts each athlete once, by the latest session that fits",
          "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const support::Folder folder;
    const auto index = test::open_at(address);
    int number = 0;
    const auto add = [&](const std::string& athlete, const std::string& started, double speed,
                         session::Hand hand = session::Hand::right) {
      MadeSession made;
      made.id = "s" + std::to_string(++number);
      made.athlete = athlete;
      made.started = started;
      made.hand = hand;
      made.born = "2010-01-01";
      made.throws = {{10.0, speed - 1.0, 60.0}, {20.0, speed + 1.0, 60.0}};
      write(folder / (made.id + ".h5"), made);
      (void)put(index, folder / (made.id + ".h5"));
    };
    add("A", "2025-05-01T00:00:00Z", 30.0);
    add("A", "2026-05-01T00:00:00Z", 33.0);
    add("B", "2026-05-01T00:00:00Z", 31.0, session::Hand::left);
    add("C", "2024-05-01T00:00:00Z", 29.0);
    const auto members = [&](const index::GroupFilter& filter) {
      const auto group = index::group(index, Quantity::ball_speed, filter);
      REQUIRE(group);
      std::vector<std::pair<std::string, double>> list;
      for (const auto& member : *group) list.emplace_back(member.athlete, member.mean.value);
      return list;
    };
    using List = std::vector<std::pair<std::string, double>>;
    CHECK(members({}) == List{{"C", 29.0}, {"B", 31.0}, {"A", 33.0}});
    index::GroupFilter filter;
    filter.age_to = 15;  // A's session at sixteen does not fit, the one at fifteen does
    CHECK(members(filter) == List{{"C", 29.0}, {"A", 30.0}});
    filter.age_from = 15;
    CHECK(members(filter) == List{{"A", 30.0}});
    filter = {};
    filter.throws = session::Hand::left;
    CHECK(members(filter) == List{{"B", 31.0}});
    filter = {};
    filter.least_throws = 3;
    CHECK(members(filter).empty());

    const auto beside = index::group_beside(index, "A", {}, summary::Group{});
    REQUIRE(beside);
    CHECK(beside->athletes == 2);
    CHECK(beside->means.at("ball_speed") == std::vector{29.0, 31.0});
    CHECK_FALSE(beside->means.contains("stride_length"));
    CHECK(beside->without_age == 0);
    REQUIRE(run(index.connection, u"UPDATE means SET age = NULL WHERE athlete = 'C'"_s));
    filter = {};
    filter.age_from = 10;
    const auto like_age = index::group_beside(index, "A", filter, summary::Group{});
    REQUIRE(like_age);
    CHECK(like_age->athletes == 1);
    CHECK(like_age->without_age == 1);
  });
}

TEST_CASE("lab index: who may only read is told before the work", "[app][index]") {
  const support::Folder folder;
  const std::string address = (folder / "index.sqlite").string();
  const index::Index index = test::open_at(address);
  CHECK(index::check_writable(index));
  REQUIRE(run(index.connection, u"PRAGMA query_only = ON"_s));
  const auto writable = index::check_writable(index);
  REQUIRE_FALSE(writable);
  CHECK(writable.error().sentence().find("may only read") != std::string::npos);
  REQUIRE(run(index.connection, u"PRAGMA query_only = OFF"_s));
  CHECK(index::check_writable(index));
}

TEST_CASE("lab rebuild: one bad file does not keep the others out", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const support::Folder folder;
    std::filesystem::create_directory(folder / "day");
    MadeSession made;
    write(folder / "day/a.h5", made);
    made.id = "second";
    made.athlete = "A-02";
    write(folder / "day/b.h5", made);
    std::ofstream(folder / "day/broken.h5") << "no session";
    std::ofstream(folder / "day/notes.txt") << "not looked at";
    const auto index = test::open_at(address);
    auto rebuilt = index::rebuild(index, {folder.path()});
    REQUIRE(rebuilt);
    CHECK(rebuilt->files == 2);
    CHECK(rebuilt->sessions == 2);
    REQUIRE(rebuilt->bad.size() == 1);
    CHECK(rebuilt->bad[0].sentence().find("broken.h5") != std::string::npos);
    CHECK(count(index, "throws") == 6);

    // What another station listed stays, what was deleted here goes.
    REQUIRE(run(index.connection,
                u"UPDATE locations SET station = 'another' WHERE session = 'second'"_s));
    std::filesystem::remove_all(folder / "day");
    rebuilt = index::rebuild(index, {folder.path()});
    REQUIRE(rebuilt);
    CHECK(rebuilt->dropped == 1);
    CHECK(count(index, "sessions") == 1);
    CHECK(count(index, "athletes") == 1);
    CHECK_FALSE(index::rebuild(index, {folder / "day"}));
  });
}

TEST_CASE("lab schema: an index of version 1 is brought to this one with all that is in it",
          "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    {
      const auto connection = index::Connection::open(*index::parse_address(address), true);
      REQUIRE(connection);
      CHECK(index::version_of(*connection) == 0);
      REQUIRE(index::migrate(*connection, 1));
      CHECK(index::version_of(*connection) == 1);
      for (const QString& statement :
           {u"INSERT INTO athletes VALUES ('A-01', 'Mara Quill', 'left', '2008-06-15', '2026')"_s,
            u"INSERT INTO sessions VALUES ('s1', 'A-01', '2026-03-01T09:30:00Z', 'recording', 17, "
            "71.5, 1.78, 'mound', 'm', 'w', 'c', 1, 0)"_s,
            u"INSERT INTO locations VALUES ('s1', 'north', '/data/s1.h5', '2026', 1000)"_s,
            u"INSERT INTO throws (session, number, contact, excluded, why, flags, ball_speed, "
            "ball_speed_u) VALUES ('s1', 1, 10.5, 0, '', '', 36.5, 0.2)"_s,
            u"INSERT INTO means VALUES ('s1', 'ball_speed', 'A-01', '2026-03-01T09:30:00Z', 17, 1, "
            "36.5, NULL, 0.2, 36.5, 36.5)"_s})
        REQUIRE(run(*connection, statement));
    }
    const auto index = test::open_at(address, index::Access::read);
    CHECK(index::version_of(index.connection) == index::schema_version());
    const auto history = index::history(index, "A-01", Quantity::ball_speed);
    REQUIRE(history);
    REQUIRE(history->size() == 1);
    CHECK((*history)[0].mean.value == 36.5);
    const auto listed = index::sessions(index);
    REQUIRE(listed->size() == 1);
    CHECK((*listed)[0].locations[0].problem.empty());
    CHECK(index::athletes(index)->front().forgotten.empty());
    CHECK(index::exports(index, "A-01")->empty());
    // Every quantity of the catalogue has its column, so that none can be forgotten in a step.
    for (std::size_t q = 0; q < definitions::quantity_count; ++q) {
      const std::string key(definitions::entry(static_cast<Quantity>(q)).key);
      INFO(key << " needs a step of its own in app/index/schema.cpp");
      CHECK(run(index.connection,
                QString::fromStdString("SELECT " + key + ", " + key + "_u FROM throws")));
    }
  });
}

TEST_CASE("lab schema: what is no index, or a newer one, is refused in a sentence",
          "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    {
      const auto index = test::open_at(address);
      REQUIRE(run(index.connection, u"INSERT INTO schema_steps VALUES (999, 'later')"_s));
    }
    const auto newer = index::open_index(*index::parse_address(address), index::Access::write);
    REQUIRE_FALSE(newer);
    CHECK(newer.error().sentence().find("newer Moundwork") != std::string::npos);
  });
  const support::Folder folder;
  const auto refused = [&](const std::string& name, index::Access access) {
    const auto index = index::open_index(*index::parse_address((folder / name).string()), access);
    REQUIRE_FALSE(index);
    return index.error();
  };
  const auto sentence = [&](const std::string& name, index::Access access) {
    return refused(name, access).sentence();
  };
  // The window shows these too: what a command is called stands in app/cli alone.
  const Error none = refused("none.sqlite", index::Access::read);
  CHECK(none.what == "there is no index");
  CHECK(none.remedy == Remedy::make_index);
  CHECK_FALSE(std::filesystem::exists(folder / "none.sqlite"));
  std::ofstream(folder / "text.sqlite") << std::string(5000, 'x');
  const Error damaged = refused("text.sqlite", index::Access::write);
  CHECK(damaged.what.find("not a database") != std::string::npos);
  CHECK(damaged.remedy == Remedy::make_index_again);
  std::filesystem::create_directory(folder / "folder");
  CHECK(sentence("folder", index::Access::write).find("is no file") != std::string::npos);
}

TEST_CASE("lab index: commands that can do without open one only where one is named",
          "[app][index]") {
  const support::Folder folder;
  unsetenv("MOUNDWORK_INDEX");
  const auto none = index::open_index_if_named(std::nullopt, index::Access::write);
  REQUIRE(none);
  CHECK_FALSE(*none);
  const std::string set = (folder / "set.sqlite").string();
  setenv("MOUNDWORK_INDEX", set.c_str(), 1);
  const auto found = index::open_index_if_named(std::nullopt, index::Access::write);
  const auto named =
      index::open_index_if_named((folder / "named.sqlite").string(), index::Access::write);
  unsetenv("MOUNDWORK_INDEX");
  REQUIRE(found);
  REQUIRE(*found);
  CHECK((*found)->connection.where() == set);
  REQUIRE(named);
  REQUIRE(*named);
  CHECK((*named)->connection.where() == (folder / "named.sqlite").string());
}

TEST_CASE("lab store: what a killed recording left of a copy is not entered", "[app][index]") {
  const support::Folder folder;
  MadeSession made;
  write(folder / "a.h5", made);
  std::filesystem::create_directory(folder / ".a.h5.continue");
  std::filesystem::copy_file(folder / "a.h5", folder / ".a.h5.continue/a.h5");
  std::ofstream(folder / ".a.h5.continue/half.h5") << "half";
  const auto index = test::open_at((folder / "index.sqlite").string());
  REQUIRE(index::rebuild(index, {folder.path()}));
  CHECK(count(index, "locations") == 1);
}

TEST_CASE("lab store: a new index is for its owner's eyes", "[app][index]") {
  const support::Folder folder;
  const auto index = test::open_at((folder / "new/index.sqlite").string());
  REQUIRE(run(index.connection, u"INSERT INTO exports VALUES ('s', 'p', 'a', 'k', 'm', '')"_s));
  for (const char* file : {"new/index.sqlite", "new/index.sqlite-wal"})
    CHECK((std::filesystem::status(folder / file).permissions() &
           (std::filesystem::perms::group_all | std::filesystem::perms::others_all)) ==
          std::filesystem::perms::none);
}

TEST_CASE("lab store: another program's database is refused and left as it is", "[app][index]") {
  const support::Folder folder;
  const std::string file = (folder / "orders.sqlite").string();
  {
    QSqlDatabase other = QSqlDatabase::addDatabase(u"QSQLITE"_s, u"other"_s);
    other.setDatabaseName(QString::fromStdString(file));
    REQUIRE(other.open());
    REQUIRE(QSqlQuery(other).exec(u"CREATE TABLE orders (number INTEGER)"_s));
  }
  QSqlDatabase::removeDatabase(u"other"_s);
  const auto text_of = [&] {
    std::ifstream in(file, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(in), {});
  };
  const std::string before = text_of();
  for (const index::Access access : {index::Access::read, index::Access::write}) {
    const auto index = index::open_index(*index::parse_address(file), access);
    REQUIRE_FALSE(index);
    CHECK(index.error().sentence().find("another program's") != std::string::npos);
  }
  CHECK(text_of() == before);
}

TEST_CASE("lab store: an export is listed for each athlete in it, once", "[app][index]") {
  test::on_each_engine([](const std::string& address) {
    const support::Folder folder;
    const auto index = test::open_at(address);
    std::ofstream(folder / "day.csv") << "x";
    REQUIRE(index::list_export(index, {folder / "day.csv", "table", {"A", "B", "A"}}));
    auto listed = index::exports(index, "A");
    REQUIRE(listed);
    REQUIRE(listed->size() == 1);
    CHECK((*listed)[0].others == 1);
    CHECK((*listed)[0].kind == "table");
    // Written over without A.
    REQUIRE(index::list_export(index, {folder / "day.csv", "table", {"B"}}));
    CHECK(index::exports(index, "A")->empty());
    CHECK(index::exports(index, "B")->front().others == 0);
  });
}
