// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/facts_form.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <optional>
#include <string_view>

#include "core/base/units.h"
#include "core/intake/facts.h"
#include "core/intake/usual_uncertainty.h"
#include "core/session/fact.h"
#include "core/session/start.h"

namespace moundwork::desk {
namespace {

using session::Fact;
namespace usual_u = intake::usual_u;

struct Number {
  Fact fact;
  std::string FactsForm::*field;
  const char* name;
  std::optional<Dimension> dimension;  ///< none for a share in percent
  double u;
};
const std::array<Number, 5> numbers{
    {{Fact::mass, &FactsForm::mass, "Mass", Dimension::mass, usual_u::mass},
     {Fact::height, &FactsForm::height, "Height", Dimension::length, usual_u::height},
     {Fact::temperature, &FactsForm::temperature, "Temperature", Dimension::temperature,
      usual_u::temperature},
     {Fact::pressure, &FactsForm::pressure, "Pressure", Dimension::pressure, usual_u::pressure},
     {Fact::humidity, &FactsForm::humidity, "Humidity", std::nullopt, usual_u::relative_humidity}}};

struct Words {
  Fact fact;
  std::string FactsForm::*field;
  const char* name;
};
const std::array<Words, 3> words{{{Fact::athlete, &FactsForm::athlete, "Id"},
                                  {Fact::name, &FactsForm::name, "Name"},
                                  {Fact::born, &FactsForm::born, "Date of birth"}}};

std::string stated(const Measured& value, double factor, std::string_view unit) {
  return value.known() ? fmt::format("{:.6g} {}", value.value * factor, unit) : std::string();
}

Result<double> share(const std::string& text, const char* name) {
  double percent = 0.0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), percent);
  const std::string_view rest(end, static_cast<std::size_t>(text.data() + text.size() - end));
  if (status != std::errc{} || (rest != "%" && rest != " %"))
    return fail(name, fmt::format("'{}' is no share", text), "write it as 45 %");
  return percent / 100.0;
}

}  // namespace

FactsForm facts_of(const session::Session& session) {
  const session::Athlete& athlete = session.athlete;
  const session::Conditions& air = session.conditions;
  return {athlete.id,
          athlete.name,
          athlete.born,
          athlete.throws == session::Hand::left,
          stated(athlete.mass, 1.0, "kg"),
          stated(athlete.height, 1.0, "m"),
          stated(air.temperature, 1.0, "C"),
          stated(air.pressure, 0.01, "hPa"),
          stated(air.relative_humidity, 100.0, "%")};
}

Result<std::vector<session::Edit>> corrections(const session::Session& session,
                                               const FactsForm& form, const std::string& why) {
  const FactsForm before = facts_of(session);
  std::vector<session::Edit> edits;
  const auto emptied = [](const char* name) {
    return fail(name, "was emptied", "write what is right, or leave it as it was");
  };
  for (const Words& one : words) {
    if (form.*one.field == before.*one.field) continue;
    if ((form.*one.field).empty()) return emptied(one.name);
    edits.push_back(session::set_fact(one.fact, form.*one.field));
  }
  if (form.left_handed != before.left_handed)
    edits.push_back(
        session::set_fact(Fact::throws, std::string(form.left_handed ? "left" : "right")));
  for (const Number& one : numbers) {
    if (form.*one.field == before.*one.field) continue;
    if ((form.*one.field).empty()) return emptied(one.name);
    const auto value = one.dimension ? parse_quantity(form.*one.field, *one.dimension, one.name)
                                     : share(form.*one.field, one.name);
    if (!value) return tl::make_unexpected(value.error());
    edits.push_back(session::set_fact(one.fact, Measured{*value, one.u}));
  }
  if (edits.empty()) return edits;
  if (why.empty()) return fail("The reason", "is not given", "write why the facts were wrong");
  session::Session corrected = session;
  for (session::Edit& edit : edits) edit.why = why;
  session::apply_facts(edits, corrected);
  if (auto sound = intake::check_facts(corrected, session::local_start(corrected)); !sound)
    return tl::make_unexpected(sound.error());
  return edits;
}

}  // namespace moundwork::desk
