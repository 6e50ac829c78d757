// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/companion_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "core/definitions/settings.h"
#include "core/pitch/session_throws.h"
#include "core/session/companion.h"
#include "core/session/edit_list.h"
#include "core/session/result_settings.h"
#include "core/session/results.h"

namespace moundwork::pitch {
namespace {

constexpr double same_contact = 1e-3;  // s; the same samples give the same contact

Result<std::vector<double>> contacts_of(const session::Reader& reader,
                                        const definitions::Settings& settings) {
  const auto throws = SessionThrows::find(reader, settings);
  if (!throws) return tl::make_unexpected(throws.error());
  std::vector<double> contacts;
  for (std::size_t i = 0; i < throws->contacts().size(); ++i)
    if (const auto thrown = throws->take(i, Extent::measured_part))
      contacts.push_back(thrown->contact());
  return contacts;
}

// Contacts that the companion names, how near the session must have one to each, and the settings
// by which it is asked.
struct Named {
  std::vector<double> contacts;
  double within = same_contact;
  definitions::Settings settings;
  bool by_edits = false;
};

Named named_in(const session::ResultSet& results, const std::vector<session::Edit>& edits) {
  Named named;
  if (!results.throws.empty()) {
    for (const auto& thrown : results.throws) named.contacts.push_back(seconds(thrown.contact));
    // Where they cannot be read the usual ones find most throws to the same sample.
    named.settings = session::settings_of(results, {}).value_or(definitions::Settings{});
    return named;
  }
  // Of an analysis that found nothing only what people noted says whose it is.
  named.by_edits = true;
  named.within = session::same_throw;
  for (const session::Edit& edit : edits)
    if (std::isfinite(edit.throw_contact)) named.contacts.push_back(edit.throw_contact);
  return named;
}

}  // namespace

Result<std::optional<std::string>> settle_companion(const session::Reader& reader) {
  const auto& path = reader.path();
  const auto whose = session::companion_of(path);
  if (!whose) return tl::make_unexpected(whose.error());
  if (*whose != session::Companion::unidentified) return std::nullopt;
  const auto results = session::read_results(path, session::Unidentified::accepted);
  if (!results) return tl::make_unexpected(results.error());
  const auto edits = session::read_edits(path, session::Unidentified::accepted);
  if (!edits) return tl::make_unexpected(edits.error());
  const Named named = named_in(*results, *edits);
  std::vector<double> found;
  if (!named.contacts.empty()) {
    auto contacts = contacts_of(reader, named.settings);
    if (!contacts) return tl::make_unexpected(contacts.error());
    found = std::move(*contacts);
  }
  const auto is_found = [&](double contact) {
    return std::any_of(found.begin(), found.end(),
                       [&](double one) { return std::abs(one - contact) <= named.within; });
  };
  const auto missing = std::find_if_not(named.contacts.begin(), named.contacts.end(), is_found);
  const auto here = std::count_if(named.contacts.begin(), named.contacts.end(), is_found);
  const auto all = static_cast<std::ptrdiff_t>(named.contacts.size());
  // Notes were made of what was taken for a throw as it came, which need not have been one.
  if (here == all || (named.by_edits && 2 * here > all)) {
    if (auto claimed = session::claim_companion(path); !claimed)
      return tl::make_unexpected(claimed.error());
    return std::nullopt;
  }
  const auto aside = session::set_companion_aside(path);
  if (!aside) return tl::make_unexpected(aside.error());
  return fmt::format(
      "{companion} named a throw at {contact:.3f} s, which this session does not have, so it holds "
      "another session's results and was set aside as {aside}",
      fmt::arg("companion", session::companion_path(path).filename().string()),
      fmt::arg("contact", *missing), fmt::arg("aside", aside->filename().string()));
}

}  // namespace moundwork::pitch
