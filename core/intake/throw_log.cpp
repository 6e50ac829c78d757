// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/intake/throw_log.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <map>
#include <optional>
#include <utility>

#include "core/base/trim.h"
#include "core/session/edit_state.h"
#include "core/session/throw_fields.h"
#include "core/table/delimited.h"

namespace moundwork::intake {
namespace {

constexpr const char* log_columns =
    "session, throw, pitch (or pitch_type), cue, delivery, effort, warm_up, ball and block";

std::string log_place(const std::string& name, std::int64_t line, std::size_t column) {
  return fmt::format("{}, line {}, column {}", name, line, column + 1);
}

// What a column holds: a field, or a text that only people read.
struct LogColumn {
  std::size_t at = 0;
  std::string tag;
  std::optional<session::ThrowField> field;
};

struct LogHead {
  std::size_t session = 0, number = 0;
  std::vector<LogColumn> tags;
};

Result<LogHead> read_head(const std::string& name, const std::vector<std::string>& columns) {
  std::map<std::string, std::size_t> seen;
  LogHead head;
  for (std::size_t at = 0; at < columns.size(); ++at) {
    std::string column(trim(columns[at]));
    if (column == "pitch") column = session::key_of(session::ThrowField::pitch_type);
    const auto field = session::find_throw_field(column);
    if (field) column = session::key_of(*field);
    if (!field && column != "session" && column != "throw" && column != "cue")
      return fail(log_place(name, 1, at), fmt::format("'{}' is no column of a log", columns[at]),
                  fmt::format("a log may have {}", log_columns));
    if (const auto [first, fresh] = seen.emplace(column, at); !fresh)
      return fail(log_place(name, 1, at),
                  fmt::format("says the same as column {}", first->second + 1),
                  "leave one of them out");
    if (column != "session" && column != "throw") head.tags.push_back({at, column, field});
  }
  for (const auto& [wanted, place] :
       {std::pair{"session", &head.session}, std::pair{"throw", &head.number}}) {
    const auto found = seen.find(wanted);
    if (found == seen.end())
      return fail(name, fmt::format("has no column '{}'", wanted),
                  fmt::format("a log may have {}", log_columns));
    *place = found->second;
  }
  if (head.tags.empty())
    return fail(name, "says nothing of its throws", fmt::format("a log may have {}", log_columns));
  return head;
}

std::optional<int> throw_number_in(std::string_view text) {
  int number = 0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (status != std::errc() || end != text.data() + text.size() || number < 1) return std::nullopt;
  return number;
}

Result<LoggedThrow> read_line(const std::string& name, std::int64_t line, const LogHead& head,
                              std::span<const std::string> cells) {
  LoggedThrow thrown{line, std::string(trim(cells[head.session])), 0, {}};
  if (thrown.session.empty())
    return fail(log_place(name, line, head.session), "names no session",
                "give the name of its file");
  const std::string_view number = trim(cells[head.number]);
  const auto read = throw_number_in(number);
  if (!read)
    return fail(log_place(name, line, head.number),
                fmt::format("'{}' is no number of a throw", number),
                "count a session's throws from 1");
  thrown.number = *read;
  for (const LogColumn& column : head.tags) {
    const std::string_view cell = trim(cells[column.at]);
    if (cell.empty()) continue;
    const std::string where = fmt::format("{}, '{}'", log_place(name, line, column.at), cell);
    auto text = column.field ? session::checked_text(*column.field, cell, where)
                             : session::checked_plain_text(cell, where);
    if (!text) return tl::make_unexpected(text.error());
    thrown.tags.push_back({column.tag, std::move(*text)});
  }
  return thrown;
}

std::string without_ending(const std::string& file) {
  return std::filesystem::path(file).stem().string();
}

}  // namespace

Result<ThrowLog> read_throw_log(const std::filesystem::path& path) {
  auto reader = table::DelimitedReader::open(path);
  if (!reader) return tl::make_unexpected(reader.error());
  ThrowLog log;
  log.name = path.filename().string();
  const auto head = read_head(log.name, reader->columns());
  if (!head) return tl::make_unexpected(head.error());
  log.session_column = static_cast<int>(head->session) + 1;
  log.throw_column = static_cast<int>(head->number) + 1;
  std::map<std::pair<std::string, int>, std::int64_t> seen;
  while (true) {
    const auto row = reader->next_text();
    if (!row) return tl::make_unexpected(row.error());
    if (!*row) break;
    auto thrown = read_line(log.name, reader->line(), *head, **row);
    if (!thrown) return tl::make_unexpected(thrown.error());
    const auto [first, fresh] =
        seen.emplace(std::pair{thrown->session, thrown->number}, thrown->line);
    if (!fresh)
      return fail(log_place(log.name, thrown->line, head->number),
                  fmt::format("throw {} of {} stands on line {} already", thrown->number,
                              thrown->session, first->second),
                  "give each throw one line");
    log.throws.push_back(std::move(*thrown));
  }
  if (log.throws.empty()) return fail(log.name, "has a header but no throws");
  return log;
}

Result<std::vector<std::size_t>> sessions_of(const ThrowLog& log,
                                             std::span<const LogTarget> targets) {
  std::vector<std::size_t> places;
  for (const LoggedThrow& thrown : log.throws) {
    const auto is_it = [&](const LogTarget& target) {
      return thrown.session == target.file || thrown.session == target.id ||
             thrown.session == without_ending(target.file);
    };
    const auto found = std::find_if(targets.begin(), targets.end(), is_it);
    const std::string where =
        fmt::format("{}, line {}, column {}", log.name, thrown.line, log.session_column);
    if (found == targets.end())
      return fail(where, fmt::format("the session '{}' is not among those given", thrown.session),
                  "give its file, or take its lines out of the log");
    if (std::find_if(found + 1, targets.end(), is_it) != targets.end())
      return fail(where, fmt::format("'{}' stands for two of the sessions given", thrown.session),
                  "write the whole names of their files");
    places.push_back(static_cast<std::size_t>(found - targets.begin()));
  }
  return places;
}

Result<std::vector<session::Edit>> edits_from_log(const ThrowLog& log,
                                                  std::span<const LoggedThrow* const> lines,
                                                  const session::ResultSet& results,
                                                  std::span<const session::Edit> edits) {
  std::vector<session::Edit> lacking;
  std::map<int, std::int64_t> seen;  // two names may stand for one session
  for (const LoggedThrow* line : lines) {
    const std::string where =
        fmt::format("{}, line {}, column {}", log.name, line->line, log.throw_column);
    const auto thrown =
        std::find_if(results.throws.begin(), results.throws.end(),
                     [&](const session::ResultThrow& one) { return one.number == line->number; });
    if (thrown == results.throws.end())
      return fail(where,
                  fmt::format("{} has {} throws and no throw {}", line->session,
                              results.throws.size(), line->number),
                  "see that the log is this session's");
    if (const auto [first, fresh] = seen.emplace(line->number, line->line); !fresh)
      return fail(where,
                  fmt::format("throw {} of {} stands on line {} already", line->number,
                              line->session, first->second),
                  "give each throw one line");
    const double contact = seconds(thrown->contact);
    const session::EditState state = session::state_of(edits, contact);
    for (const LoggedTag& logged : line->tags) {
      if (state.tag(logged.tag) == logged.text) continue;
      session::Edit edit;
      edit.throw_contact = contact;
      edit.action = session::Action::tag;
      edit.target = logged.tag;
      edit.text = logged.text;
      lacking.push_back(std::move(edit));
    }
  }
  return lacking;
}

}  // namespace moundwork::intake
