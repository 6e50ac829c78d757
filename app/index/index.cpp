// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/index.h"

#include <fmt/format.h>

#include <QSysInfo>

#include "app/index/migrations.h"
#include "app/index/schema.h"

namespace moundwork::index {

Result<Index> open_index(const Address& address, Access access) {
  auto connection = Connection::open(address, access == Access::write);
  if (!connection) return tl::make_unexpected(connection.error());
  const auto version = version_of(*connection);
  if (!version) return tl::make_unexpected(version.error());
  if (*version > schema_version())
    return fail(address.shown(),
                fmt::format("was made by a newer Moundwork (schema {}, this one knows {})",
                            *version, schema_version()),
                "bring this station's Moundwork up to date");
  if (*version == 0 && access == Access::read)
    return fail(address.shown(), "holds no index", Remedy::make_index);
  if (*version < schema_version())
    if (auto done = migrate(*connection, schema_version()); !done)
      return tl::make_unexpected(done.error());
  Index index{std::move(*connection), QSysInfo::machineHostName().toStdString()};
  if (access == Access::write)
    if (auto writable = check_writable(index); !writable)
      return tl::make_unexpected(writable.error());
  return index;
}

Result<void> check_writable(const Index& index) {
  const auto transaction = Transaction::begin(index.connection);
  if (!transaction) return tl::make_unexpected(transaction.error());
  // No export is listed so, and the transaction is taken back.
  const auto tried = run(index.connection, QStringLiteral("DELETE FROM exports WHERE path = ''"));
  if (!tried) return tl::make_unexpected(tried.error());
  return {};
}

Result<std::optional<Index>> open_index_if_named(const std::optional<std::string>& named,
                                                 Access access) {
  if (!named && qEnvironmentVariableIsEmpty("MOUNDWORK_INDEX")) return std::optional<Index>();
  const auto address = choose_address(named.value_or(std::string()));
  if (!address) return tl::make_unexpected(address.error());
  auto index = open_index(*address, access);
  if (!index) return tl::make_unexpected(index.error());
  return std::optional<Index>(std::move(*index));
}

}  // namespace moundwork::index
