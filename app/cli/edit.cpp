// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/edit.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>
#include <functional>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "app/cli/edit_take.h"
#include "app/cli/error_words.h"
#include "app/cli/given_quantities.h"
#include "app/cli/json_text.h"
#include "app/cli/percent.h"
#include "core/base/one_line.h"
#include "core/base/units.h"
#include "core/base/utf8.h"
#include "core/base/wall_time.h"
#include "core/definitions/catalogue.h"
#include "core/definitions/settings.h"
#include "core/intake/facts.h"
#include "core/intake/usual_uncertainty.h"
#include "core/marks/frame_marks.h"
#include "core/pitch/companion_check.h"
#include "core/session/edit.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/fact.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/retest.h"
#include "core/session/start.h"
#include "core/session/throw_fields.h"

namespace moundwork::cli {
namespace {

using session::Edit;

namespace usual_u = intake::usual_u;

struct EditOptions {
  std::string session;
  int number = 0;
  std::string event, time, u, tag, text, who, why;
  std::string mark, rate;
  double frame = 0.0, landing_frame = 0.0;
  std::string retest_of;
  bool withdraw = false;
  int change_days = session::usual_change_days;
  std::string athlete, name, born, throws, mass, height, temperature, pressure, humidity;
  std::string mass_u = fmt::format("{}kg", usual_u::mass),
              height_u = fmt::format("{}m", usual_u::height);
  bool json = false;
};

// The session, once it is known that the edits beside it are its own.
Result<session::Reader> open(const EditOptions& options) {
  auto reader = session::Reader::open(options.session);
  if (!reader) return reader;
  const auto settled = pitch::settle_companion(*reader);
  if (!settled) return tl::make_unexpected(settled.error());
  if (*settled) std::cerr << "moundwork edit: " << options.session << ": " << **settled << ".\n";
  return reader;
}

Result<std::vector<Edit>> edits_of(const EditOptions& options) {
  if (const auto reader = open(options); !reader) return tl::make_unexpected(reader.error());
  return session::read_edits(options.session);
}

// Lead contact of the throw of this number in the last analysis, s.
Result<double> contact_of(const EditOptions& options) {
  if (const auto reader = open(options); !reader) return tl::make_unexpected(reader.error());
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
Result<Edit> edit_of_throw(const EditOptions& options, session::Action action) {
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

Result<Edit> move(const EditOptions& options) {
  auto edit = edit_of_throw(options, session::Action::move_event);
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

Result<Edit> reset(const EditOptions& options) {
  auto edit = edit_of_throw(options, session::Action::reset);
  if (!edit || options.event.empty()) return edit;
  auto event = event_key(options.event);
  if (!event) return tl::make_unexpected(event.error());
  edit->target = std::move(*event);
  return edit;
}

Result<Edit> tag(const EditOptions& options) {
  if (one_line(options.tag).empty())
    return fail("--name", "names no tag", "give one, as cue or block");
  const auto field = session::find_throw_field(options.tag);
  std::string name = options.tag, text = options.text;
  if (field && !text.empty()) {
    auto checked = session::checked_text(*field, text, "--text " + text);
    if (!checked) return tl::make_unexpected(checked.error());
    name = session::key_of(*field);
    text = std::move(*checked);
  }
  auto edit = edit_of_throw(options, session::Action::tag);
  if (!edit) return edit;
  edit->target = std::move(name);
  edit->text = std::move(text);
  return edit;
}

Result<Edit> mark(const EditOptions& options) {
  const auto kind = marks::find_body_mark(options.mark);
  if (!kind)
    return fail("--mark " + options.mark, "is no mark known here",
                "use greatest_trunk_stretch, chest_facing_plate or release");
  const auto rate = parse_quantity(options.rate, Dimension::frequency, "--rate");
  if (!rate) return tl::make_unexpected(rate.error());
  const marks::FrameMark seen{*kind, options.frame, options.landing_frame, *rate};
  if (auto good = marks::check_given(seen, "--frame"); !good)
    return tl::make_unexpected(good.error());
  const auto contact = contact_of(options);
  if (!contact) return tl::make_unexpected(contact.error());
  return marks::to_edit(seen, *contact);
}

// One edit for each fact that was given.
Result<std::vector<Edit>> facts(const EditOptions& options) {
  using session::Fact;
  std::vector<Edit> edits;
  for (const auto& [fact, text] :
       {std::pair{Fact::athlete, &options.athlete}, std::pair{Fact::name, &options.name},
        std::pair{Fact::born, &options.born}, std::pair{Fact::throws, &options.throws}})
    if (!text->empty()) edits.push_back(session::set_fact(fact, *text));
  GivenQuantities given;
  const auto add = [&](Fact fact, const Measured& value) {
    if (value.known()) edits.push_back(session::set_fact(fact, value));
  };
  add(Fact::mass, given.measured(options.mass, options.mass_u, Dimension::mass, "--mass"));
  add(Fact::height,
      given.measured(options.height, options.height_u, Dimension::length, "--height"));
  add(Fact::temperature, given.measured(options.temperature, usual_u::temperature,
                                        Dimension::temperature, "--temperature"));
  add(Fact::pressure,
      given.measured(options.pressure, usual_u::pressure, Dimension::pressure, "--pressure"));
  if (given.error()) return tl::make_unexpected(*given.error());
  if (!options.humidity.empty()) {
    const auto humidity = percent(options.humidity, "--humidity");
    if (!humidity) return tl::make_unexpected(humidity.error());
    add(Fact::humidity, {*humidity, usual_u::relative_humidity});
  }
  if (edits.empty())
    return fail("edit fact", "is given no fact",
                "give one, as --mass 45kg, --height, --born, --throws, --temperature, --pressure, "
                "--humidity, --name or --athlete");
  return edits;
}

nlohmann::ordered_json json_of(std::size_t place, const Edit& edit, bool stands,
                               const std::string& words) {
  return {{"edit", place},
          {"id", edit.id},
          {"when", edit.when},
          {"who", edit.who},
          {"why", edit.why},
          {"throw_contact", edit.throw_contact},
          {"action", session::key_of(edit.action)},
          {"target", edit.target},
          {"value", edit.value},
          {"u", edit.u},
          {"unit", edit.unit},
          {"text", edit.text},
          {"frame", edit.frame},
          {"landing_frame", edit.landing_frame},
          {"rate", edit.rate},
          {"undoes", edit.undoes},
          {"words", words},
          {"stands", stands}};
}

int complain(const Error& error) {
  std::cerr << "moundwork edit: " << error_words(error) << '\n';
  return 1;
}

// With who, why and when.
Result<Edit> signed_by(const EditOptions& options, Edit edit) {
  if ((edit.action == session::Action::move_event || edit.action == session::Action::exclude) &&
      (options.who.empty() || options.why.empty()))
    return fail(options.session, "is changed only by somebody and for a reason",
                "give both --who and --why");
  edit.when = iso_now();
  // Or a table and other programs could not read them.
  edit.who = valid_utf8(options.who);
  edit.why = valid_utf8(options.why);
  edit.target = valid_utf8(edit.target);
  edit.text = valid_utf8(edit.text);
  return edit;
}

struct Appended {
  std::size_t place = 0;
  Edit edit;
  std::string words;
};

// Its place is told by the append: others may have added theirs since anything was read.
Result<Appended> append_one(const EditOptions& options,
                            const std::function<Result<Edit>(std::span<const Edit>)>& choose) {
  Appended appended;
  const auto id =
      session::append_edit(options.session, [&](std::span<const Edit> edits) -> Result<Edit> {
        auto edit = choose(edits);
        if (edit) edit = signed_by(options, std::move(*edit));
        if (!edit) return edit;
        appended = {edits.size(), *edit, session::words_of(*edit, edits)};
        return edit;
      });
  if (!id) return tl::make_unexpected(id.error());
  appended.edit.id = *id;
  return appended;
}

void tell(const EditOptions& options, const Appended& appended) {
  const Edit& edit = appended.edit;
  if (options.json)
    std::cout << json_text(json_of(appended.place, edit, true, appended.words)) << '\n';
  else if (edit.action == session::Action::retest)
    std::cout << fmt::format("{}: {}.\n", options.session, one_line(appended.words));
  else if (std::isnan(edit.throw_contact))
    std::cout << fmt::format("{}: {}. Analyse again to see it in the numbers.\n", options.session,
                             one_line(appended.words));
  else
    std::cout << fmt::format(
        "{}: {}, for the throw at {:.2f} s. Analyse again to see it in the numbers.\n",
        options.session, one_line(appended.words), edit.throw_contact);
}

int append(const EditOptions& options, const Result<Edit>& edit) {
  if (!edit) return complain(edit.error());
  const auto appended = append_one(options, [&](std::span<const Edit>) { return edit; });
  if (!appended) return complain(appended.error());
  tell(options, *appended);
  return 0;
}

int retest(const EditOptions& options) {
  const auto session = open(options);
  if (!session) return complain(session.error());
  if (options.withdraw) {
    const auto edits = session::read_edits(options.session);
    if (!edits) return complain(edits.error());
    if (!session::retest_of(*edits))
      return complain(fail(options.session, "is named a retest of no session").value());
    return append(options, session::no_retest_edit());
  }
  if (options.retest_of.empty())
    return complain(
        fail("--of", "names the session that this one repeats", "give it, or --withdraw").value());
  const auto other = session::Reader::open(options.retest_of);
  if (!other) return complain(other.error());
  return append(options,
                session::retest_edit(session::retest_side(session->session(), options.session),
                                     session::retest_side(other->session(), options.retest_of),
                                     options.change_days));
}

int put_right(const EditOptions& options) {
  const auto reader = open(options);
  if (!reader) return complain(reader.error());
  const auto edits = facts(options);
  if (!edits) return complain(edits.error());
  session::Session corrected = reader->session();
  session::apply_facts(*edits, corrected);
  if (const auto sound = intake::check_facts(corrected, session::local_start(corrected)); !sound)
    return complain(sound.error());
  std::vector<Edit> all;
  for (const Edit& edit : *edits) {
    auto one = signed_by(options, edit);
    if (!one) return complain(one.error());
    one->id = session::new_edit_id();
    all.push_back(std::move(*one));
  }
  const auto first = session::append_edits(options.session, all);
  if (!first) return complain(first.error());
  for (std::size_t i = 0; i < all.size(); ++i)
    tell(options, {*first + i, all[i], session::words_of(all[i], all)});
  return 0;
}

int take_back(const EditOptions& options,
              std::optional<std::size_t> (*place_of)(std::span<const Edit>), const char* what) {
  if (const auto readable = edits_of(options); !readable) return complain(readable.error());
  const auto appended = append_one(options, [&](std::span<const Edit> edits) -> Result<Edit> {
    const auto last = place_of(edits);
    if (!last) return fail(options.session, fmt::format("has nothing to {}", what));
    return session::undo_of(edits[*last]);
  });
  if (!appended) return complain(appended.error());
  tell(options, *appended);
  return 0;
}

int list(const EditOptions& options) {
  const auto edits = edits_of(options);
  if (!edits) return complain(edits.error());
  const auto reader = open(options);
  if (!reader) return complain(reader.error());
  const std::vector<bool> stands = session::standing(*edits);
  nlohmann::ordered_json rows = nlohmann::ordered_json::array();
  for (std::size_t place = 0; place < edits->size(); ++place) {
    const Edit& edit = (*edits)[place];
    const std::string words = session::words_of(edit, *edits);
    if (options.json) {
      rows.push_back(json_of(place, edit, stands[place], words));
      continue;
    }
    const std::string about = std::isnan(edit.throw_contact)
                                  ? "the session"
                                  : fmt::format("throw at {:.2f} s", edit.throw_contact);
    std::cout << fmt::format(
        "{:3}  {}  {}: {}{}{}{}\n", place, session::local_text(edit.when, reader->session().zone),
        about, one_line(words), edit.who.empty() ? "" : ", " + one_line(edit.who),
        edit.why.empty() ? "" : ": " + one_line(edit.why), stands[place] ? "" : " (taken back)");
  }
  if (options.json) std::cout << json_text(rows) << '\n';
  if (!options.json && edits->empty()) std::cout << options.session << ": no edits\n";
  return 0;
}

}  // namespace

void add_edit(CLI::App& app, int& exit_code) {
  CLI::App* edit = app.add_subcommand(
      "edit",
      "Add to a session's edits: move an event, exclude a throw, tag it, put a fact right, take "
      "back");
  edit->require_subcommand(1);
  auto options = std::make_shared<EditOptions>();
  EditOptions& o = *options;
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
          [&o] { return append(o, edit_of_throw(o, session::Action::exclude)); });
  command("include", "Take an exclusion back", true, Asks::person,
          [&o] { return append(o, edit_of_throw(o, session::Action::include)); });
  CLI::App* tags =
      command("tag", "Tag a throw", true, Asks::person, [&o] { return append(o, tag(o)); });
  tags->add_option("--name", o.tag,
                   "Name of the tag, as cue; checked are pitch_type, delivery (wind-up, stretch), "
                   "effort (90%, 9/10), warm_up (yes, no), ball (145g) and block")
      ->required();
  tags->add_option("--text", o.text, "Its text; empty takes the tag away")->required();
  CLI::App* marks = command("mark", "Say in which frame of a video a moment is seen", true,
                            Asks::person, [&o] { return append(o, mark(o)); });
  marks
      ->add_option("--mark", o.mark,
                   "The moment: greatest_trunk_stretch, chest_facing_plate or release")
      ->required();
  marks->add_option("--frame", o.frame, "Its frame, counted from the recording's first")
      ->required();
  marks->add_option("--landing-frame", o.landing_frame, "Frame in which the lead foot lands")
      ->required();
  marks->add_option("--rate", o.rate, "Frames a second, such as 240Hz")->required();
  CLI::App* retests = command("retest",
                              "Name a session as one that repeats another, nothing changed on "
                              "purpose: that tells what days differ by",
                              false, Asks::person, [&o] { return retest(o); });
  CLI::Option* of = retests->add_option("--of", o.retest_of, "The session that it repeats");
  retests->add_flag("--withdraw", o.withdraw, "It is a retest no more")->excludes(of);
  retests->add_option("--change-days", o.change_days, "Most calendar days between the two")
      ->check(CLI::Range(0, 366))
      ->capture_default_str();
  CLI::App* corrects = command("fact", "Put right what the session says of its athlete and air",
                               false, Asks::person_and_reason, [&o] { return put_right(o); });
  corrects->add_option("--mass", o.mass, "Body mass, such as 88.5kg or 195lb");
  corrects->add_option("--mass-u", o.mass_u, "Its standard uncertainty")->capture_default_str();
  corrects->add_option("--height", o.height, "Body height, such as 1.85m or 73in");
  corrects->add_option("--height-u", o.height_u, "Its standard uncertainty")->capture_default_str();
  corrects->add_option("--born", o.born, "Date of birth, YYYY-MM-DD");
  corrects->add_option("--throws", o.throws, "Throwing hand")
      ->check(CLI::IsMember({"right", "left"}));
  corrects->add_option("--temperature", o.temperature, "Air temperature, such as 21C");
  corrects->add_option("--pressure", o.pressure, "Air pressure, such as 1009hPa");
  corrects->add_option("--humidity", o.humidity, "Relative humidity, such as 45%");
  corrects->add_option("--name", o.name, "Athlete's name");
  corrects->add_option("--athlete", o.athlete, "Athlete's identity in the lab");
  auto take = std::make_shared<TakeOptions>();
  CLI::App* takes = edit->add_subcommand("take", "Tag throws as a log says, all of them or none");
  takes->add_option("place", take->place, "Analysed session file, or a folder of them")->required();
  takes
      ->add_option("--log", take->log,
                   "Table with the columns session, throw and pitch, cue, delivery, effort, "
                   "warm_up, ball or block")
      ->required();
  takes->add_option("--who", take->who, "Who says so");
  takes->add_flag("--json", take->json, "Print JSON");
  takes->callback([take, &exit_code] { exit_code = take_log(*take); });
  command("undo", "Take the last edit back", false, Asks::person,
          [&o] { return take_back(o, session::place_to_undo, "undo"); });
  command("redo", "Bring back what was undone last", false, Asks::person,
          [&o] { return take_back(o, session::place_to_redo, "redo"); });
  command("list", "Show a session's edits", false, Asks::nothing, [&o] { return list(o); });
}

}  // namespace moundwork::cli
