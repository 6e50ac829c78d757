// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/address.h"

#include <fmt/format.h>

#include <QStandardPaths>
#include <QString>
#include <QUrl>
#include <QUrlQuery>
#include <algorithm>
#include <array>
#include <cstdlib>

namespace moundwork::index {
namespace {

using namespace Qt::StringLiterals;

// Where Debian's server puts its socket; named, so that PGHOST of the surroundings cannot lead
// elsewhere.
constexpr const char* usual_socket_folder = "/var/run/postgresql";

constexpr std::array<std::string_view, 6> known_options{
    "sslmode", "sslrootcert", "sslcert", "sslkey", "sslcrl", "connect_timeout"};
// libpq's modes that never fall back to plain.
constexpr std::array<std::string_view, 3> modes_with_tls{"require", "verify-ca", "verify-full"};
constexpr std::array<std::string_view, 3> modes_without{"disable", "allow", "prefer"};

template <class List>
bool holds(const List& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

bool is_local(std::string_view host) {
  return host.starts_with('/') || host == "localhost" || host == "::1" ||
         (host.starts_with("127.") && host.find_first_not_of("0123456789.") == host.npos);
}

std::optional<int> to_port(const std::string& text) {
  bool good = false;
  const int port = QString::fromStdString(text).toInt(&good);
  if (!good || port < 1 || port > 65535) return std::nullopt;
  return port;
}

Result<ServerAddress> parse_server(const std::string& text, const std::string& where) {
  const QUrl url(QString::fromStdString(text), QUrl::StrictMode);
  if (!url.isValid())
    return fail(where, "is no address of a server", "write postgresql://USER@HOST/DATABASE");
  if (!url.password().isEmpty())
    return fail(where, "a password in the address can be read by everyone on this computer",
                "put it into ~/.pgpass and leave it out here");
  ServerAddress server;
  server.host = url.host().toStdString();
  server.port = url.port(5432);
  server.user = url.userName(QUrl::FullyDecoded).toStdString();
  server.database = url.path(QUrl::FullyDecoded).mid(1).toStdString();
  if (server.database.empty())
    return fail(where, "names no database", "write postgresql://USER@HOST/DATABASE");
  if (url.hasFragment() || server.host.find(',') != std::string::npos)
    return fail(where, "must name one server and one database",
                "write postgresql://USER@HOST/DATABASE");
  std::string mode;
  for (const auto& [name, value] : QUrlQuery(url).queryItems(QUrl::FullyDecoded)) {
    const std::string option = name.toStdString();
    const std::string setting = value.toStdString();
    // Qt takes ';' as the end of an option.
    if (setting.empty() || setting.find(';') != std::string::npos)
      return fail(where, fmt::format("'{}' is set to nothing that can be used", option));
    if (option == "host" && server.host.empty() && setting.front() == '/')
      server.host = setting;
    else if (option == "port" && url.port() == -1 && to_port(setting))
      server.port = *to_port(setting);
    else if (option == "sslmode")
      mode = setting;
    else if (holds(known_options, option))
      server.options.emplace_back(option, setting);
    else
      return fail(where, fmt::format("'{}' is no option of an index's address", option),
                  "docs/lab-index.md lists them");
  }
  if (server.host.empty()) server.host = usual_socket_folder;
  const bool local = is_local(server.host);
  if (mode.empty()) mode = local ? "disable" : "verify-full";
  if (!holds(modes_with_tls, mode)) {
    if (!holds(modes_without, mode))
      return fail(where, fmt::format("'{}' is no sslmode", mode), "use verify-full");
    if (!local)
      return fail(
          where,
          fmt::format("sslmode {} could send athletes' data unencrypted over a network", mode),
          "use verify-full and give the server a certificate, see docs/lab-index.md");
  }
  server.options.emplace_back("sslmode", mode);
  return server;
}

}  // namespace

std::string Address::shown() const {
  if (!server) return file.string();
  return fmt::format("database '{}' at {}", server->database, server->host);
}

Result<Address> parse_address(std::string_view text, const std::string& where) {
  if (text.empty()) return fail(where, "names nothing", "give a file or a server's address");
  Address address;
  if (text.starts_with("postgresql://") || text.starts_with("postgres://")) {
    auto server = parse_server(std::string(text), where);
    if (!server) return tl::make_unexpected(server.error());
    address.server = std::move(*server);
    return address;
  }
  // "host=..." and other addresses would otherwise become files of that name.
  if (text.find("://") != text.npos || text.starts_with("host="))
    return fail(where, fmt::format("'{}' is neither a file nor a server", text),
                "write postgresql://USER@HOST/DATABASE for a server");
  std::error_code problem;
  address.file = std::filesystem::absolute(std::filesystem::path(text), problem);
  if (problem) return fail(where, "cannot be found: " + problem.message());
  return address;
}

Result<Address> choose_address(std::string_view named, const std::string& where) {
  if (!named.empty()) return parse_address(named, where);
  const char* set = std::getenv("MOUNDWORK_INDEX");
  if (set != nullptr && *set != '\0') return parse_address(set, "MOUNDWORK_INDEX");
  const QString folder = QStandardPaths::writableLocation(QStandardPaths::GenericDataLocation);
  if (folder.isEmpty())
    return fail(where, "this account has no folder for data", "name a file for the index");
  return parse_address((folder + u"/moundwork/index.sqlite"_s).toStdString(), where);
}

}  // namespace moundwork::index
