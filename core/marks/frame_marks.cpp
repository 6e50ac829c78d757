// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/marks/frame_marks.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "core/session/edit_state.h"
#include "core/table/delimited.h"

namespace moundwork::marks {
namespace {

struct Names {
  std::string_view key, name;
};
constexpr std::array<Names, body_mark_count> names{{
    {"greatest_trunk_stretch", "greatest trunk stretch"},
    {"chest_facing_plate", "chest facing home"},
    {"release", "release"},
}};

// From the slowest camera with which a throw can be looked at to the fastest worn sensors.
constexpr double least_rate = 10.0, greatest_rate = 100000.0;
constexpr double longest = 2.0;  // s between lead contact and any of the marks

Result<double> number_of(const std::string& text, const std::string& where) {
  double number = 0.0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (status != std::errc{} || end != text.data() + text.size() || !std::isfinite(number))
    return fail(where, fmt::format("'{}' is not a number", text), "write it with a point");
  return number;
}

}  // namespace

std::string_view key_of(BodyMark mark) { return names.at(static_cast<std::size_t>(mark)).key; }
std::string_view name_of(BodyMark mark) { return names.at(static_cast<std::size_t>(mark)).name; }

std::optional<BodyMark> find_body_mark(std::string_view key) {
  for (std::size_t i = 0; i < names.size(); ++i)
    if (names[i].key == key) return static_cast<BodyMark>(i);
  return std::nullopt;
}

Measured from_contact(const FrameMark& mark) {
  const double half_frame = 0.5 / mark.rate;
  return {(mark.frame - mark.contact_frame) / mark.rate, std::sqrt(2.0 / 3.0) * half_frame};
}

Result<void> check(const FrameMark& mark, std::string_view where) {
  if (!(mark.rate >= least_rate && mark.rate <= greatest_rate))
    return fail(std::string(where),
                fmt::format("{} frames a second is no such recording", mark.rate),
                fmt::format("give the true rate, {} to {} a second (slow motion plays slower than "
                            "it was taken)",
                            least_rate, greatest_rate));
  if (!(mark.frame >= 0.0) || !(mark.contact_frame >= 0.0))
    return fail(std::string(where), "has a frame number below 0",
                "count frames from the recording's first");
  if (const double apart = from_contact(mark).value; std::abs(apart) > longest)
    return fail(std::string(where),
                fmt::format("lies {:.1f} s from lead contact, which no throw spans", apart),
                "look at the two frame numbers and the rate");
  return {};
}

Result<void> check_given(const FrameMark& mark, std::string_view where) {
  if (auto good = check(mark, where); !good) return good;
  if (mark.mark == BodyMark::release && mark.frame <= mark.contact_frame)
    return fail(std::string(where),
                fmt::format("the release in frame {} does not come after the landing in frame {}",
                            mark.frame, mark.contact_frame),
                "look at the two frame numbers");
  return {};
}

Timing judge(const Measured& time, const WantedTime& wanted) {
  if (time.value >= wanted.from && time.value <= wanted.to) return Timing::on_time;
  const double expanded = 2.0 * time.u;
  if (time.value + expanded < wanted.from) return Timing::early;
  if (time.value - expanded > wanted.to) return Timing::late;
  return Timing::cannot_tell;
}

std::string_view to_text(Timing timing) {
  switch (timing) {
    case Timing::early:
      return "early";
    case Timing::on_time:
      return "on time";
    case Timing::late:
      return "late";
    case Timing::cannot_tell:
      return "at the limit: cannot tell";
  }
  return {};
}

session::Edit to_edit(const FrameMark& mark, double throw_contact) {
  session::Edit edit;
  edit.throw_contact = throw_contact;
  edit.action = session::Action::mark;
  edit.target = key_of(mark.mark);
  edit.frame = mark.frame;
  edit.landing_frame = mark.contact_frame;
  edit.rate = mark.rate;
  return edit;
}

std::optional<FrameMark> frame_mark_of(const session::Edit& edit) {
  if (edit.action != session::Action::mark) return std::nullopt;
  const auto kind = find_body_mark(edit.target);
  if (!kind) return std::nullopt;
  const FrameMark mark{*kind, edit.frame, edit.landing_frame, edit.rate};
  if (!check(mark, edit.target)) return std::nullopt;
  return mark;
}

std::vector<FrameMark> marks_of(std::span<const session::Edit> edits, double throw_contact) {
  const std::vector<bool> stands = session::standing(edits);
  std::array<std::optional<FrameMark>, body_mark_count> last;
  for (std::size_t row = 0; row < edits.size(); ++row)
    if (stands[row] && session::is_about(edits[row], throw_contact))
      if (const auto mark = frame_mark_of(edits[row]))
        last.at(static_cast<std::size_t>(mark->mark)) = mark;
  std::vector<FrameMark> marks;
  for (const auto& mark : last)
    if (mark) marks.push_back(*mark);
  return marks;
}

Result<std::vector<NumberedMark>> read_frame_marks(const std::filesystem::path& path) {
  auto reader = table::DelimitedReader::open(path);
  if (!reader) return tl::make_unexpected(reader.error());
  constexpr std::array columns{"throw", "mark", "frame", "contact_frame", "rate"};
  std::array<Eigen::Index, columns.size()> at{};
  for (std::size_t i = 0; i < columns.size(); ++i) {
    const auto found = reader->column(columns[i]);
    if (!found) return tl::make_unexpected(found.error());
    at[i] = *found;
  }
  std::vector<NumberedMark> marks;
  while (true) {
    const auto row = reader->next_text();
    if (!row) return tl::make_unexpected(row.error());
    if (!*row) return marks;
    const auto cell = [&](std::size_t i) -> const std::string& {
      return (**row)[static_cast<std::size_t>(at[i])];
    };
    const std::string where = fmt::format("{}, line {}", path.string(), reader->line());
    const auto kind = find_body_mark(cell(1));
    if (!kind)
      return fail(where, fmt::format("'{}' is no mark known here", cell(1)),
                  "use greatest_trunk_stretch, chest_facing_plate or release");
    std::array<double, 4> numbers{};
    for (std::size_t i = 0; i < numbers.size(); ++i) {
      const std::size_t column = i == 0 ? 0 : i + 1;
      const auto number = number_of(cell(column), where + ", " + columns[column]);
      if (!number) return tl::make_unexpected(number.error());
      numbers[i] = *number;
    }
    if (numbers[0] < 1.0 || numbers[0] > 1e6 || numbers[0] != std::floor(numbers[0]))
      return fail(where, fmt::format("'{}' is no throw's number", cell(0)),
                  "count the session's throws from 1");
    const NumberedMark mark{static_cast<int>(numbers[0]),
                            {*kind, numbers[1], numbers[2], numbers[3]}};
    if (auto good = check_given(mark.mark, where); !good) return tl::make_unexpected(good.error());
    marks.push_back(mark);
  }
}

}  // namespace moundwork::marks
