// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/words.h"

#include <array>
#include <string>

#include "core/base/sentence.h"
#include "core/base/wall_time.h"

namespace moundwork::summary {
namespace {

// In the order in which they are told: what is missing before what is in doubt.
struct Doubt {
  std::string_view key;
  Template<true> text;
};
constexpr std::array<Doubt, 19> doubts{{
    {"no_radar", "No ball speed: no single radar reading belonged to the throw."},
    {"implausible_speed", "A speed that is no pitch's was read and not used."},
    {"implausible_force",
     "A plate showed more force than any athlete gives: its units or calibration are wrong, and so "
     "are the numbers."},
    {"clock_disagrees",
     "A plate's clock does not go with the computer's: its rates are stated wrongly, and times and "
     "impulses with them."},
    {"events_out_of_order",
     "Release was put before landing, so times and braking between them mean nothing."},
    {"no_foot_line", "Heel and toe were not located, so there is no heel-to-toe position."},
    {"missing_samples",
     "Samples were lost while a foot was on its plate; numbers that a longer gap touches are left "
     "out."},
    {"estimated_release",
     "Nothing measured the release: the usual time after landing stands in, so times to release "
     "and the braking up to it are rough."},
    {"no_quiet_set", "No quiet stand before the throw, so the body's momentum is not known."},
    {"no_load_phase",
     "The drive began before the back leg carried the weight, so there is no mean over load."},
    {"foot_partly_off_plate", "Part of a foot may have been off its plate."},
    {"channel_stuck", "A plate gave no signal of its own, so numbers of that foot are left out."},
    {"clipped_channel", "A plate came to the end of its range, so forces there are too small."},
    {"zero_not_seen", "A plate was never seen empty, so its zero is taken as it came."},
    {"drifted_zero", "A plate's zero had moved since the session began; it was read anew."},
    {"estimated_foot_line",
     "Heel and toe are set from the foot's length, so heel-to-toe positions are rough."},
    {"release_disagreement", "The signs of release disagree, so times to release are less sure."},
    {"moved_by_hand", "An event was moved by hand."},
    {"assumed_air",
     "Temperature or pressure were not noted; usual air stands in for the speed's correction."},
}};

}  // namespace

std::string count_of_throws(int count) {
  return sentence_for(count, "{count} throw", "{count} throws", "count"_is(count));
}

std::string date_only(std::string_view iso) {
  static constexpr std::array<Template<true>, 12> months{
      "January", "February", "March",     "April",   "May",      "June",
      "July",    "August",   "September", "October", "November", "December"};
  const auto date = date_of(iso);
  if (!date) return std::string(iso);
  return sentence("{day} {month} {year}", "day"_is(static_cast<unsigned>(date->day())),
                  "month"_is(sentence(months.at(static_cast<unsigned>(date->month()) - 1))),
                  "year"_is(static_cast<int>(date->year())));
}

std::string date_and_time(std::string_view iso) {
  constexpr std::string_view example = "2026-07-04T19:30";
  if (!date_of(iso) || iso.size() < example.size() || iso[10] != 'T') return date_only(iso);
  return sentence("{day}, {time}", "day"_is(date_only(iso)), "time"_is(iso.substr(11, 5)));
}

std::string throws_text(const std::vector<int>& numbers, int of_all) {
  if (of_all > 1 && static_cast<int>(numbers.size()) == of_all) return sentence("all throws");
  std::vector<std::string> items;
  for (std::size_t i = 0; i < numbers.size();) {
    std::size_t last = i;
    while (last + 1 < numbers.size() && numbers[last + 1] == numbers[last] + 1) ++last;
    // Two neighbours are shorter apart than as a range.
    if (last >= i + 2) {
      items.push_back(
          sentence("{first} to {last}", "first"_is(numbers[i]), "last"_is(numbers[last])));
      i = last + 1;
    } else {
      items.push_back(std::to_string(numbers[i]));
      ++i;
    }
  }
  return sentence_for(static_cast<long>(numbers.size()), "throw {numbers}", "throws {numbers}",
                      "numbers"_is(listed(items)));
}

std::string listed(const std::vector<std::string>& items) {
  if (items.empty()) return {};
  std::string text = items.front();
  for (std::size_t i = 1; i < items.size(); ++i)
    text = i + 1 == items.size()
               ? sentence("{some} and {last}", "some"_is(text), "last"_is(items[i]))
               : sentence("{some}, {next}", "some"_is(text), "next"_is(items[i]));
  return text;
}

std::string doubt_text(std::string_view flag) {
  for (const auto& [key, text] : doubts)
    if (key == flag) return sentence(text);
  return {};
}

std::size_t doubt_rank(std::string_view flag) {
  std::size_t rank = 0;
  while (rank < doubts.size() && doubts[rank].key != flag) ++rank;
  return rank;
}

}  // namespace moundwork::summary
