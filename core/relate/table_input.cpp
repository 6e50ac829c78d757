// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/table_input.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <functional>
#include <map>
#include <set>
#include <utility>

#include "core/relate/cells.h"
#include "core/session/throw_fields.h"
#include "core/table/delimited.h"

namespace moundwork::relate {
namespace {

using SetNumber = std::function<void(Pitch&, double)>;

class Filler {
 public:
  Filler(const TextTable& table, Pitches& pitches) : table_(table), pitches_(pitches) {
    pitches_.rows.resize(table.rows.size());
  }

  Result<std::size_t> index_of(const std::string& column) const {
    const auto& columns = table_.columns;
    const auto found = std::find(columns.begin(), columns.end(), column);
    if (found == columns.end())
      return fail(table_.name, fmt::format("there is no column '{}'", column),
                  fmt::format("the columns are {}", fmt::join(columns, ", ")));
    if (std::find(found + 1, columns.end(), column) != columns.end())
      return fail(table_.name, fmt::format("there are several columns '{}'", column),
                  "give each its own name");
    return static_cast<std::size_t>(found - columns.begin());
  }

  // Missing marks count as nothing, so that "NA" does not become an athlete.
  Result<void> text(const std::string& column, std::string Pitch::*member) {
    const auto index = index_of(column);
    if (!index) return tl::unexpected(index.error());
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const auto& cell = table_.rows[row][*index];
      if (!is_missing(cell)) pitches_.rows[row].*member = cell;
    }
    return {};
  }

  // What the program understands of a throw (core/session/throw_fields.h), each cell checked.
  template <class Set>
  Result<void> field(const std::string& column, session::ThrowField field, const Set& set) {
    const auto index = index_of(column);
    if (!index) return tl::unexpected(index.error());
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      const auto& cell = table_.rows[row][*index];
      if (is_missing(cell)) continue;
      const auto text = session::checked_text(
          field, cell,
          fmt::format("{}, line {}, column '{}'", table_.name, table_.lines[row], column));
      if (!text) return tl::unexpected(text.error());
      set(pitches_.rows[row], session::fields_of({{std::string(session::key_of(field)), *text}}));
    }
    return {};
  }

  // Returns the unit.
  Result<std::string> numbers(const std::string& column, std::string_view unit,
                              const SetNumber& set) {
    const auto index = index_of(column);
    if (!index) return tl::unexpected(index.error());
    TextColumn cells{fmt::format("{}, column '{}'", table_.name, column), {}, table_.lines};
    for (const auto& row : table_.rows) cells.cells.push_back(row[*index]);
    auto read = read_numbers(cells, unit);
    if (!read) return tl::unexpected(read.error());
    for (std::size_t row = 0; row < read->values.size(); ++row)
      set(pitches_.rows[row], read->values[row]);
    std::move(read->notes.begin(), read->notes.end(), std::back_inserter(pitches_.notes));
    if (auto suspicion = two_units_suspected(read->values, cells.where); !suspicion.empty())
      pitches_.notes.push_back(std::move(suspicion));
    return read->unit;
  }

  Result<void> measured(const std::string& column, Quantity& quantity,
                        const std::function<Measured&(Pitch&)>& of) {
    const auto unit = numbers(column, split_unit(column).unit,
                              [&](Pitch& pitch, double value) { of(pitch).value = value; });
    if (!unit) return tl::unexpected(unit.error());
    quantity = {column, *unit};
    return {};
  }

