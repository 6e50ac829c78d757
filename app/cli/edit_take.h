// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace moundwork::cli {

struct TakeOptions {
  std::string place;  ///< a session, or a folder of them
  std::string log;
  std::string who;
  bool json = false;
};

/// `moundwork edit take`: the tags of a log's throws, all of them or none. Returns the exit code.
int take_log(const TakeOptions& options);

}  // namespace moundwork::cli
