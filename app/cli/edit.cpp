// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/edit.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <functional>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "app/cli/error_words.h"
#include "app/cli/json_text.h"
#include "core/base/one_line.h"
#include "core/base/units.h"
#include "core/base/utf8.h"
#include "core/definitions/catalogue.h"
#include "core/definitions/settings.h"
#include "core/intake/facts.h"
#include "core/session/edit_state.h"
#include "core/session/reader.h"
#include "core/session/results.h"

namespace moundwork::cli {
namespace {

using session::Edit;

struct Options {
  std::string session;
  int number = 0;
  std::string event, time, u, tag, text, who, why;
  bool json = false;
};

// The session's edits, once it is known to be a session.
Result<std::vector<Edit>> edits_of(const Options& options) {
  if (const auto reader = session::Reader::open(options.session); !reader)
    return tl::make_unexpected(reader.error());
  return session::read_edits(options.session);
}

// Lead contact of the throw of this number in the last analysis, s.
Result<double> contact_of(const Options& options) {
  if (const auto reader = session::Reader::open(options.session); !reader)
    return tl::make_unexpected(reader.error());
  const auto results = session::read_results(options.session);
  if (!results) return tl::make_unexpected(results.error());
  if (results->made.empty())
    return fail(options.session, "has not been analysed, so its throws have no numbers yet",
                "run moundwork analyse on it first");
  for (const auto& thrown : results->throws)
    if (thrown.number == options.number) return seconds(thrown.contact);
  return fail("--throw " + std::to_string(options.number),
              fmt::format("{} has throws 1 to {}", options.session, results->throws.size()));
}

// An edit of the throw that the options name.
Result<Edit> edit_of_throw(const Options& options, const char* action) {
  const auto contact = contact_of(options);
  if (!contact) return tl::make_unexpected(contact.error());
  Edit edit;
  edit.throw_contact = *contact;
  edit.action = action;
  return edit;
}

Result<std::string> event_key(const std::string& name) {
  if (definitions::find_event(name)) return name;
  std::string known;
  for (std::size_t i = 0; i < definitions::event_count; ++i)
    known += (i == 0 ? "" : ", ") +
             std::string(definitions::entry(static_cast<definitions::Event>(i)).key);
  return fail("--event " + name, "is no event of a throw", "choose from " + known);
}

Result<Edit> move(const Options& options) {
  auto edit = edit_of_throw(options, "move_event");
  if (!edit) return edit;
  auto event = event_key(options.event);
  if (!event) return tl::make_unexpected(event.error());
  edit->target = std::move(*event);
  const auto time = parse_quantity(options.time, Dimension::time, "--to");
  if (!time) return tl::make_unexpected(time.error());
  const definitions::Settings settings;
  if (const double after = *time - edit->throw_contact;
      after < -settings.window_before || after > settings.window_after)
    return fail("--to " + options.time,
                fmt::format("is {:.2f} s from the throw's lead contact at {:.3f} s", after,
                            edit->throw_contact),
                "give the time from the recording's start, as the analysis does");
  edit->value = *time;
  if (options.u.empty()) return edit;
  const auto u = parse_quantity(options.u, Dimension::time, "--u");
  if (!u) return tl::make_unexpected(u.error());
  if (!(*u > 0.0))
    return fail("--u " + options.u, "is no standard uncertainty", "give one above 0, as 2ms");
  edit->u = *u;
  return edit;
}

Result<Edit> reset(const Options& options) {
  auto edit = edit_of_throw(options, "reset");
  if (!edit || options.event.empty()) return edit;
  auto event = event_key(options.event);
  if (!event) return tl::make_unexpected(event.error());
  edit->target = std::move(*event);
  return edit;
}

Result<Edit> tag(const Options& options) {
  if (one_line(options.tag).empty())
    return fail("--name", "names no tag", "give one, as cue or block");
  auto edit = edit_of_throw(options, "tag");
  if (!edit) return edit;
  edit->target = options.tag;
  edit->text = options.text;
  return edit;
}

std::string words_of(const Edit& edit) {
  std::string words = edit.action;
  if (!edit.target.empty()) words += ' ' + edit.target;
  if (edit.action == "move_event") {
    words += fmt::format(" to {:.4f} s", edit.value);
    if (edit.u > 0.0) words += fmt::format(" ± {:.4f} s", edit.u);
  }
  if (edit.action == "undo") words += fmt::format(" of edit {:.0f}", edit.value);
  if (!edit.text.empty()) words += " '" + edit.text + "'";
  return words;
}

nlohmann::ordered_json json_of(std::size_t row, const Edit& edit, bool stands) {
  return {{"edit", row},
          {"when", edit.when},
          {"who", edit.who},
          {"why", edit.why},
          {"throw_contact", edit.throw_contact},
          {"action", edit.action},
          {"target", edit.target},
          {"value", edit.value},
          {"u", edit.u},
          {"text", edit.text},
          {"stands", stands}};
}

int complain(const Error& error) {
  std::cerr << "moundwork edit: " << error_words(error) << '\n';
  return 1;
}

// With who, why and when.
Result<Edit> signed_by(const Options& options, Edit edit) {
  if ((edit.action == "move_event" || edit.action == "exclude") &&
      (options.who.empty() || options.why.empty()))
    return fail(options.session, "is changed only by somebody and for a reason",
                "give both --who and --why");
  edit.when = intake::now_iso8601();
  // Or a table and other programs could not read them.
  edit.who = valid_utf8(options.who);
  edit.why = valid_utf8(options.why);
  edit.target = valid_utf8(edit.target);
  edit.text = valid_utf8(edit.text);
  return edit;
}

int tell(const Options& options, std::size_t row, const Edit& edit) {
  if (options.json)
    std::cout << json_text(json_of(row, edit, true)) << '\n';
  else
    std::cout << fmt::format(
        "{}: {} for the throw at {:.2f} s. Analyse again to see it in the "
        "numbers.\n",
        options.session, one_line(words_of(edit)), edit.throw_contact);
  return 0;
}

int append(const Options& options, Result<Edit> edit) {
  if (edit) edit = signed_by(options, std::move(*edit));
  if (!edit) return complain(edit.error());
  // Its row is told by the append: others may have added theirs since anything was read.
  const auto row = session::append_edit(options.session, *edit);
  return row ? tell(options, *row, *edit) : complain(row.error());
}

int take_back(const Options& options, std::optional<std::size_t> (*row_of)(std::span<const Edit>),
              const char* what) {
  if (const auto readable = edits_of(options); !readable) return complain(readable.error());
  Result<Edit> edit;
  const auto row =
      session::append_edit(options.session, [&](std::span<const Edit> edits) -> Result<Edit> {
        const auto last = row_of(edits);
        if (!last) return fail(options.session, fmt::format("has nothing to {}", what));
        return edit = signed_by(options, session::undo_of(edits, *last));
      });
  return row ? tell(options, *row, *edit) : complain(row.error());
}

int list(const Options& options) {
  const auto edits = edits_of(options);
  if (!edits) return complain(edits.error());
  const std::vector<bool> stands = session::standing(*edits);
  nlohmann::ordered_json rows = nlohmann::ordered_json::array();
  for (std::size_t row = 0; row < edits->size(); ++row) {
    const Edit& edit = (*edits)[row];
    if (options.json)
      rows.push_back(json_of(row, edit, stands[row]));
    else
      std::cout << fmt::format(
          "{:3}  {}  throw at {:.2f} s: {}{}{}{}\n", row, edit.when, edit.throw_contact,
          one_line(words_of(edit)), edit.who.empty() ? "" : ", " + one_line(edit.who),
          edit.why.empty() ? "" : ": " + one_line(edit.why), stands[row] ? "" : " (taken back)");
  }
  if (options.json) std::cout << json_text(rows) << '\n';
  if (!options.json && edits->empty()) std::cout << options.session << ": no edits\n";
  return 0;
}

}  // namespace

void add_edit(CLI::App& app, int& exit_code) {
  CLI::App* edit = app.add_subcommand(
      "edit", "Add to a session's edits: move an event, exclude a throw, tag it, take back");
  edit->require_subcommand(1);
  auto options = std::make_shared<Options>();
  Options& o = *options;
  enum class Asks { nothing, person, person_and_reason };
  const auto command = [&](const char* name, const char* help, bool of_throw, Asks asks,
                           std::function<int()> run) {
    CLI::App* one = edit->add_subcommand(name, help);
    one->add_option("session", o.session, "Session file")->required();
    one->add_flag("--json", o.json, "Print JSON");
    if (of_throw)
      one->add_option("--throw", o.number, "Number of the throw in the last analysis")->required();
    if (asks != Asks::nothing) {
      one->add_option("--who", o.who, "Who says so")->required(asks == Asks::person_and_reason);
      one->add_option("--why", o.why, "Reason")->required(asks == Asks::person_and_reason);
    }
    one->callback([run = std::move(run), options, &exit_code] { exit_code = run(); });
    return one;
  };

  CLI::App* moves = command("move", "Put an event elsewhere", true, Asks::person_and_reason,
                            [&o] { return append(o, move(o)); });
  moves->add_option("--event", o.event, "Which event")->required();
  moves->add_option("--to", o.time, "Its time from the recording's start, with unit")->required();
  moves->add_option("--u", o.u, "Standard uncertainty of that time, with unit");
  CLI::App* resets = command("reset", "Have a throw's events as they were found", true,
                             Asks::person, [&o] { return append(o, reset(o)); });
  resets->add_option("--event", o.event, "Only this one");
  command("exclude", "Leave a throw out of relations and summaries", true, Asks::person_and_reason,
          [&o] { return append(o, edit_of_throw(o, "exclude")); });
  command("include", "Take an exclusion back", true, Asks::person,
          [&o] { return append(o, edit_of_throw(o, "include")); });
  CLI::App* tags =
      command("tag", "Tag a throw", true, Asks::person, [&o] { return append(o, tag(o)); });
  tags->add_option("--name", o.tag, "Name of the tag, as cue or block")->required();
  tags->add_option("--text", o.text, "Its text; empty takes the tag away")->required();
  command("undo", "Take the last edit back", false, Asks::person,
          [&o] { return take_back(o, session::row_to_undo, "undo"); });
  command("redo", "Bring back what was undone last", false, Asks::person,
          [&o] { return take_back(o, session::row_to_redo, "redo"); });
  command("list", "Show a session's edits", false, Asks::nothing, [&o] { return list(o); });
}

}  // namespace moundwork::cli
