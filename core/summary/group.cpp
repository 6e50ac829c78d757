// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/group.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "core/base/wall_time.h"
#include "core/session/start.h"
#include "core/stats/distributions.h"
#include "core/summary/counted.h"

namespace moundwork::summary {
namespace {
constexpr int oldest = 200;
}

double Place::percentile() const { return 100.0 * (below + 0.5 * equal) / others; }

std::pair<double, double> Place::percentile_interval() const {
  const double z = stats::normal_quantile(0.975);
  const double n = others;
  const double share = 0.01 * percentile();
  const double centre = share + 0.5 * z * z / n;
  const double half = z * std::sqrt(share * (1.0 - share) / n + 0.25 * z * z / (n * n));
  const double scale = 100.0 / (1.0 + z * z / n);
  // At either end the closed form leaves rounding beyond it.
  return {std::max(0.0, scale * (centre - half)), std::min(100.0, scale * (centre + half))};
}

Place place_of(double value, const std::vector<double>& others) {
  Place place;
  place.others = static_cast<int>(others.size());
  for (const double other : others) {
    place.below += other < value ? 1 : 0;
    place.equal += other == value ? 1 : 0;
  }
  return place;
}

Group group_wanted(std::optional<int> age, const OthersAsked& asked, GroupFrom from) {
  Group group;
  group.from = from;
  if (asked.any_age) return group;
  if (asked.within) {
    if (age)
      group.ages = Ages{*age - *asked.within, *age + *asked.within};
    else
      group.why_none = NoGroup::no_age;
    return group;
  }
  if (!age)
    group.ages = Ages{of_age, oldest, true};
  else if (*age < of_age)
    group.why_none = NoGroup::under_age;
  else
    group.ages = Ages{std::max(of_age, *age - usual_years), *age + usual_years};
  return group;
}

Group group_from_sessions(const std::vector<relate::AnalysedSession>& sessions,
                          const session::Athlete& athlete, Group group) {
  if (group.why_none != NoGroup::none) return group;
  const std::optional<Ages>& ages = group.ages;
  std::map<std::string, const relate::AnalysedSession*> latest;
  std::set<std::string> everyone, ages_known;
  for (const auto& session : sessions) {
    const std::string who = identity_of(session.athlete);
    if (who == identity_of(athlete)) continue;
    everyone.insert(who);
    if (ages) {
      const auto age =
          age_at(session.athlete.born, session::local_start(session.started, session.zone));
      if (age) ages_known.insert(who);
      if (age ? *age < ages->from || *age > ages->to : !ages->unknown_too) continue;
    }
    auto& kept = latest[who];
    if (kept == nullptr || kept->started < session.started) kept = &session;
  }
  group.athletes = static_cast<int>(latest.size());
  if (ages && !ages->unknown_too)
    group.without_age = static_cast<int>(everyone.size() - ages_known.size());
  for (const auto& [who, session] : latest) {
    std::map<std::string, std::vector<double>> values;
    for (const auto& one : counted_throws(session->results, session->edits).throws)
      for (const auto& value : one.quantities)
        if (value.measured.known()) values[value.key].push_back(value.measured.value);
    for (const auto& [key, all] : values) {
      double sum = 0.0;
      for (const double value : all) sum += value;
      group.means[key].push_back(sum / static_cast<double>(all.size()));
    }
  }
  return group;
}

}  // namespace moundwork::summary
