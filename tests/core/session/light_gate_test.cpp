// SPDX-License-Identifier: GPL-3.0-or-later
#include <hdf5.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "core/session/kinds/list.h"
#include "core/session/reader.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/memory_copy.h"
#include "support/session_example.h"

using namespace moundwork;

namespace {

session::Session with_gates() {
  session::Session made = support::example_session();
  made.instruments.push_back({"light_gate",
                              "gate 2",
                              {{"position", {3.5, 0.005}},
                               {"height", {1.55, 0.01}},
                               {"delay", {0.004, 0.0005}},
                               {"tick_rate", {10000.0, 0.0}}}});
  made.instruments.push_back(
      {"light_gate", "gate 1", {{"position", {16.9, 0.01}}, {"height", {0.9, 0.02}}}});
  return made;
}

std::size_t place_of(const session::Session& made, const std::string& name) {
  const auto sources = session::event_sources(made);
  for (std::size_t i = 0; i < sources.size(); ++i)
    if (sources[i].name == name) return i;
  FAIL("no source " << name);
  return 0;
}

}  // namespace

TEST_CASE("light gates and their crossings come back as they were written", "[light-gate]") {
  const support::Folder folder;
  const session::Session made = with_gates();
  auto writer = session::Writer::create(folder / "a.h5", made);
  REQUIRE(writer);
  // The greatest whole number that a double tells from its neighbours (IEEE 754: 53 bits).
  const double most = std::ldexp(1.0, 53);
  REQUIRE(writer->append({session_time(0.5), 36.2, 1, "R 81.0 mph"}));
  REQUIRE(writer->append_event(place_of(made, "gate 2"),
                               {session_time(1.25), {1.0, most}, "G 1 9007199254740992"}));
  REQUIRE(writer->append_event(place_of(made, "gate 2"),
                               {session_time(2.5), {2.0, std::nan("")}, "G 2"}));
  REQUIRE(writer->close());

  const auto reader = session::Reader::open(folder / "a.h5");
  REQUIRE(reader);
  REQUIRE(reader->session().instruments.size() == 2);
  for (const session::EventInstrument& one : reader->session().instruments) {
    const bool near = one.name == "gate 2";
    CHECK(one.kind == "light_gate");
    CHECK(one.measures.at("position").value == (near ? 3.5 : 16.9));
    CHECK(one.measures.at("height").u == (near ? 0.01 : 0.02));
    CHECK(one.measures.contains("tick_rate") == near);
  }
  const session::Kind& kind = *session::kind_of("light_gate");
  const auto crossings = reader->events(kind, "gate 2");
  REQUIRE(crossings);
  REQUIRE(crossings->size() == 2);
  CHECK(seconds((*crossings)[0].arrival) == 1.25);
  CHECK((*crossings)[0].values[1] == most);
  CHECK((*crossings)[0].text == "G 1 9007199254740992");
  CHECK((*crossings)[1].values[0] == 2.0);
  CHECK(std::isnan((*crossings)[1].values[1]));
  CHECK(reader->events(kind, "gate 1")->empty());
  CHECK_FALSE(reader->events(kind, "gate 3"));
  CHECK(reader->radar_readings()->at(0).text == "R 81.0 mph");

  // What is measured from is the same whether the rows lie in a file or, live, in memory.
  const session::MemoryRows memory = support::in_memory(*reader, reader->session());
  const session::RowSource& live = memory;
  const auto kept = live.events(kind, "gate 2");
  REQUIRE(kept);
  REQUIRE(kept->size() == 2);
  CHECK(seconds((*kept)[0].arrival) == 1.25);
  CHECK((*kept)[0].values[1] == most);
  CHECK((*kept)[1].text == "G 2");
  CHECK(live.events(kind, "gate 1")->empty());
  CHECK_FALSE(live.events(kind, "gate 3"));
  CHECK(live.radar_readings()->at(0).text == "R 81.0 mph");
}

TEST_CASE("an independent reader finds a light gate where docs/files.md says", "[light-gate]") {
  const support::Folder folder;
  const session::Session made = with_gates();
  auto writer = session::Writer::create(folder / "a.h5", made);
  REQUIRE(writer);
  REQUIRE(
      writer->append_event(place_of(made, "gate 2"), {session_time(1.25), {7.0, 99.0}, "G 7 99"}));
  REQUIRE(writer->close());
  const hid_t file = H5Fopen((folder / "a.h5").c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  REQUIRE(file >= 0);
  const hid_t gate = H5Gopen2(file, "light_gate/gate 2", H5P_DEFAULT);
  REQUIRE(gate >= 0);
  for (const auto& [name, wanted] :
       {std::pair{"position_m", 3.5}, std::pair{"position_m_u", 0.005}, std::pair{"height_m", 1.55},
        std::pair{"delay_s", 0.004}, std::pair{"tick_rate_Hz", 10000.0}}) {
    CAPTURE(name);
    const hid_t attribute = H5Aopen(gate, name, H5P_DEFAULT);
    REQUIRE(attribute >= 0);
    double value = 0.0;
    REQUIRE(H5Aread(attribute, H5T_NATIVE_DOUBLE, &value) >= 0);
    CHECK(value == wanted);
    H5Aclose(attribute);
  }
  const hid_t table = H5Dopen2(gate, "crossings", H5P_DEFAULT);
  REQUIRE(table >= 0);
  const hid_t row = H5Tcreate(H5T_COMPOUND, 3 * sizeof(double));
  H5Tinsert(row, "arrival", 0, H5T_NATIVE_DOUBLE);
  H5Tinsert(row, "count", sizeof(double), H5T_NATIVE_DOUBLE);
  H5Tinsert(row, "ticks", 2 * sizeof(double), H5T_NATIVE_DOUBLE);
  double values[3] = {0.0, 0.0, 0.0};
  REQUIRE(H5Dread(table, row, H5S_ALL, H5S_ALL, H5P_DEFAULT, values) >= 0);
  CHECK(values[0] == 1.25);
  CHECK(values[1] == 7.0);
  CHECK(values[2] == 99.0);
  H5Tclose(row);
  H5Dclose(table);
  H5Gclose(gate);
  H5Fclose(file);
}
