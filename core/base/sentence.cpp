// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/sentence.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <optional>
#include <utility>

namespace moundwork {
namespace {

std::atomic<std::shared_ptr<const Translations>>& in_use() {
  static std::atomic<std::shared_ptr<const Translations>> translations;
  return translations;
}

// The names in braces, each once; none where braces do not pair.
std::optional<std::vector<std::string_view>> names_in(std::string_view text) {
  std::vector<std::string_view> names;
  for (std::size_t at = text.find('{'); at != std::string_view::npos; at = text.find('{', at + 1)) {
    const std::size_t end = text.find('}', at);
    if (end == std::string_view::npos) return std::nullopt;
    const std::string_view name = text.substr(at + 1, end - at - 1);
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  }
  if (fault_of(text, names, true) != TemplateFault::none) return std::nullopt;
  return names;
}

std::string filled(std::string_view text, std::span<const NamedText> values) {
  std::string out;
  while (true) {
    const std::size_t at = text.find('{');
    out += text.substr(0, at);
    if (at == std::string_view::npos) return out;
    const std::size_t end = text.find('}', at);
    const std::string_view name = text.substr(at + 1, end - at - 1);
    for (const NamedText& value : values)
      if (value.name == name) out += value.text;
    text.remove_prefix(end + 1);
  }
}

}  // namespace

Result<Translations> Translations::make(std::vector<Translation> entries,
                                        std::function<std::size_t(long)> form_of) {
  Translations translations;
  translations.form_of_ =
      form_of ? std::move(form_of) : [](long count) -> std::size_t { return count == 1 ? 0 : 1; };
  for (Translation& entry : entries) {
    const auto wrong = [&](std::string what) {
      return fail(fmt::format("the translation of '{}'", entry.english), std::move(what));
    };
    // The form for many has every name; the form for one may lack some.
    const auto names = names_in(entry.many.empty() ? entry.english : entry.many);
    if (!names) return wrong("has unpaired braces in its English");
    if (entry.forms.empty()) return wrong("is empty");
    if (entry.many.empty() && entry.forms.size() > 1)
      return wrong("has plural forms where the English has none");
    for (std::size_t i = 0; i < entry.forms.size(); ++i) {
      const bool all = entry.many.empty() || i > 0 || entry.forms.size() == 1;
      switch (fault_of(entry.forms[i], *names, all)) {
        case TemplateFault::none:
          break;
        case TemplateFault::braces:
          return wrong(fmt::format("has unpaired braces: '{}'", entry.forms[i]));
        case TemplateFault::name_without_value:
          return wrong(fmt::format("has a name that the English has not: '{}'", entry.forms[i]));
        case TemplateFault::value_without_name:
          return wrong(fmt::format("lacks a name that the English has: '{}'", entry.forms[i]));
      }
    }
    if (!translations.forms_.emplace(entry.english, entry.forms).second)
      return wrong("stands there twice");
  }
  return translations;
}

std::string_view Translations::find(std::string_view english) const {
  const auto found = forms_.find(english);
  return found == forms_.end() ? std::string_view() : found->second.front();
}

std::string_view Translations::find(std::string_view english, long count) const {
  const auto found = forms_.find(english);
  if (found == forms_.end()) return {};
  return found->second[std::min(form_of_(count), found->second.size() - 1)];
}

void use_translations(std::shared_ptr<const Translations> translations) {
  in_use().store(std::move(translations));
}

std::string worded(std::string_view english, std::span<const NamedText> values) {
  const auto translations = in_use().load();
  const std::string_view other = translations ? translations->find(english) : std::string_view();
  return filled(other.empty() ? english : other, values);
}

std::string worded(long count, std::string_view one, std::string_view many,
                   std::span<const NamedText> values) {
  const auto translations = in_use().load();
  const std::string_view other = translations ? translations->find(one, count) : std::string_view();
  if (!other.empty()) return filled(other, values);
  return filled(count == 1 ? one : many, values);
}

}  // namespace moundwork
