// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/words.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <utility>

#include "core/relate/words.h"

namespace moundwork::summary {
namespace {

std::string true_minus(std::string text) {
  if (!text.empty() && text.front() == '-') text.replace(0, 1, "−");
  return text;
}

int two_digits(std::string_view text, std::size_t at) {
  int value = -1;
  if (text.size() >= at + 2) std::from_chars(text.data() + at, text.data() + at + 2, value);
  return value;
}

// In the order in which they are told: what is missing before what is in doubt.
constexpr std::array<std::pair<std::string_view, std::string_view>, 17> doubts{{
    {"no_radar", "No ball speed: no single radar reading belonged to the throw."},
    {"implausible_speed", "A speed that is no pitch's was read and not used."},
    {"implausible_force",
     "A plate showed more force than any athlete gives: its units or calibration are wrong, and so "
     "are the numbers."},
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

std::string number_text(double value, double half_width) {
  const double resolution = std::isfinite(half_width) && half_width > 0.0
                                ? relate::spoken(half_width)
                                : 0.04 * std::abs(value);
  return true_minus(relate::rounded(value, resolution));
}

std::string signed_text(double value, double half_width) {
  const std::string text = number_text(value, half_width);
  const bool zero = text.find_first_of("123456789") == std::string::npos;
  return value > 0.0 && !zero ? "+" + text : text;
}

std::string with_true_minus(std::string text) {
  const std::string minus = "−";
  for (std::size_t i = 0; i + 1 < text.size(); ++i) {
    const bool begins = i == 0 || text[i - 1] == ' ' || text[i - 1] == '(';
    if (text[i] == '-' && begins && text[i + 1] >= '0' && text[i + 1] <= '9')
      text.replace(i, 1, minus);
  }
  return text;
}

std::string plain_text(double value, int decimals) {
  return true_minus(fmt::format("{:.{}f}", value, decimals));
}

std::string date_only(std::string_view iso) {
  static constexpr std::array<const char*, 12> months{
      "January", "February", "March",     "April",   "May",      "June",
      "July",    "August",   "September", "October", "November", "December"};
  const int month = two_digits(iso, 5);
  const int day = two_digits(iso, 8);
  if (iso.size() < 10 || iso[4] != '-' || iso[7] != '-' || month < 1 || month > 12 || day < 1)
    return std::string(iso);
  return fmt::format("{} {} {}", day, months.at(static_cast<std::size_t>(month - 1)),
                     iso.substr(0, 4));
}

std::string date_and_time(std::string_view iso) {
  std::string date = date_only(iso);
  const int hour = two_digits(iso, 11);
  const int minute = two_digits(iso, 14);
  if (date == iso || hour < 0 || minute < 0) return date;
  return fmt::format("{}, {:02}:{:02}{}", date, hour, minute, iso.ends_with('Z') ? " UTC" : "");
}

std::string throws_text(const std::vector<int>& numbers, int of_all) {
  if (of_all > 1 && static_cast<int>(numbers.size()) == of_all) return "all throws";
  std::vector<std::string> items;
  for (std::size_t i = 0; i < numbers.size();) {
    std::size_t last = i;
    while (last + 1 < numbers.size() && numbers[last + 1] == numbers[last] + 1) ++last;
    // Two neighbours are shorter apart than as a range.
    if (last >= i + 2) {
      items.push_back(fmt::format("{} to {}", numbers[i], numbers[last]));
      i = last + 1;
    } else {
      items.push_back(fmt::format("{}", numbers[i]));
      ++i;
    }
  }
  return fmt::format("{} {}", numbers.size() == 1 ? "throw" : "throws", listed(items));
}

std::string listed(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
    text += items[i];
  }
  return text;
}

std::string_view doubt_text(std::string_view flag) {
  for (const auto& [key, text] : doubts)
    if (key == flag) return text;
  return {};
}

std::size_t doubt_rank(std::string_view flag) {
  std::size_t rank = 0;
  while (rank < doubts.size() && doubts[rank].first != flag) ++rank;
  return rank;
}

}  // namespace moundwork::summary
