// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/sentence.h"

#include <array>
#include <catch2/catch.hpp>

using namespace moundwork;

namespace {

/// Speaks another language for the length of a test.
class Speaking {
 public:
  explicit Speaking(Translations translations) {
    use_translations(std::make_shared<const Translations>(std::move(translations)));
  }
  ~Speaking() { use_translations(nullptr); }
  Speaking(const Speaking&) = delete;
  Speaking& operator=(const Speaking&) = delete;
};

std::string change(const std::string& name, const std::string& size) {
  return sentence("With the cue, {name} was {size} more.", "name"_is(name), "size"_is(size));
}

std::string counted(int throws) {
  return sentence_for(throws, "One throw counts.", "{throws} throws count.", "throws"_is(throws));
}

TemplateFault fault(std::string_view text, bool all = true) {
  static constexpr std::array<std::string_view, 2> names{"name", "size"};
  return fault_of(text, names, all);
}

}  // namespace

TEST_CASE("A sentence is its English template with its values", "[sentence]") {
  CHECK(change("stride length", "3 cm") == "With the cue, stride length was 3 cm more.");
  CHECK(sentence("No throw counts.") == "No throw counts.");
  CHECK(sentence("{a}{b}{a}", "a"_is("x"), "b"_is(7)) == "x7x");
  // What stands in a value is no template.
  CHECK(change("{size}", "}{") == "With the cue, {size} was }{ more.");
}

TEST_CASE("A count chooses the form", "[sentence]") {
  CHECK(counted(1) == "One throw counts.");
  CHECK(counted(0) == "0 throws count.");
  CHECK(counted(12) == "12 throws count.");
}

TEST_CASE("A translation puts the values in its own order, and has its own plurals", "[sentence]") {
  // An invented language: values first, and three forms as some Slavic languages have.
  auto translations =
      Translations::make({{"With the cue, {name} was {size} more.", "", {"{size} {name} +cue!"}},
                          {"One throw counts.",
                           "{throws} throws count.",
                           {"uno", "{throws} duo-quattuor", "{throws} multi"}}},
                         [](long n) -> std::size_t { return n == 1  ? 0
                                                            : n < 5 ? 1
                                                                    : 2; });
  REQUIRE(translations);
  {
    const Speaking other(std::move(*translations));
    CHECK(change("stride length", "3 cm") == "3 cm stride length +cue!");
    CHECK(counted(1) == "uno");
    CHECK(counted(3) == "3 duo-quattuor");
    CHECK(counted(40) == "40 multi");
    CHECK(sentence("No throw counts.") == "No throw counts.");  // not translated yet
  }
  CHECK(change("stride length", "3 cm") == "With the cue, stride length was 3 cm more.");
}

TEST_CASE("Names that are missing, superfluous or broken are found", "[sentence]") {
  CHECK(fault("{name} and {size}, {name}") == TemplateFault::none);
  CHECK(fault("{name} and {sise}") == TemplateFault::name_without_value);
  CHECK(fault("{name} alone") == TemplateFault::value_without_name);
  CHECK(fault("{name} alone", false) == TemplateFault::none);
  for (const char* broken : {"{name", "name}", "{}", "{na{me}", "{{name}} {size}"})
    CHECK(fault(broken) == TemplateFault::braces);
}

TEST_CASE("A translation that would lose a value is refused", "[sentence]") {
  const auto refused = [](Translation entry) {
    const auto made = Translations::make({std::move(entry)});
    return made ? std::string() : made.error().sentence();
  };
  const std::string english = "{name} was {size} more.";
  CHECK(refused({english, "", {"{size}: {name}"}}).empty());
  CHECK(refused({english, "", {"{name}"}}).find("lacks a name") != std::string::npos);
  CHECK(refused({english, "", {"{name} {size} {unit}"}}).find("English has not") !=
        std::string::npos);
  CHECK(refused({english, "", {"{name} {size"}}).find("braces") != std::string::npos);
  CHECK(refused({english, "", {}}).find("empty") != std::string::npos);
  CHECK(refused({english, "", {"{name} {size}", "{name} {size}"}}).find("plural") !=
        std::string::npos);
  // Only the form for one may leave its number out.
  CHECK(refused({"One throw.", "{n} throws.", {"uno", "{n} multi"}}).empty());
  CHECK(refused({"One throw.", "{n} throws.", {"uno", "multi"}}).find("lacks") !=
        std::string::npos);
  CHECK_FALSE(Translations::make({{"Yes.", "", {"si"}}, {"Yes.", "", {"oui"}}}));
}
