// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/tidy.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <type_traits>
#include <utility>

#include "core/base/unknown.h"
#include "core/base/wall_time.h"
#include "core/definitions/catalogue.h"
#include "core/output/file_names.h"
#include "core/output/pseudonymous.h"
#include "core/session/edit_state.h"
#include "core/session/identity.h"
#include "core/session/start.h"
#include "core/session/throw_fields.h"

namespace moundwork::output {
namespace {

// A row of any of the tables stands on this: one throw, or one session when `one` is null.
struct Place {
  const ExportedSession* from = nullptr;
  const session::ResultThrow* one = nullptr;
  session::EditState edits;
  session::ThrowFields fields = {};

  [[nodiscard]] const relate::AnalysedSession& session() const { return from->session; }
};

// Fills one column from the places by a function of a place.
template <class Get>
Column column(Head head, const std::vector<Place>& places, Get get) {
  using Value = std::decay_t<std::invoke_result_t<Get, const Place&>>;
  std::vector<Value> cells;
  cells.reserve(places.size());
  for (const Place& place : places) cells.push_back(get(place));
  return {std::move(head.name), std::move(head.unit), std::move(head.definition), std::move(cells)};
}

std::string hand_of(const Place& place) {
  return place.session().athlete.throws == session::Hand::right ? "right" : "left";
}

// The same columns, in the same words, wherever they stand.
Column athlete_column(const std::vector<Place>& places) {
  return column(athlete_head(), places, [](const Place& p) { return athlete_of(*p.from); });
}
Column name_column(const std::vector<Place>& places) {
  return column({"name", "", "the athlete's name, or the code"}, places,
                [](const Place& p) { return p.session().athlete.name; });
}
Column session_column(const std::vector<Place>& places) {
  return column(session_head(), places, [](const Place& p) { return p.session().id; });
}
Column started_column(const std::vector<Place>& places) {
  return column({"started", "", "wall time of session time zero, ISO 8601, UTC"}, places,
                [](const Place& p) { return p.session().started; });
}
Column day_column(const std::vector<Place>& places) {
  return column(
      {"day", "", "the day on which the session began, by the clock of its own place"}, places,
      [](const Place& p) { return session::day_of(p.session().started, p.session().zone); });
}
Column throw_column(const std::vector<Place>& places) {
  return column({"throw", "1", "number of the throw in its session, from 1"}, places,
                [](const Place& p) { return std::int64_t{p.one->number}; });
}
Column excluded_column(const std::vector<Place>& places) {
  return column({"excluded", "", "whether a person took the throw out of what counts"}, places,
                [](const Place& p) { return YesNo{p.edits.excluded.has_value()}; });
}

void add_body(const std::vector<Place>& places, bool with_u, std::vector<Column>& columns) {
  columns.push_back(column({"hand", "", "throwing hand: right or left"}, places, hand_of));
  columns.push_back(column(
      {"age", "a", "whole years from birth to the session"}, places,
      [](const Place& p) { return p.from->age ? static_cast<double>(*p.from->age) : unknown; }));
  const auto measured = [&](const Head& head, auto get) {
    columns.push_back(column(head, places, [&](const Place& p) { return get(p).value; }));
    if (with_u)
      columns.push_back(
          column({head.name + "_u", head.unit, "standard uncertainty of " + head.name}, places,
                 [&](const Place& p) { return get(p).u; }));
  };
  measured({"mass", "kg", "the athlete's mass, as dressed for throwing"},
           [](const Place& p) { return p.session().athlete.mass; });
  measured({"height", "m", "the athlete's height"},
           [](const Place& p) { return p.session().athlete.height; });
}

Measured found(const std::vector<session::ResultValue>& values, std::string_view key) {
  const auto value = std::find_if(values.begin(), values.end(),
                                  [key](const auto& candidate) { return candidate.key == key; });
  return value == values.end() ? Measured{} : value->measured;
}

// Events, then quantities, each with its standard uncertainty, in the catalogue's order.
void add_catalogue(const std::vector<Place>& places, std::vector<Column>& columns) {
  const auto add = [&](const definitions::Entry& entry, auto list) {
    const std::string key(entry.key);
    const std::string unit(entry.unit);
    columns.push_back(
        column({key, unit, std::string(entry.definition)}, places,
               [&](const Place& p) { return found((*p.one).*list, entry.key).value; }));
    columns.push_back(column({key + "_u", unit, "standard uncertainty of " + key}, places,
                             [&](const Place& p) { return found((*p.one).*list, entry.key).u; }));
  };
  for (std::size_t i = 0; i < definitions::event_count; ++i)
    add(definitions::entry(static_cast<definitions::Event>(i)), &session::ResultThrow::events);
  for (std::size_t i = 0; i < definitions::quantity_count; ++i)
    add(definitions::entry(static_cast<definitions::Quantity>(i)),
        &session::ResultThrow::quantities);
}

// "Pitch type" and "pitch-type" are one column, tag_pitch_type.
std::string tag_column_name(const std::string& tag) {
  std::string name = "tag_";
  for (const char c : tag) {
    const bool letter =
        (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || static_cast<unsigned char>(c) >= 0x80;
    if (letter)
      name += c;
    else
      name += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : '_';
  }
  return name;
}

void add_tags(const std::vector<Place>& places, std::vector<Column>& columns) {
  std::map<std::string, std::string> names;  // of columns, with the tag as first written
  for (const Place& place : places)
    for (const auto& [tag, text] : place.edits.tags) names.emplace(tag_column_name(tag), tag);
  for (const auto& named : names) {
    const std::string& name = named.first;
    columns.push_back(column({name, "", "what the throw was tagged with as '" + named.second + "'"},
                             places, [&](const Place& p) {
                               std::string text;
                               for (const auto& one : p.edits.tags)
                                 if (tag_column_name(one.first) == name) text = one.second;
                               return text;
                             }));
  }
}

void add_fields(const std::vector<Place>& places, std::vector<Column>& columns) {
  columns.push_back(column({"pitch_type", "", "kind of pitch; empty where nobody said"}, places,
                           [](const Place& p) { return p.fields.pitch_type; }));
  columns.push_back(column({"delivery", "", "wind-up or stretch; empty where nobody said"}, places,
                           [](const Place& p) { return p.fields.delivery; }));
  columns.push_back(column({"effort", "1", "share of the athlete's greatest effort, 0 to 1"},
                           places, [](const Place& p) { return p.fields.effort; }));
  columns.push_back(column({"warm_up", "", "whether the throw was a warm-up, which no mean counts"},
                           places, [](const Place& p) { return YesNo{p.fields.warm_up}; }));
  columns.push_back(column({"ball_mass", "kg", "mass of the ball; a baseball's where nobody said"},
                           places, [](const Place& p) { return p.fields.ball_mass; }));
  columns.push_back(
      column({"block", "", "block of throws that it belongs to; empty where nobody said"}, places,
             [](const Place& p) { return p.fields.block; }));
}

Table sessions_table(const std::vector<Place>& places) {
  Table table{"sessions", {athlete_column(places), name_column(places)}};
  auto& columns = table.columns;
  columns.push_back(
      column({"born", "", "date of birth, ISO 8601; empty where codes stand for names"}, places,
             [](const Place& p) { return p.session().athlete.born; }));
  add_body(places, true, columns);
  columns.push_back(session_column(places));
  columns.push_back(started_column(places));
  columns.push_back(day_column(places));
  columns.push_back(column({"zone", "", "IANA name of the time zone where the session was"}, places,
                           [](const Place& p) { return p.session().zone.name; }));
  columns.push_back(
      column({"utc_offset", "s", "how far the clock there was ahead of UTC at session time zero"},
             places, [](const Place& p) { return std::int64_t{p.session().zone.utc_offset_s}; }));
  columns.push_back(column(
      {"zone_assumed", "",
       "whether the session's file says no zone, so that the lab's or the computer's stands in"},
      places, [](const Place& p) { return YesNo{p.session().zone.assumed}; }));
  columns.push_back(column(
      {"file", "", "name of the session's file; the session's code where codes stand for names"},
      places, [](const Place& p) { return p.session().file; }));
  columns.push_back(column({"analysed", "", "when the numbers were computed, ISO 8601"}, places,
                           [](const Place& p) { return p.session().results.made; }));
  columns.push_back(column({"software", "", "what computed them"}, places,
                           [](const Place& p) { return p.session().results.software; }));
  columns.push_back(column({"settings", "", "every setting of the analysis, as JSON"}, places,
                           [](const Place& p) { return p.session().results.settings; }));
  return table;
}

Table throws_table(const std::vector<Place>& places) {
  Table table{"throws", {athlete_column(places), name_column(places)}};
  auto& columns = table.columns;
  add_body(places, false, columns);
  columns.push_back(session_column(places));
  columns.push_back(started_column(places));
  columns.push_back(day_column(places));
  columns.push_back(throw_column(places));
  columns.push_back(excluded_column(places));
  columns.push_back(
      column({"excluded_why", "", "the reason that was given"}, places,
             [](const Place& p) { return p.edits.excluded ? p.edits.excluded->why : ""; }));
  add_fields(places, columns);
  add_tags(places, columns);
  columns.push_back(column(
      {"flags", "", "what to doubt about the throw: keys with a space between, as in the flags"},
      places, [](const Place& p) {
        std::string keys;
        for (const auto& flag : p.one->flags) keys += (keys.empty() ? "" : " ") + flag.key;
        return keys;
      }));
  add_catalogue(places, columns);
  return table;
}

// Repeats each place for each of its items, so that columns of the place and of the item line up.
template <class Item>
struct Unrolled {
  std::vector<Place> places;
  std::vector<const Item*> items;
};

Table values_table(const std::vector<Place>& places) {
  Unrolled<session::ResultValue> rows;
  for (const Place& place : places)
    for (const auto* list : {&place.one->events, &place.one->quantities})
      for (const session::ResultValue& value : *list) {
        rows.places.push_back(place);
        rows.items.push_back(&value);
      }
  Table table{"values",
              {athlete_column(rows.places), session_column(rows.places), throw_column(rows.places),
               excluded_column(rows.places)}};
  std::vector<std::string> keys, units;
  std::vector<double> values, us;
  for (const auto* item : rows.items) {
    keys.push_back(item->key);
    values.push_back(item->measured.value);
    us.push_back(item->measured.u);
    units.push_back(item->unit);
  }
  table.columns.push_back({"key", "", "event or quantity, as in the definitions", std::move(keys)});
  table.columns.push_back({"value", "", "in the unit of its row", std::move(values)});
  table.columns.push_back({"u", "", "standard uncertainty of value", std::move(us)});
  table.columns.push_back({"unit", "", "unit of value and u", std::move(units)});
  return table;
}

Table flags_table(const std::vector<Place>& places) {
  Unrolled<session::ResultFlag> rows;
  for (const Place& place : places)
    for (const session::ResultFlag& flag : place.one->flags) {
      rows.places.push_back(place);
      rows.items.push_back(&flag);
    }
  Table table{
      "flags",
      {athlete_column(rows.places), session_column(rows.places), throw_column(rows.places)}};
  std::vector<std::string> keys, details;
  for (const auto* item : rows.items) {
    keys.push_back(item->key);
    details.push_back(item->detail);
  }
  table.columns.push_back({"flag", "", "short name of what to doubt", std::move(keys)});
  table.columns.push_back({"detail", "", "the same in words", std::move(details)});
  return table;
}

// Columns of equal name mean the same in every table, so each is listed once.
Table definitions_table(const std::vector<Table>& tables) {
  std::vector<std::string> keys, units, definitions;
  std::set<std::string> listed;
  for (const Table& table : tables)
    for (const Column& one : table.columns) {
      if (!listed.insert(one.name).second) continue;
      keys.push_back(one.name);
      units.push_back(one.unit);
      definitions.push_back(one.definition);
    }
  return {"definitions",
          {{"key", "", "column of a table, or key of a value", std::move(keys)},
           {"unit", "", "its unit: SI, BW (body weight), % of the foot or of height, 1 without one",
            std::move(units)},
           {"definition", "", "what it means", std::move(definitions)}}};
}

}  // namespace

Head athlete_head() {
  return {"athlete", "", "the athlete's id in the lab, or a code in its place"};
}

Head session_head() {
  return {"session", "", "identity of the session, which stays with copies of its file"};
}

std::string athlete_of(const ExportedSession& session) {
  return identity_of(session.session.athlete);
}

ExportedSession exported(relate::AnalysedSession session) {
  const auto age =
      age_at(session.athlete.born, session::local_start(session.started, session.zone));
  return {std::move(session), age};
}

ExportedSession exported(relate::AnalysedSession session, const Pseudonyms& pseudonyms) {
  ExportedSession out = exported(std::move(session));
  pseudonymise(out.session, pseudonyms);
  return out;
}

std::vector<Table> tidy_tables(std::span<const ExportedSession> sessions,
                               std::vector<Table> events) {
  std::vector<Place> session_places, throw_places;
  for (const ExportedSession& one : sessions) {
    session_places.push_back({&one, nullptr, {}});
    for (const session::ResultThrow& thrown : one.session.results.throws) {
      auto edits = session::state_of(one.session.edits, seconds(thrown.contact));
      auto fields = session::fields_of(edits.tags);
      throw_places.push_back({&one, &thrown, std::move(edits), std::move(fields)});
    }
  }
  std::vector<Table> tables{sessions_table(session_places), throws_table(throw_places),
                            values_table(throw_places), flags_table(throw_places)};
  std::move(events.begin(), events.end(), std::back_inserter(tables));
  tables.push_back(definitions_table(tables));
  return tables;
}

std::string file_stem(const ExportedSession& exported_session) {
  const relate::AnalysedSession& session = exported_session.session;
  const std::string& athlete = identity_of(session.athlete);
  return as_file_name((athlete.empty() ? "athlete" : athlete) + '_' +
                      session::day_of(session.started, session.zone)) +
         '_' + session_in_name(session.id);
}

}  // namespace moundwork::output
