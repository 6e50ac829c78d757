// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/session/session.h"

namespace moundwork::session {

/// Tells athletes apart in tables, codes, pages and the index: the id, or the name where there is
/// none; empty where neither is known.
[[nodiscard]] const std::string& identity_of(const Athlete& athlete);

/// Whether two dates of birth are known and differ: one identity was given to two people.
[[nodiscard]] bool births_differ(const std::string& born, const std::string& other_born);

/// Whether two descriptions under one identity may be of two people: another date of birth or
/// another name, where neither begins with the other but for capitals and spaces.
[[nodiscard]] bool two_people(const std::string& name, const std::string& born,
                              const std::string& other_name, const std::string& other_born);

/// Whether two descriptions may be of one person, however loosely: one identity but for capitals
/// and blanks, or one name and date of birth; never with two dates of birth.
[[nodiscard]] bool may_be_one(const Athlete& athlete, const Athlete& other);

}  // namespace moundwork::session