  Result<void> uncertainty(const std::string& from, const Quantity& quantity,
                           const std::function<Measured&(Pitch&)>& of) {
    double constant = 0.0;
    const auto [end, status] = std::from_chars(from.data(), from.data() + from.size(), constant);
    const bool is_number = status == std::errc() && end == from.data() + from.size();
    const bool is_column =
        std::find(table_.columns.begin(), table_.columns.end(), from) != table_.columns.end();
    if (is_number && !is_column) {
      if (!(constant >= 0.0) || !std::isfinite(constant))
        return fail("uncertainty", fmt::format("'{}' is not zero or more", from));
      for (auto& pitch : pitches_.rows) of(pitch).u = constant;
      return {};
    }
    bool negative = false;
    const auto unit = numbers(from, quantity.unit, [&](Pitch& pitch, double value) {
      negative = negative || value < 0.0;
      of(pitch).u = value;
    });
    if (!unit) return tl::unexpected(unit.error());
    if (negative)
      return fail(fmt::format("{}, column '{}'", table_.name, from),
                  "an uncertainty cannot be negative");
    return {};
  }

 private:
  const TextTable& table_;
  Pitches& pitches_;
};

Result<void> fill_uncertainty(Filler& filler, const std::string& text, const Pitches& pitches,
                              const TableColumns& columns) {
  // A column's name may hold an equals sign itself: the right split is the one whose left part is
  // known.
  for (std::size_t at = text.find('='); at != std::string::npos; at = text.find('=', at + 1)) {
    const std::string name = text.substr(0, at);
    const std::string from = text.substr(at + 1);
    if (name == columns.ball_speed)
      return filler.uncertainty(from, pitches.ball_speed,
                                [](Pitch& pitch) -> Measured& { return pitch.ball_speed; });
    const auto found = std::find(columns.quantities.begin(), columns.quantities.end(), name);
    if (found == columns.quantities.end()) continue;
    const auto index = static_cast<std::size_t>(found - columns.quantities.begin());
    return filler.uncertainty(from, pitches.quantities[index], [index](Pitch& pitch) -> Measured& {
      return pitch.quantities[index];
    });
  }
  return fail("uncertainty", fmt::format("'{}' does not name a quantity that was asked for", text),
              "write QUANTITY=COLUMN or QUANTITY=NUMBER");
}

// A session repeats one other of the same athlete, whatever row says so.
Result<void> fill_retests(const Filler& filler, const TextTable& table, const std::string& column,
                          Pitches& pitches) {
  const auto index = filler.index_of(column);
  if (!index) return tl::unexpected(index.error());
  std::set<std::pair<std::string, std::string>> sessions;
  for (const Pitch& pitch : pitches.rows) sessions.emplace(pitch.athlete, pitch.session);
  std::map<std::pair<std::string, std::string>, std::string> of_session;
  for (std::size_t row = 0; row < pitches.rows.size(); ++row) {
    const Pitch& pitch = pitches.rows[row];
    const std::string& of = table.rows[row][*index];
    if (is_missing(of) || pitch.athlete.empty() || pitch.session.empty()) continue;
    const auto refuse = [&](std::string what, std::string advice) {
      return fail(fmt::format("{}, column '{}', line {}", table.name, column, table.lines[row]),
                  std::move(what), std::move(advice));
    };
    if (of == pitch.session)
      return refuse(fmt::format("session '{}' is named a retest of itself", of),
                    "name the session that it repeats");
    if (!sessions.contains({pitch.athlete, of}))
      return refuse(fmt::format("'{}' is no session of athlete '{}'", of, pitch.athlete),
                    "name a session that the table has of this athlete");
    const auto [first, fresh] = of_session.emplace(std::pair{pitch.athlete, pitch.session}, of);
    if (!fresh && first->second != of)
      return refuse(fmt::format("session '{}' is named a retest of '{}' and of '{}'", pitch.session,
                                first->second, of),
                    "name one");
    if (fresh) pitches.retests.push_back({pitch.athlete, pitch.session, of});
  }
  return {};
}

Result<void> check_names(const TableColumns& columns) {
  for (auto name = columns.quantities.begin(); name != columns.quantities.end(); ++name) {
    if (std::find(columns.quantities.begin(), name, *name) != name)
      return fail("quantity", fmt::format("'{}' is named twice", *name),
                  "name it once, since every quantity counts as a test");
    if (*name == columns.ball_speed)
      return fail("quantity", fmt::format("'{}' is the ball speed itself", *name),
                  "name another column");
  }
  return {};
}

}  // namespace

