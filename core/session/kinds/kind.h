// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/base/units.h"
#include "core/session/session.h"

namespace H5 {
class H5File;
}

/// Kinds of instruments: what one is and how a session file holds it. Each kind is a folder here
/// and a line in list.cpp.
namespace moundwork::session {

/// A number that events of a kind tell, beside their arrival and the line as sent.
struct EventColumn {
  std::string key;
  std::string unit;        ///< as the tables have units: "1" for a number without one
  std::string definition;  ///< for tables that leave the lab
  bool whole = false;      ///< stored in 32 bits, never unknown
};

/// How a kind's events are named and where the file has them.
struct EventTable {
  std::string word;                  ///< what the events are, many: "readings"
  std::vector<EventColumn> columns;  ///< at most InstrumentEvent::most_values
  /// Whether the events leave the lab as a table of their own.
  bool exported = true;
  std::function<std::vector<std::string>(const Session&)> names;  ///< of the instruments described
  std::function<std::string(const std::string& name)> path;       ///< of one's table in the file
};

/// A number with its uncertainty that describes an instrument.
struct Measure {
  std::string key;  ///< in the station file; `key_u` is its standard uncertainty
  Dimension dimension = Dimension::length;
  std::string unit;  ///< SI, at the end of the attribute's name: "m"
  bool needed = false;
};

struct Kind {
  std::string key;  ///< its table in a station file and its group in a session
  /// Makes groups, attributes and empty tables in a new file. Throws H5::Exception.
  std::function<void(H5::H5File&, const Session&)> write;
  /// Throws H5::Exception, or std::invalid_argument where the file says what cannot be.
  std::function<void(const H5::H5File&, Session&)> read;
  std::vector<Measure> measures;     ///< of a kind made by measured_kind()
  std::optional<EventTable> events;  ///< nothing: its samples are a device's
};

/// A kind whose instruments are wholly described by measures, as Session::instruments: each has
/// the group KEY/NAME, the measures its attributes, the events its table WORD.
[[nodiscard]] Kind measured_kind(std::string key, std::vector<Measure> measures, std::string word,
                                 std::vector<EventColumn> columns);

}  // namespace moundwork::session
