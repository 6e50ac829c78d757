// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include "core/summary/group.h"

namespace moundwork::summary {
namespace {

std::string nobody(const Group& group) {
  switch (group.from) {
    case GroupFrom::given:
      return "Nobody of the group given may stand beside this athlete.";
    case GroupFrom::together:
      return "Nobody who was summarised together may stand beside this athlete.";
    case GroupFrom::lab_folder:
      return "Nobody in the lab's folder may stand beside this athlete.";
    case GroupFrom::lab_index:
      return "Nobody in the lab's index may stand beside this athlete.";
  }
  return {};
}

std::string too_few(const Group& group) {
  switch (group.from) {
    case GroupFrom::given:
      return fmt::format("Too few others to stand beside in the group given: {others}.",
                         fmt::arg("others", group.athletes));
    case GroupFrom::together:
      return fmt::format("Too few others to stand beside were summarised together: {others}.",
                         fmt::arg("others", group.athletes));
    case GroupFrom::lab_folder:
      return fmt::format("Too few others to stand beside in the lab's folder: {others}.",
                         fmt::arg("others", group.athletes));
    case GroupFrom::lab_index:
      return fmt::format("Too few others to stand beside in the lab's index: {others}.",
                         fmt::arg("others", group.athletes));
  }
  return {};
}

std::string beside(const Group& group) {
  switch (group.from) {
    case GroupFrom::given:
      return fmt::format("Beside {others} others of the group given: a place, not a mark.",
                         fmt::arg("others", group.athletes));
    case GroupFrom::together:
      return fmt::format("Beside {others} others summarised together: a place, not a mark.",
                         fmt::arg("others", group.athletes));
    case GroupFrom::lab_folder:
      return fmt::format("Beside {others} others in the lab's folder: a place, not a mark.",
                         fmt::arg("others", group.athletes));
    case GroupFrom::lab_index:
      return fmt::format("Beside {others} others in the lab's index: a place, not a mark.",
                         fmt::arg("others", group.athletes));
  }
  return {};
}

std::string of_what_age(const Group& group) {
  if (!group.ages) return "Others count at any age and size.";
  if (group.ages->unknown_too)
    return "Others count at any age and size unless they are known to be under 18.";
  return fmt::format("Others count when aged {from} to {to}, at any size.",
                     fmt::arg("from", group.ages->from), fmt::arg("to", group.ages->to));
}

std::string left_out(const Group& group) {
  if (group.without_age == 0) return {};
  if (group.without_age == 1) return " 1 other is left out, since the age is not known.";
  return fmt::format(" {others} others are left out, since their age is not known.",
                     fmt::arg("others", group.without_age));
}

}  // namespace

std::string group_words(const std::optional<Group>& group) {
  if (!group) return "No other athletes were given to stand beside.";
  switch (group->why_none) {
    case NoGroup::under_age:
      return "Not set beside others: under 18 that is done only when it is asked for.";
    case NoGroup::no_age:
      return "No place among others of like age, since no date of birth was noted.";
    case NoGroup::none:
      break;
  }
  const std::string first = group->athletes == 0             ? nobody(*group)
                            : group->athletes < least_others ? too_few(*group)
                                                             : beside(*group);
  return first + ' ' + of_what_age(*group) + left_out(*group);
}

}  // namespace moundwork::summary
