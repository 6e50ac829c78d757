// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/sentence.h"
#include "core/summary/group.h"

namespace moundwork::summary {
namespace {

std::string nobody(const Group& group) {
  switch (group.from) {
    case GroupFrom::given:
      return sentence("Nobody of the group given can be compared with this athlete.");
    case GroupFrom::together:
      return sentence("Nobody who was summarised together can be compared with this athlete.");
    case GroupFrom::lab_folder:
      return sentence("Nobody in the lab's folder can be compared with this athlete.");
    case GroupFrom::lab_index:
      return sentence("Nobody in the lab's index can be compared with this athlete.");
  }
  return {};
}

std::string too_few(const Group& group) {
  switch (group.from) {
    case GroupFrom::given:
      return sentence("Too few others to compare with in the group given: {others}.",
                      "others"_is(group.athletes));
    case GroupFrom::together:
      return sentence("Too few others to compare with were summarised together: {others}.",
                      "others"_is(group.athletes));
    case GroupFrom::lab_folder:
      return sentence("Too few others to compare with in the lab's folder: {others}.",
                      "others"_is(group.athletes));
    case GroupFrom::lab_index:
      return sentence("Too few others to compare with in the lab's index: {others}.",
                      "others"_is(group.athletes));
  }
  return {};
}

std::string beside(const Group& group) {
  switch (group.from) {
    case GroupFrom::given:
      return sentence("Beside {others} others of the group given: a place, not a mark.",
                      "others"_is(group.athletes));
    case GroupFrom::together:
      return sentence("Beside {others} others summarised together: a place, not a mark.",
                      "others"_is(group.athletes));
    case GroupFrom::lab_folder:
      return sentence("Beside {others} others in the lab's folder: a place, not a mark.",
                      "others"_is(group.athletes));
    case GroupFrom::lab_index:
      return sentence("Beside {others} others in the lab's index: a place, not a mark.",
                      "others"_is(group.athletes));
  }
  return {};
}

std::string of_what_age(const Group& group) {
  if (!group.ages) return sentence("Others count at any age and size.");
  if (group.ages->unknown_too)
    return sentence("Others count at any age and size unless they are known to be under 18.");
  return sentence("Others count when aged {from} to {to}, at any size.",
                  "from"_is(group.ages->from), "to"_is(group.ages->to));
}

std::string left_out(const Group& group) {
  if (group.without_age == 0) return {};
  return sentence_for(group.without_age, "{others} other is left out, since the age is not known.",
                      "{others} others are left out, since their age is not known.",
                      "others"_is(group.without_age));
}

}  // namespace

std::string group_words(const std::optional<Group>& group) {
  if (!group) return sentence("No other athletes were given to stand beside.");
  switch (group->why_none) {
    case NoGroup::under_age:
      return sentence("Not set beside others: under 18 that is done only when it is asked for.");
    case NoGroup::no_age:
      return sentence("No place among others of like age, since no date of birth was noted.");
    case NoGroup::none:
      break;
  }
  const std::string first = group->athletes == 0             ? nobody(*group)
                            : group->athletes < least_others ? too_few(*group)
                                                             : beside(*group);
  const std::string out = left_out(*group);
  return first + ' ' + of_what_age(*group) + (out.empty() ? out : ' ' + out);
}

}  // namespace moundwork::summary
