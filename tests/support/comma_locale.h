// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <clocale>
#include <cstdlib>
#include <filesystem>
#include <string>

namespace moundwork::support {

/// While it lives, the process writes numbers as in Germany, with a comma. The locale is made in
/// `folder` by localedef, since a computer need not have it.
class CommaLocale {
 public:
  explicit CommaLocale(const std::filesystem::path& folder)
      : before_(std::setlocale(LC_ALL, nullptr)) {
    const std::string make =
        "localedef -i de_DE -f UTF-8 '" + (folder / "de_DE.UTF-8").string() + "' >/dev/null 2>&1";
    made_ = std::system(make.c_str()) == 0 && ::setenv("LOCPATH", folder.c_str(), 1) == 0 &&
            std::setlocale(LC_ALL, "de_DE.UTF-8") != nullptr;
  }
  CommaLocale(const CommaLocale&) = delete;
  CommaLocale& operator=(const CommaLocale&) = delete;
  ~CommaLocale() {
    ::unsetenv("LOCPATH");
    std::setlocale(LC_ALL, before_.c_str());
  }
  /// False where localedef or its sources are not installed.
  [[nodiscard]] bool made() const { return made_; }

 private:
  std::string before_;
  bool made_ = false;
};

}  // namespace moundwork::support
