// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/throw_traces.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "core/base/sentence.h"
#include "core/foot/foot_forces.h"
#include "core/foot/heel_toe.h"

namespace moundwork::desk {
namespace {

struct Range {
  Eigen::Index first = 0, count = 0;
};

Range drawn(const foot::FootForces& foot, double contact) {
  const auto clamp = [&](double index) {
    return std::clamp<Eigen::Index>(static_cast<Eigen::Index>(std::llround(index)), 0, foot.size());
  };
  const Eigen::Index first = clamp(foot.index(contact - drawn_before));
  return {first, std::max<Eigen::Index>(0, clamp(foot.index(contact + drawn_after)) - first)};
}

TraceLine line_of(const foot::FootForces& foot, const Eigen::ArrayXd& values, Range range,
                  double origin, double factor) {
  TraceLine line;
  line.time.reserve(range.count);
  line.value.reserve(range.count);
  for (Eigen::Index i = range.first; i < range.first + range.count; ++i) {
    line.time.push_back(foot.time(static_cast<double>(i)) - origin);
    line.value.push_back(values(i) * factor);
  }
  return line;
}

}  // namespace

double heel_toe_percent(const pitch::ThrowData& data, double x, double y) {
  if (!data.heel || !data.toe) return std::numeric_limits<double>::quiet_NaN();
  return foot::HeelToeLine(*data.heel, *data.toe).percent(x, y);
}

bool has_single_plates(const pitch::PlatesOfThrow& plates) {
  return plates.back.plates.size() > 1 || plates.lead.plates.size() > 1;
}

Result<std::vector<PlateTraces>> plate_traces_of(const pitch::PlatesOfThrow& plates,
                                                 const pitch::ThrowData& data, double origin,
                                                 double per_newton) {
  std::vector<PlateTraces> traces;
  for (const auto& [role, foot] : {std::pair{session::PlateRole::back, &plates.back},
                                   std::pair{session::PlateRole::lead, &plates.lead}}) {
    const std::vector<foot::PlateWindow>& windows = foot->window.plates();
    if (windows.size() < 2) continue;
    for (std::size_t p = 0; p < windows.size(); ++p) {
      const auto share = foot::filter_share(windows[p], {0, windows[p].size()}, {});
      if (!share) return tl::make_unexpected(share.error());
      foot::FootForces part;
      part.start = share->start;
      part.step = windows[p].step;
      part.x = share->x;
      part.z = share->z;
      const Range range = drawn(part, data.coarse_contact);
      traces.push_back(
          {role, static_cast<int>(p),
           QString::fromStdString(sentence("{which} plate", "which"_is(foot->plates[p].ordinal))),
           line_of(part, part.x, range, origin, per_newton),
           line_of(part, part.z, range, origin, per_newton)});
    }
  }
  return traces;
}

ThrowTraces traces_of(const pitch::ThrowData& data, double origin, double per_newton) {
  const Range back = drawn(data.back, data.coarse_contact);
  const Range lead = drawn(data.lead, data.coarse_contact);
  ThrowTraces traces{line_of(data.back, data.back.x, back, origin, per_newton),
                     line_of(data.lead, data.lead.x, lead, origin, per_newton),
                     line_of(data.back, data.back.z, back, origin, per_newton),
                     line_of(data.lead, data.lead.z, lead, origin, per_newton),
                     {}};
  if (!data.heel) return traces;
  traces.heel_toe = line_of(data.back, data.back.cop_x, back, origin, 1.0);
  for (Eigen::Index i = 0; i < back.count; ++i)
    traces.heel_toe.value[i] =
        heel_toe_percent(data, data.back.cop_x(back.first + i), data.back.cop_y(back.first + i));
  return traces;
}

}  // namespace moundwork::desk
