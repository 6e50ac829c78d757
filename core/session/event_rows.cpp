// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/event_rows.h"

#include <cstdint>
#include <cstring>
#include <span>

#include "core/session/check_sum.h"

namespace moundwork::session {
namespace {

using EventText = hdf5::Text<96>;

std::size_t size_of(const EventColumn& column) {
  return column.whole ? sizeof(std::int32_t) : sizeof(double);
}

// Of what a check sum is made of.
std::size_t told_size(const EventTable& table) {
  std::size_t size = sizeof(double) + sizeof(EventText);
  for (const EventColumn& column : table.columns) size += size_of(column);
  return size;
}

// As a compiler lays out a struct of these members whose numbers need no padding between them.
std::size_t row_size(const EventTable& table) {
  const std::size_t size = told_size(table) + sizeof(std::int64_t);
  return (size + alignof(double) - 1) / alignof(double) * alignof(double);
}

std::int64_t sum_of(std::span<const char> told) { return check_sum({std::as_bytes(told)}); }

std::vector<char> read(const H5::DataSet& rows, const EventTable& table, hsize_t first,
                       hsize_t count) {
  std::vector<char> bytes(count * row_size(table));
  if (bytes.empty()) return bytes;
  const H5::DataSpace source = rows.getSpace();
  source.selectHyperslab(H5S_SELECT_SET, &count, &first);
  rows.read(bytes.data(), event_type(table), H5::DataSpace(1, &count), source);
  return bytes;
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
  add("check", H5::PredType::NATIVE_INT64, sizeof(std::int64_t));
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
  put(row, at, sum_of({row.data(), at}));
  hdf5::append_rows(rows, event_type(table), row.data(), 1);
}

hsize_t reliable_events(const H5::DataSet& rows, const EventTable& table, hsize_t counted) {
  const std::size_t told = told_size(table);
  const hsize_t claimed = hdf5::row_count(rows);
  hsize_t reliable = counted;
  try {
    for (; reliable < claimed; ++reliable) {
      const std::vector<char> row = read(rows, table, reliable, 1);
      std::int64_t check = 0;
      std::memcpy(&check, row.data() + told, sizeof check);
      if (check != sum_of(std::span(row).first(told))) break;
    }
  } catch (const H5::Exception&) {
    // What leads to the row did not reach the disk.
    H5Eclear2(H5E_DEFAULT);
  }
  return reliable;
}

std::vector<InstrumentEvent> read_events(const H5::DataSet& rows, const EventTable& table,
                                         hsize_t count) {
  hdf5::require_plain(rows.getDataType());
  const std::size_t size = row_size(table);
  const std::vector<char> bytes = read(rows, table, 0, count);
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
