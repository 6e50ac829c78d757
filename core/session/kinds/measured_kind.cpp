// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/attributes.h"
#include "core/session/event_rows.h"
#include "core/session/hdf5.h"
#include "core/session/kinds/kind.h"

namespace moundwork::session {
namespace {

std::string attribute(const Measure& measure) { return measure.key + '_' + measure.unit; }

std::string path_of(const std::string& key, const std::string& name, const std::string& word) {
  return key + '/' + name + '/' + word;
}

void write_all(H5::H5File& file, const Session& session, const Kind& kind) {
  H5::Group group;
  for (const EventInstrument& one : session.instruments) {
    if (one.kind != kind.key) continue;
    if (!file.nameExists(kind.key)) group = file.createGroup(kind.key);
    H5::Group place = group.createGroup(one.name);
    for (const Measure& measure : kind.measures) {
      const auto found = one.measures.find(measure.key);
      hdf5::write(place, attribute(measure),
                  found == one.measures.end() ? Measured{} : found->second);
    }
    (void)hdf5::make_table(place, kind.events->word.c_str(), event_type(*kind.events),
                           event_rows_per_chunk);
  }
}

void read_all(const H5::H5File& file, Session& session, const Kind& kind) {
  if (!file.nameExists(kind.key)) return;
  const H5::Group group = file.openGroup(kind.key);
  for (hsize_t i = 0; i < group.getNumObjs(); ++i) {
    EventInstrument one{kind.key, group.getObjnameByIdx(i), {}};
    const H5::Group place = group.openGroup(one.name);
    for (const Measure& measure : kind.measures) {
      const Measured value = hdf5::read_measured(place, attribute(measure));
      hdf5::require(value.known() || !measure.needed,
                    "'" + one.name + "' has no " + attribute(measure));
      if (value.known()) one.measures.emplace(measure.key, value);
    }
    session.instruments.push_back(std::move(one));
  }
}

std::vector<std::string> names_in(const Session& session, const std::string& key) {
  std::vector<std::string> names;
  for (const EventInstrument& one : session.instruments)
    if (one.kind == key) names.push_back(one.name);
  return names;
}

}  // namespace

Kind measured_kind(std::string key, std::vector<Measure> measures, std::string word,
                   std::vector<EventColumn> columns) {
  EventTable events{word, std::move(columns), true,
                    [key](const Session& session) { return names_in(session, key); },
                    [key, word](const std::string& name) { return path_of(key, name, word); }};
  Kind kind{key, {}, {}, std::move(measures), std::move(events)};
  const Kind described = kind;
  kind.write = [described](H5::H5File& file, const Session& session) {
    write_all(file, session, described);
  };
  kind.read = [described](const H5::H5File& file, Session& session) {
    read_all(file, session, described);
  };
  return kind;
}

}  // namespace moundwork::session
