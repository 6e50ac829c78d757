// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <pwd.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include "support/folder.h"

namespace moundwork::test {

/// A PostgreSQL server of the test's own in a temporary folder, on a Unix socket and a loopback
/// port, gone with the test's process however that ends.
class PostgresServer {
 public:
  /// Nothing where no server is installed.
  static PostgresServer* get() {
    static std::optional<PostgresServer> server;
    static bool tried = false;
    if (!tried) {
      tried = true;
      // A server's own clock cannot be set by a test's.
      if (std::getenv("MOUNDWORK_TESTS_WITHOUT_SERVERS") != nullptr) return nullptr;
      if (const auto programs = find_programs(); !programs.empty()) server.emplace(programs);
    }
    return server ? &*server : nullptr;
  }

  explicit PostgresServer(std::filesystem::path programs) : programs_(std::move(programs)) {
    const std::string folder = folder_.path().string();
    if (geteuid() == 0) {
      // The server refuses to run as root.
      const passwd* nobody = getpwnam("nobody");
      if (nobody == nullptr || chown(folder.c_str(), nobody->pw_uid, nobody->pw_gid) != 0)
        throw std::runtime_error("no account to run the server in");
      as_nobody_ =
          "setpriv --reuid=nobody --regid=" + std::to_string(nobody->pw_gid) + " --clear-groups ";
    }
    shell(as_nobody_ + (programs_ / "initdb").string() + " -D " + folder +
          "/data -U owner --auth=trust -E UTF8 --locale=C.UTF-8 --no-sync");
    start();
  }
  PostgresServer(const PostgresServer&) = delete;
  PostgresServer& operator=(const PostgresServer&) = delete;
  ~PostgresServer() { stop(); }

  /// A new, empty database; its address as `user` over the socket.
  std::string new_database(const std::string& user = "owner") {
    ++databases_;
    run_sql("postgres", "CREATE DATABASE " + name());
    return address(user);
  }
  [[nodiscard]] std::string address(const std::string& user) const {
    return "postgresql://" + user + "@/" + name() + "?host=" + folder_.path().string() +
           "&port=" + std::to_string(port_);
  }
  /// The same database over TCP.
  [[nodiscard]] std::string tcp_address(const std::string& host) const {
    return "postgresql://owner@" + host + ":" + std::to_string(port_) + "/" + name();
  }
  [[nodiscard]] std::string name() const { return "lab" + std::to_string(databases_); }
  [[nodiscard]] const support::Folder& folder() const { return folder_; }

  /// As the owner, in a database.
  void run_sql(const std::string& database, const std::string& statements) {
    const std::filesystem::path script = folder_ / "script.sql";
    std::ofstream(script) << statements << ";\n";
    shell((programs_ / "psql").string() + " -X -q -v ON_ERROR_STOP=1 -U owner -h " +
          folder_.path().string() + " -p " + std::to_string(port_) + " -d " + database + " -f " +
          script.string());
  }

  /// With these lines at the end of postgresql.conf.
  void restart_with(const std::string& settings) {
    stop();
    std::ofstream(folder_.path() / "data/postgresql.conf", std::ios::app) << settings << '\n';
    start();
  }

  /// In the server's own account; throws when it fails.
  void shell_as_server(const std::string& command) { shell(as_nobody_ + command); }

 private:
  static std::filesystem::path find_programs() {
    std::filesystem::path best;
    std::error_code none;
    for (const auto& version : std::filesystem::directory_iterator("/usr/lib/postgresql", none))
      if (std::filesystem::exists(version.path() / "bin/initdb"))
        best = std::max(best, version.path() / "bin");
    return best;
  }

  void shell(const std::string& command) {
    const std::string log = (folder_ / "log").string();
    if (std::system((command + " >>" + log + " 2>&1").c_str()) == 0) return;
    std::ifstream in(log);
    throw std::runtime_error(command + ": " + std::string(std::istreambuf_iterator<char>(in), {}));
  }

  void start() {
    const std::string folder = folder_.path().string();
    port_ = 20000 + static_cast<int>(getpid() % 20000);
    const std::string command = "exec setpriv --pdeathsig KILL " +
                                (as_nobody_.empty() ? "" : as_nobody_.substr(8)) +
                                (programs_ / "postgres").string() + " -D " + folder + "/data -k " +
                                folder + " -c listen_addresses=localhost -c fsync=off -p " +
                                std::to_string(port_) + " >>" + folder + "/log 2>&1";
    server_ = fork();
    if (server_ == 0) {
      execl("/bin/sh", "sh", "-c", command.c_str(), nullptr);
      _exit(127);
    }
    // The socket carries the port's number in its name.
    for (int i = 0; i < 300; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(100));
      if (std::system(((programs_ / "pg_isready").string() + " -q -U owner -d postgres -h " +
                       folder + " -p " + std::to_string(port_))
                          .c_str()) == 0)
        return;
    }
    throw std::runtime_error("the server did not start; see its log");
  }

  void stop() {
    if (server_ <= 0) return;
    kill(server_, SIGINT);  // fast shutdown
    waitpid(server_, nullptr, 0);
    server_ = 0;
  }

  support::Folder folder_;
  std::filesystem::path programs_;
  std::string as_nobody_;
  pid_t server_ = 0;
  int port_ = 0;
  int databases_ = 0;
};

}  // namespace moundwork::test
