// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "app/lab/connection.h"

namespace moundwork::lab {

enum class Access {
  read,   ///< an index must be there
  write,  ///< one is made where there is none
};

/// The lab's index: what is in its session files, ready for questions across athletes and years.
/// The files stay the truth. For one thread, as its connection.
struct Index {
  Connection connection;
  std::string station;  ///< the computer, by its name: which files are within reach
};

/// Opens the index and brings an older one to this program's schema. Fails in a sentence where it
/// was made by a newer program.
[[nodiscard]] Result<Index> open_index(const Address& address, Access access);

}  // namespace moundwork::lab
