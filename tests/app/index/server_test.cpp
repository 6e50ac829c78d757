// SPDX-License-Identifier: GPL-3.0-or-later
// What docs/lab-index.md says of a server: certificates and roles.
#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "app/index/engines.h"
#include "app/index/forget.h"
#include "app/index/made_session.h"
#include "app/index/queries.h"
#include "app/index/store.h"

using namespace moundwork;
using namespace Qt::StringLiterals;

namespace {

std::string refusal(const std::string& address, index::Access access = index::Access::write) {
  const auto parsed = index::parse_address(address);
  REQUIRE(parsed);
  const auto index = index::open_index(*parsed, access);
  REQUIRE_FALSE(index);
  INFO(index.error().sentence());
  CHECK(index.error().sentence().find('\n') == std::string::npos);
  return index.error().sentence();
}

// The page's blocks of SQL, in order.
std::vector<std::string> sql_of_page() {
  std::ifstream page(MOUNDWORK_SAMPLE_DATA "/../docs/lab-index.md");
  std::vector<std::string> blocks;
  bool inside = false;
  for (std::string line; std::getline(page, line);) {
    if (line == "```sql") {
      inside = true;
      blocks.emplace_back();
    } else if (line == "```") {
      inside = false;
    } else if (inside) {
      blocks.back() += line + "\n";
    }
  }
  return blocks;
}

index::SessionEntry entry() {
  index::SessionEntry made;
  made.path = "/data/s1.h5";
  made.id = "s1";
  made.athlete.id = "A-01";
  made.started = made.made = "2026-03-01T09:30:00Z";
  made.throws.resize(2);
  made.throws[1].number = 1;
  made.throws[0].quantities[0] = {35.0, 0.2};
  return made;
}

}  // namespace

TEST_CASE("lab server: held to its certificate, or not talked to", "[app][index]") {
  auto* server = test::PostgresServer::get();
  if (server == nullptr) {
    WARN("SKIPPED: no PostgreSQL server is installed");
    return;
  }
  if (std::system("openssl version >/dev/null 2>&1") != 0) {
    WARN("SKIPPED: no openssl to make certificates with");
    return;
  }
  (void)server->new_database();
  const std::string folder = server->folder().path().string();
  const std::string verified =
      server->tcp_address("localhost") + "?sslmode=verify-full&sslrootcert=" + folder + "/ca.crt";

  for (const char* authority : {"ca", "other"})
    server->shell_as_server(
        "openssl req -x509 -newkey rsa:2048 -nodes -days 2 -subj /CN=" + std::string(authority) +
        " -keyout " + folder + "/" + authority + ".key -out " + folder + "/" + authority + ".crt");
  // Before the server speaks TLS there is no fall-back to plain.
  CHECK(refusal(verified).find("does not support SSL") != std::string::npos);

  std::ofstream(server->folder() / "names") << "subjectAltName = DNS:localhost\n";
  server->shell_as_server("openssl req -newkey rsa:2048 -nodes -subj /CN=localhost -keyout " +
                          folder + "/server.key -out " + folder + "/server.csr");
  server->shell_as_server("openssl x509 -req -days 2 -in " + folder + "/server.csr -CA " + folder +
                          "/ca.crt -CAkey " + folder + "/ca.key -CAcreateserial -extfile " +
                          folder + "/names -out " + folder + "/server.crt");
  server->restart_with("ssl = on\nssl_cert_file = '" + folder + "/server.crt'\nssl_key_file = '" +
                       folder + "/server.key'");
  {
    const auto index = test::open_at(verified);
    auto told =
        run(index.connection, u"SELECT ssl FROM pg_stat_ssl WHERE pid = pg_backend_pid()"_s);
    REQUIRE(told);
    REQUIRE(told->next());
    CHECK(told->value(0).toBool());
  }
  // An authority that did not sign, and a name that is not in the certificate.
  CHECK(refusal(server->tcp_address("localhost") + "?sslmode=verify-full&sslrootcert=" + folder +
                "/other.crt")
            .find("certificate verify failed") != std::string::npos);
  CHECK(refusal(server->tcp_address("127.0.0.1") + "?sslmode=verify-full&sslrootcert=" + folder +
                "/ca.crt")
            .find("does not match host name") != std::string::npos);
}

TEST_CASE("lab server: surroundings do not lead a local name elsewhere", "[app][index]") {
  auto* server = test::PostgresServer::get();
  if (server == nullptr) {
    WARN("SKIPPED: no PostgreSQL server is installed");
    return;
  }
  const std::string address = server->new_database();
  setenv("PGHOSTADDR", "192.0.2.1", 1);  // RFC 5737: an address that is nowhere
  const auto index = index::open_index(*index::parse_address(address), index::Access::write);
  unsetenv("PGHOSTADDR");
  CHECK(index);
}

TEST_CASE("lab server: the page's roles read, write and own", "[app][index]") {
  auto* server = test::PostgresServer::get();
  if (server == nullptr) {
    WARN("SKIPPED: no PostgreSQL server is installed");
    return;
  }
  const auto blocks = sql_of_page();
  REQUIRE(blocks.size() == 2);
  server->run_sql("postgres", blocks[0]);
  server->run_sql("lab", "SET ROLE lab_owner;\n" + blocks[1]);
  const auto as = [&](const std::string& role) {
    return "postgresql://" + role + "@/lab?" +
           server->address(role).substr(server->address(role).find('?') + 1);
  };
  // Before the owner has made the tables, others cannot.
  CHECK(refusal(as("north_mound")).find("roles in docs/lab-index.md") != std::string::npos);
  (void)test::open_at(as("lab_owner"));

  const auto writer = test::open_at(as("north_mound"));
  REQUIRE(index::put(writer, entry()));
  REQUIRE(index::put(writer, entry()));
  REQUIRE(index::list_export(writer, {"/data/a.pdf", "summary", {"A-01"}}));
  CHECK_FALSE(run(writer.connection, u"DROP TABLE throws"_s));

  const auto reader = test::open_at(as("office"), index::Access::read);
  const auto history = index::history(reader, "A-01", definitions::Quantity::ball_speed);
  REQUIRE(history);
  CHECK(history->size() == 1);
  const auto refused = index::put(reader, entry());
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("permission denied") != std::string::npos);
  CHECK(refused.error().sentence().find("roles in docs/lab-index.md") != std::string::npos);
  for (const QString& table : {u"athletes"_s, u"sessions"_s, u"throws"_s, u"means"_s, u"edits"_s,
                               u"locations"_s, u"exports"_s, u"forgotten_sessions"_s})
    CHECK_FALSE(run(reader.connection, u"DELETE FROM "_s + table));

  // Files are not there; rows can be deleted by a writing station alone.
  const auto plan = index::plan_forgetting(writer, "A-01");
  REQUIRE(plan);
  CHECK(index::carry_out(writer, *plan));
}