Result<TextTable> read_text_table(const std::filesystem::path& path) {
  auto reader = table::DelimitedReader::open(path);
  if (!reader) return tl::unexpected(reader.error());
  TextTable table;
  table.name = path.filename().string();
  table.columns = reader->columns();
  while (true) {
    const auto row = reader->next_text();
    if (!row) return tl::unexpected(row.error());
    if (!*row) return table;
    table.rows.emplace_back((*row)->begin(), (*row)->end());
    table.lines.push_back(reader->line());
  }
}

Result<Pitches> pitches_from_table(const TextTable& table, const TableColumns& columns) {
  if (auto checked = check_names(columns); !checked) return tl::unexpected(checked.error());
  if (table.rows.empty()) return fail(table.name, "there is a header but no rows");
  Pitches pitches;
  Filler filler(table, pitches);
  pitches.quantities.resize(columns.quantities.size());
  for (auto& pitch : pitches.rows) pitch.quantities.resize(columns.quantities.size());

  const auto text = [&](const std::optional<std::string>& column,
                        std::string Pitch::*member) -> Result<void> {
    return column ? filler.text(*column, member) : Result<void>{};
  };
  const auto number = [&](const std::optional<std::string>& column, double Pitch::*member,
                          std::string* told = nullptr) -> Result<void> {
    if (!column) return {};
    const auto unit = filler.numbers(*column, split_unit(*column).unit,
                                     [=](Pitch& pitch, double value) { pitch.*member = value; });
    if (unit && told != nullptr) *told = *unit;
    return unit ? Result<void>{} : Result<void>{tl::unexpected(unit.error())};
  };
  if (auto done = filler.text(columns.athlete, &Pitch::athlete); !done)
    return tl::unexpected(done.error());
  if (auto done = filler.measured(columns.ball_speed, pitches.ball_speed,
                                  [](Pitch& pitch) -> Measured& { return pitch.ball_speed; });
      !done)
    return tl::unexpected(done.error());
  for (std::size_t i = 0; i < columns.quantities.size(); ++i)
    if (auto done = filler.measured(columns.quantities[i], pitches.quantities[i],
                                    [i](Pitch& pitch) -> Measured& { return pitch.quantities[i]; });
        !done)
      return tl::unexpected(done.error());
  for (const auto& done :
       {text(columns.session, &Pitch::session), text(columns.cue, &Pitch::cue),
        text(columns.block, &Pitch::block), number(columns.mass, &Pitch::mass, &pitches.mass_unit),
        number(columns.number, &Pitch::number),
        number(columns.height, &Pitch::height, &pitches.height_unit),
        number(columns.age, &Pitch::age)})
    if (!done) return tl::unexpected(done.error());
  using session::ThrowField;
  const auto field = [&](const std::optional<std::string>& column, ThrowField which,
                         const auto& set) -> Result<void> {
    return column ? filler.field(*column, which, set) : Result<void>{};
  };
  for (const auto& done :
       {field(columns.pitch_type, ThrowField::pitch_type,
              [](Pitch&pitch, const session::ThrowFields&read) {
                pitch.pitch_type = read.pitch_type;
              }),
        field(columns.delivery, ThrowField::delivery,
              [](Pitch&pitch, const session::ThrowFields&read) { pitch.delivery = read.delivery; }),
        field(columns.effort, ThrowField::effort,
              [](Pitch&pitch, const session::ThrowFields&read) { pitch.effort = read.effort; })})
    if (!done) return tl::unexpected(done.error());
  for (const auto& uncertainty : columns.uncertainties)
    if (auto done = fill_uncertainty(filler, uncertainty, pitches, columns); !done)
      return tl::unexpected(done.error());
  if (columns.retest)
    if (auto done = fill_retests(filler, table, *columns.retest, pitches); !done)
      return tl::unexpected(done.error());
  return pitches;
}

}  // namespace moundwork::relate
