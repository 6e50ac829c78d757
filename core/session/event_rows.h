// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/session/hdf5.h"
#include "core/session/kinds/kind.h"

/// Events as rows of a table: arrival, the kind's columns, text, check sum; private to
/// core/session.
namespace moundwork::session {

inline constexpr hsize_t event_rows_per_chunk = 64;
[[nodiscard]] H5::CompType event_type(const EventTable& table);
void append_event(H5::DataSet& rows, const EventTable& table, const InstrumentEvent& event);
/// The first `count` rows.
[[nodiscard]] std::vector<InstrumentEvent> read_events(const H5::DataSet& rows,
                                                       const EventTable& table, hsize_t count);
/// Those `counted` as being on the disk, and of what follows each whose check sum agrees.
[[nodiscard]] hsize_t reliable_events(const H5::DataSet& rows, const EventTable& table,
                                      hsize_t counted);

}  // namespace moundwork::session
