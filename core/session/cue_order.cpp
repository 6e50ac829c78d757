// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/cue_order.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string_view>

#include "core/session/edit_state.h"
#include "core/session/throw_fields.h"

namespace moundwork::session {
namespace {

constexpr char no_cue_due = '-';

// The text up to the next blank, which is taken off.
std::string_view first_word(std::string_view& text) {
  const std::size_t end = std::min(text.find(' '), text.size());
  const std::string_view word = text.substr(0, end);
  text.remove_prefix(std::min(end + 1, text.size()));
  return word;
}

template <class Number>
bool whole_in(std::string_view word, Number& number) {
  const auto [end, problem] = std::from_chars(word.data(), word.data() + word.size(), number);
  return problem == std::errc() && end == word.data() + word.size();
}

}  // namespace

std::string CueOrder::cue_at(std::size_t place) const {
  const int kind = kinds.at(place);
  return kind == 0 ? std::string() : cues.at(static_cast<std::size_t>(kind - 1));
}

Edit keep_cue_order(const CueOrder& order) {
  std::string kinds;
  for (const int kind : order.kinds)
    kinds += kind == 0 ? no_cue_due : static_cast<char>('0' + kind);
  std::string cues;
  for (const std::string& cue : order.cues) {
    if (!cues.empty()) cues += cue_separator;
    cues += cue;
  }
  Edit edit;
  edit.action = Action::cue_order;
  edit.target = "cue";
  edit.value = order.begins;
  edit.unit = "s";
  edit.text = fmt::format("{} {} {} {}", order.run, order.seed, kinds, cues);
  return edit;
}

std::optional<CueOrder> kept_cue_order(const Edit& edit) {
  if (edit.action != Action::cue_order || !std::isfinite(edit.value)) return std::nullopt;
  CueOrder order;
  order.begins = edit.value;
  std::string_view text = edit.text;
  if (!whole_in(first_word(text), order.run) || order.run < 1 ||
      !whole_in(first_word(text), order.seed))
    return std::nullopt;
  const std::string_view kinds = first_word(text);
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(cue_separator), text.size());
    order.cues.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  for (const char kind : kinds) {
    const int place = kind == no_cue_due ? 0 : kind - '0';
    if (place < 0 || place > static_cast<int>(order.cues.size()) ||
        (place == 0 && kind != no_cue_due))
      return std::nullopt;
    order.kinds.push_back(place);
  }
  if (order.kinds.empty()) return std::nullopt;
  return order;
}

std::vector<std::optional<DrawnCue>> drawn_cues(std::span<const Edit> edits,
                                                std::span<const double> contacts) {
  std::vector<CueOrder> orders;
  const std::vector<bool> stands = standing(edits);
  for (std::size_t i = 0; i < edits.size(); ++i)
    if (stands[i])
      if (auto order = kept_cue_order(edits[i])) orders.push_back(std::move(*order));
  std::vector<std::optional<DrawnCue>> drawn(contacts.size());
  if (orders.empty()) return drawn;
  std::vector<std::size_t> taken(orders.size(), 0);  // places, of each order
  for (std::size_t i = 0; i < contacts.size(); ++i) {
    std::size_t last = orders.size();
    for (std::size_t one = orders.size(); one-- > 0 && last == orders.size();)
      if (orders[one].begins < contacts[i]) last = one;
    if (last == orders.size() || fields_of(state_of(edits, contacts[i]).tags).warm_up) continue;
    const CueOrder& order = orders[last];
    const std::size_t place = taken[last]++;
    if (place >= order.kinds.size()) continue;
    drawn[i] = DrawnCue{static_cast<int>(last) + 1,
                        static_cast<int>(order.kinds.size()),
                        static_cast<int>(place),
                        static_cast<int>(place) / order.run,
                        order.run,
                        order.cue_at(place)};
  }
  return drawn;
}

}  // namespace moundwork::session
