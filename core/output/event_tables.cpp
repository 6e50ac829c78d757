// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/event_tables.h"

#include <string>
#include <utility>

#include "core/session/kinds/list.h"

namespace moundwork::output {
namespace {

Table table_of(const session::Kind& kind, std::span<const SentEvents> sent) {
  std::vector<std::string> athletes, sessions, instruments, texts;
  std::vector<double> arrivals;
  std::vector<std::vector<double>> values(kind.events->columns.size());
  for (const SentEvents& one : sent) {
    if (one.kind != &kind) continue;
    for (const session::InstrumentEvent& event : one.events) {
      athletes.push_back(athlete_of(*one.session));
      sessions.push_back(one.session->session.id);
      instruments.push_back(one.instrument);
      arrivals.push_back(seconds(event.arrival));
      for (std::size_t c = 0; c < values.size(); ++c) values[c].push_back(event.values[c]);
      texts.push_back(event.text);
    }
  }
  const auto headed = [](Head head, Cells cells) {
    return Column{std::move(head.name), std::move(head.unit), std::move(head.definition),
                  std::move(cells)};
  };
  Table table{kind.key + '_' + kind.events->word,
              {headed(athlete_head(), std::move(athletes)),
               headed(session_head(), std::move(sessions)),
               {"instrument", "", "name of the instrument in its station", std::move(instruments)},
               {"arrival", "s", "session time at which the line arrived", std::move(arrivals)}}};
  for (std::size_t c = 0; c < values.size(); ++c) {
    const session::EventColumn& column = kind.events->columns[c];
    table.columns.push_back({column.key, column.unit, column.definition, std::move(values[c])});
  }
  table.columns.push_back({"text", "", "the line as the instrument sent it", std::move(texts)});
  return table;
}

}  // namespace

void pseudonymise(SentEvents& sent, const Pseudonyms& codes) {
  sent.instrument = codes.cleaned(sent.instrument);
  for (session::InstrumentEvent& event : sent.events) event.text = codes.cleaned(event.text);
}

std::vector<Table> event_tables(std::span<const SentEvents> sent) {
  std::vector<Table> tables;
  for (const session::Kind* kind : session::kinds())
    for (const SentEvents& one : sent)
      if (one.kind == kind) {
        tables.push_back(table_of(*kind, sent));
        break;
      }
  return tables;
}

}  // namespace moundwork::output
