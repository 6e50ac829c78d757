// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "app/index/connection.h"

namespace moundwork::index {

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
/// was made by a newer program, and for writing where this account may only read: better before the
/// work than after it.
[[nodiscard]] Result<Index> open_index(const Address& address, Access access);

/// Whether this account may change the rows. Changes nothing.
[[nodiscard]] Result<void> check_writable(const Index& index);

/// The index that is `named`, or else that MOUNDWORK_INDEX names; none where neither does: for
/// commands that can do without, and should not make one unasked.
[[nodiscard]] Result<std::optional<Index>> open_index_if_named(
    const std::optional<std::string>& named, Access access);

}  // namespace moundwork::index
