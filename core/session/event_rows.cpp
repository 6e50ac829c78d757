// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/event_rows.h"

#include <cstring>

namespace moundwork::session {
namespace {

using EventText = hdf5::Text<96>;

std::size_t size_of(const EventColumn& column) {
  return column.whole ? sizeof(std::int32_t) : sizeof(double);
}

// As a compiler lays out a struct of these members whose numbers need no padding between them.
std::size_t row_size(const EventTable& table) {
  std::size_t size = sizeof(double) + sizeof(EventText);
  for (const EventColumn& column : table.columns) size += size_of(column);
  return (size + alignof(double) - 1) / alignof(double) * alignof(double);
}

template <class Value>
void put(std::vector<char>& row, std::size_t& at, const Value& value) {
  std::memcpy(row.data() + at, &value, sizeof value);
  at += sizeof value;
}

template <class Value>
Value take(const char*& at) {
  Value value{};
  std::memcpy(&value, at, sizeof value);
  at += sizeof value;
  return value;
}

}  // namespace

H5::CompType event_type(const EventTable& table) {
  H5::CompType type(row_size(table));
  std::size_t at = 0;
  const auto add = [&](const std::string& name, const H5::DataType& member, std::size_t size) {
    type.insertMember(name, at, member);
    at += size;
  };
  add("arrival", H5::PredType::NATIVE_DOUBLE, sizeof(double));
  for (const EventColumn& column : table.columns)
    add(column.key, column.whole ? H5::PredType::NATIVE_INT32 : H5::PredType::NATIVE_DOUBLE,
        size_of(column));
  add("text", hdf5::text_type(sizeof(EventText)), sizeof(EventText));
  return type;
}

void append_event(H5::DataSet& rows, const EventTable& table, const InstrumentEvent& event) {
  std::vector<char> row(row_size(table), 0);
  std::size_t at = 0;
  put(row, at, seconds(event.arrival));
  for (std::size_t c = 0; c < table.columns.size(); ++c) {
    if (table.columns[c].whole)
      put(row, at, static_cast<std::int32_t>(event.values[c]));
    else
      put(row, at, event.values[c]);
  }
  put(row, at, EventText(event.text));
  hdf5::append_rows(rows, event_type(table), row.data(), 1);
}

std::vector<InstrumentEvent> read_events(const H5::DataSet& rows, const EventTable& table) {
  hdf5::require_plain(rows.getDataType());
  const std::size_t size = row_size(table);
  std::vector<char> bytes(hdf5::rows_held(rows) * size);
  if (!bytes.empty()) rows.read(bytes.data(), event_type(table));
  std::vector<InstrumentEvent> events(bytes.size() / size);
  for (std::size_t i = 0; i < events.size(); ++i) {
    const char* at = bytes.data() + i * size;
    events[i].arrival = session_time(take<double>(at));
    for (std::size_t c = 0; c < table.columns.size(); ++c)
      events[i].values[c] =
          table.columns[c].whole ? static_cast<double>(take<std::int32_t>(at)) : take<double>(at);
    events[i].text = take<EventText>(at).str();
  }
  return events;
}

}  // namespace moundwork::session
