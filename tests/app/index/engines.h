// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <catch2/catch.hpp>
#include <functional>
#include <string>

#include "app/index/index.h"
#include "app/index/postgres.h"

namespace moundwork::test {

inline index::Index open_at(const std::string& text, index::Access access = index::Access::write) {
  const auto address = index::parse_address(text);
  if (!address) throw std::runtime_error(address.error().sentence());
  auto index = index::open_index(*address, access);
  if (!index) throw std::runtime_error(index.error().sentence());
  return std::move(*index);
}

/// Runs a check on a new, empty database of each engine that is there.
inline void on_each_engine(const std::function<void(const std::string& address)>& check) {
  {
    INFO("SQLite");
    const support::Folder folder;
    check((folder / "index.sqlite").string());
  }
  PostgresServer* server = PostgresServer::get();
  if (server == nullptr) {
    WARN("SKIPPED: no PostgreSQL server is installed");
    return;
  }
  INFO("PostgreSQL");
  check(server->new_database());
}

inline int count(const index::Index& index, const std::string& what) {
  auto found = index::run(index.connection, QString::fromStdString("SELECT count(*) FROM " + what));
  if (!found || !found->next()) throw std::runtime_error("cannot count " + what);
  return found->value(0).toInt();
}

}  // namespace moundwork::test
