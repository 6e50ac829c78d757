// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/summary/content.h"

namespace moundwork::summary {

/// One athlete on the lab's cover sheet; what is not known is "–".
struct CoverRow {
  std::string who;
  std::string when;
  std::string throws;                ///< "12", "10 of 12"
  std::vector<std::string> numbers;  ///< the five, with their 95 % uncertainty
  std::string look;                  ///< what to look at: changes, doubts
};

/// The lab's sheet over a day's summaries, of all its athletes: it stays in the lab.
struct Cover {
  std::string title;
  std::string says;                  ///< how many, of which days
  std::vector<std::string> columns;  ///< heads of the five numbers with their units
  std::vector<CoverRow> rows;
  std::vector<std::string> failed;  ///< sessions without a summary and why, one sentence each
  std::vector<std::string> notes;
  std::string made;
};

/// `names`: whether people stand there by name or by code.
[[nodiscard]] Cover cover_of(const std::vector<Summary>& summaries, std::vector<std::string> failed,
                             bool names, const std::string& software);

}  // namespace moundwork::summary
