// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <concepts>
#include <cstddef>
#include <functional>
#include <map>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include "core/base/result.h"

/// Whole sentences with named values, the one door for all text that people read in the window and
/// on pages:
///
///     sentence("{name} was {size} more.", "name"_is(name), "size"_is(size))
///     sentence_for(n, "{n} throw counts.", "{n} throws count.", "n"_is(n))
///
/// The English template is what a translation is looked up by, so it is always a literal (xgettext
/// finds them by --keyword=sentence:1 --keyword=sentence_for:2,3), and a translation may put the
/// values in any order. A value is finished text or a whole number; anything with decimals is first
/// written by core/base/shown_number.h. A name without value, or a value without name, does not
/// compile. Never join two results: what is one sentence for the reader is one template.
namespace moundwork {

/// A template's value.
struct NamedText {
  std::string_view name;
  std::string text;
};

template <std::size_t size>
struct FixedName {
  char text[size];
  consteval FixedName(const char (&literal)[size]) {  // NOLINT(google-explicit-constructor)
    for (std::size_t i = 0; i < size; ++i) text[i] = literal[i];
  }
  [[nodiscard]] constexpr std::string_view view() const { return {text, size - 1}; }
};

/// The same with the name known to the compiler.
template <FixedName fixed>
struct ValueNamed {
  static constexpr std::string_view name = fixed.view();
  std::string text;
};

template <FixedName fixed>
struct NameOfValue {
  [[nodiscard]] ValueNamed<fixed> operator()(std::string_view text) const {
    return {std::string(text)};
  }
  template <std::integral Count>
  requires(!std::same_as<Count, bool> && !std::same_as<Count, char>) [[nodiscard]] ValueNamed<fixed>
  operator()(Count count) const {
    return {std::to_string(count)};
  }
};

template <FixedName fixed>
consteval NameOfValue<fixed> operator""_is() {
  return {};
}

/// How a template goes with the names of its values.
enum class TemplateFault { none, braces, name_without_value, value_without_name };

/// With `all`, each name must occur in the template at least once. Braces stand for names only.
[[nodiscard]] constexpr TemplateFault fault_of(std::string_view text,
                                               std::span<const std::string_view> names, bool all) {
  constexpr std::size_t most_names = 32;
  bool used[most_names] = {};
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (text[at] == '}') return TemplateFault::braces;
    if (text[at] != '{') continue;
    std::size_t end = at + 1;
    while (end < text.size() && text[end] != '}' && text[end] != '{') ++end;
    if (end >= text.size() || text[end] != '}' || end == at + 1) return TemplateFault::braces;
    const std::string_view name = text.substr(at + 1, end - at - 1);
    std::size_t which = 0;
    while (which < names.size() && names[which] != name) ++which;
    if (which == names.size() || which >= most_names) return TemplateFault::name_without_value;
    used[which] = true;
    at = end;
  }
  for (std::size_t i = 0; all && i < names.size(); ++i)
    if (i >= most_names || !used[i]) return TemplateFault::value_without_name;
  return TemplateFault::none;
}

/// An English template that was held against its values' names while compiling. The form for one
/// may leave its number out ("One throw counts.").
template <bool all, class... Values>
class Template {
 public:
  template <std::size_t size>
  consteval Template(const char (&literal)[size])  // NOLINT(google-explicit-constructor)
      : text_(literal, size - 1) {
    constexpr std::size_t count = sizeof...(Values);
    const std::string_view names[count + 1] = {Values::name..., {}};
    if (fault_of(text_, {names, count}, all) != TemplateFault::none)
      throw "a template whose names are not its values'";
  }
  [[nodiscard]] std::string_view text() const { return text_; }

 private:
  std::string_view text_;
};

/// What another language says in place of the English templates.
struct Translation {
  std::string english;  ///< the template; of two forms, the one for one
  std::string many;     ///< the English form for many, where there are two
  /// One, or as many as the language has plural forms; values in braces by their English names.
  std::vector<std::string> forms;
};

class Translations {
 public:
  /// `form_of`: which of the plural forms a count takes, below the length of every list of forms;
  /// without it, the first for one and the second for all others. Fails on a form that lacks a name
  /// of its English template, has one that is not there, or unpaired braces, and on a template with
  /// two translations.
  [[nodiscard]] static Result<Translations> make(std::vector<Translation> entries,
                                                 std::function<std::size_t(long)> form_of = {});

  /// Empty where there is none.
  [[nodiscard]] std::string_view find(std::string_view english) const;
  [[nodiscard]] std::string_view find(std::string_view english, long count) const;

 private:
  std::map<std::string, std::vector<std::string>, std::less<>> forms_;
  std::function<std::size_t(long)> form_of_;
};

/// From now on, for the whole program; none speaks English, as programs do that never call this.
void use_translations(std::shared_ptr<const Translations> translations);

/// `english` or its translation with its values; what `sentence` calls.
[[nodiscard]] std::string worded(std::string_view english, std::span<const NamedText> values);
[[nodiscard]] std::string worded(long count, std::string_view one, std::string_view many,
                                 std::span<const NamedText> values);

template <class... Values>
[[nodiscard]] std::string sentence(Template<true, std::type_identity_t<Values>...> english,
                                   const Values&... values) {
  const NamedText named[sizeof...(Values) + 1] = {{Values::name, values.text}..., {}};
  return worded(english.text(), {named, sizeof...(Values)});
}

/// The sentence for a count of things; `count` itself is shown where a value tells it.
template <class... Values>
[[nodiscard]] std::string sentence_for(long count,
                                       Template<false, std::type_identity_t<Values>...> one,
                                       Template<true, std::type_identity_t<Values>...> many,
                                       const Values&... values) {
  const NamedText named[sizeof...(Values) + 1] = {{Values::name, values.text}..., {}};
  return worded(count, one.text(), many.text(), {named, sizeof...(Values)});
}

}  // namespace moundwork
