// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "core/base/uuid.h"
#include "core/definitions/key_name.h"
#include "core/session/cue_order.h"

namespace moundwork::session {
namespace {

constexpr std::array<std::pair<Action, std::string_view>, 11> keys{
    {{Action::move_event, "move_event"},
     {Action::reset, "reset"},
     {Action::exclude, "exclude"},
     {Action::include, "include"},
     {Action::tag, "tag"},
     {Action::mark, "mark"},
     {Action::set_fact, "set_fact"},
     {Action::cue_order, "cue_order"},
     {Action::retest, "retest"},
     {Action::undo, "undo"},
     {Action::unknown, "unknown"}}};

std::string fact_words(const Edit& edit) {
  const std::string fact = definitions::key_name(edit.target);
  if (!edit.text.empty())
    return fmt::format("set {fact} to {text}", fmt::arg("fact", fact), fmt::arg("text", edit.text));
  const bool share = edit.unit == "1";
  return fmt::format("set {fact} to {value:g} {unit}", fmt::arg("fact", fact),
                     fmt::arg("value", share ? 100.0 * edit.value : edit.value),
                     fmt::arg("unit", share ? "%" : edit.unit));
}

std::string order_words(const Edit& edit) {
  const auto order = kept_cue_order(edit);
  if (!order) return "drew an order of cues that cannot be read";
  return fmt::format("drew the order of cues for {throws} throws by chance: {cues} or none",
                     fmt::arg("throws", order->kinds.size()),
                     fmt::arg("cues", fmt::join(order->cues, ", ")));
}

// An undo of an undo brings back, one of that takes back again.
std::string undo_words(const Edit& edit, std::span<const Edit> list) {
  const Edit* about = &edit;
  bool taken_back = false;
  while (about->action == Action::undo) {
    const auto found = std::find_if(list.begin(), list.end(),
                                    [&](const Edit& one) { return one.id == about->undoes; });
    if (about->undoes.empty() || found == list.end())
      return "took back a change that is not in the list";
    about = &*found;
    taken_back = !taken_back;
    // Only what stands before it: a list that names itself would never end.
    list = {list.begin(), found};
  }
  const std::string what = words_of(*about, {});
  return taken_back ? fmt::format("took back: {what}", fmt::arg("what", what))
                    : fmt::format("brought back: {what}", fmt::arg("what", what));
}

}  // namespace

std::string_view key_of(Action action) {
  return std::find_if(keys.begin(), keys.end(),
                      [&](const auto& one) { return one.first == action; })
      ->second;
}

Action action_from(std::string_view key) {
  const auto known =
      std::find_if(keys.begin(), keys.end(), [&](const auto& one) { return one.second == key; });
  return known == keys.end() ? Action::unknown : known->first;
}

std::string new_edit_id() { return new_uuid(); }

bool is_about(const Edit& edit, double contact) {
  return std::abs(edit.throw_contact - contact) <= same_throw;
}

Edit undo_of(const Edit& taken_back) {
  Edit edit;
  edit.throw_contact = taken_back.throw_contact;
  edit.action = Action::undo;
  edit.target = taken_back.target;
  edit.undoes = taken_back.id;
  return edit;
}

std::string words_of(const Edit& edit, std::span<const Edit> list) {
  const std::string target = definitions::key_name(edit.target);
  switch (edit.action) {
    case Action::move_event:
      if (edit.u > 0.0)
        return fmt::format("moved {event} to {time:.4f} s ± {u:.4f} s", fmt::arg("event", target),
                           fmt::arg("time", edit.value), fmt::arg("u", edit.u));
      return fmt::format("moved {event} to {time:.4f} s", fmt::arg("event", target),
                         fmt::arg("time", edit.value));
    case Action::reset:
      if (target.empty()) return "put all events back to what was found";
      return fmt::format("put {event} back to what was found", fmt::arg("event", target));
    case Action::exclude:
      return "excluded the throw";
    case Action::include:
      return "included the throw again";
    case Action::tag:
      if (edit.text.empty()) return fmt::format("took the tag {tag} away", fmt::arg("tag", target));
      return fmt::format("tagged {tag}: {text}", fmt::arg("tag", target),
                         fmt::arg("text", edit.text));
    case Action::mark:
      return fmt::format(
          "marked {moment} at frame {frame:g}, landing at frame {landing:g}, {rate:g} frames a "
          "second",
          fmt::arg("moment", target), fmt::arg("frame", edit.frame),
          fmt::arg("landing", edit.landing_frame), fmt::arg("rate", edit.rate));
    case Action::set_fact:
      return fact_words(edit);
    case Action::cue_order:
      return order_words(edit);
    case Action::retest:
      if (edit.text.empty()) return "named it a retest no more";
      return fmt::format("named it a retest of {day}", fmt::arg("day", edit.target));
    case Action::undo:
      return undo_words(edit, list);
    case Action::unknown:
      break;
  }
  return "made a change that this version of the program does not know";
}

}  // namespace moundwork::session
