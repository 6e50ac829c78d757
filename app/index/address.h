// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/base/result.h"

namespace moundwork::index {

/// A PostgreSQL server and a database on it.
struct ServerAddress {
  std::string host;  ///< name, IP address, or folder of a Unix socket (begins with '/')
  int port = 5432;
  std::string database;
  std::string user;  ///< empty: the account's own name
  /// In libpq's words, all that are not above; always holds `sslmode`.
  std::vector<std::pair<std::string, std::string>> options;
};

/// Where a lab index is kept: a file (SQLite), or a server (PostgreSQL).
struct Address {
  std::filesystem::path file;
  std::optional<ServerAddress> server;

  [[nodiscard]] std::string shown() const;  ///< for sentences
};

/// Reads a file name or `postgresql://[USER@]HOST[:PORT]/DATABASE[?OPTION=VALUE&...]`. Options are
/// sslmode, sslrootcert, sslcert, sslkey, sslcrl, connect_timeout, and host and port for a socket.
/// A server that is not local gets sslmode verify-full unless another that insists on TLS is asked
/// for; one that would let the connection go in plain is refused, and so is a password, which
/// everyone on this computer could read from the command line. `where` names for the sentence what
/// the text was given as.
[[nodiscard]] Result<Address> parse_address(std::string_view text,
                                            const std::string& where = "lab index");

/// `named` if given, else what MOUNDWORK_INDEX says, else a file in the account's data folder.
[[nodiscard]] Result<Address> choose_address(std::string_view named,
                                             const std::string& where = "lab index");

}  // namespace moundwork::index
