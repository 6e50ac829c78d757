// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit_list.h"

#include <fmt/format.h>

#include <tuple>
#include <utility>

#include "core/session/companion_content.h"
#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/schema.h"

namespace moundwork::session {
namespace {

std::vector<Edit> edits_of(const std::vector<schema::EditRow>& rows) {
  std::vector<Edit> edits;
  edits.reserve(rows.size());
  for (const auto& row : rows) {
    Edit edit;
    edit.id = row.id.str();
    edit.when = row.when.str();
    edit.who = row.who.str();
    edit.why = row.why.str();
    edit.throw_contact = row.throw_contact;
    edit.action = action_from(row.action.str());
    edit.target = row.target.str();
    edit.value = row.value;
    edit.u = row.u;
    edit.unit = row.unit.str();
    edit.text = row.text.str();
    edit.frame = row.frame;
    edit.landing_frame = row.landing_frame;
    edit.rate = row.rate;
    edit.undoes = row.undoes.str();
    edits.push_back(std::move(edit));
  }
  return edits;
}

schema::EditRow row_of(const Edit& edit) {
  schema::EditRow row{};
  row.id = hdf5::Text<40>(edit.id);
  row.when = hdf5::Text<40>(edit.when);
  row.who = hdf5::Text<64>(edit.who);
  row.why = hdf5::Text<256>(edit.why);
  row.throw_contact = edit.throw_contact;
  row.action = hdf5::Text<32>(std::string(key_of(edit.action)));
  row.target = hdf5::Text<48>(edit.target);
  row.value = edit.value;
  row.u = edit.u;
  row.unit = hdf5::Text<16>(edit.unit);
  row.text = hdf5::Text<256>(edit.text);
  row.frame = edit.frame;
  row.landing_frame = edit.landing_frame;
  row.rate = edit.rate;
  row.undoes = hdf5::Text<40>(edit.undoes);
  return row;
}

// A cell of the list holds so much text; what would be cut off is refused.
Result<void> fits(const Edit& edit) {
  using Row = schema::EditRow;
  const std::tuple<const char*, const std::string&, std::size_t> cells[] = {
      {"the identity of an edit", edit.id, sizeof(Row::id)},
      {"the time of an edit", edit.when, sizeof(Row::when)},
      {"the name of an edit", edit.who, sizeof(Row::who)},
      {"the reason of an edit", edit.why, sizeof(Row::why)},
      {"the target of an edit", edit.target, sizeof(Row::target)},
      {"the unit of an edit", edit.unit, sizeof(Row::unit)},
      {"the text of an edit", edit.text, sizeof(Row::text)},
      {"the edit that an undo names", edit.undoes, sizeof(Row::undoes)}};
  for (const auto& [what, text, size] : cells)
    if (text.size() >= size)
      return fail(what, fmt::format("has {} bytes, {} fit", text.size(), size - 1),
                  "make it shorter");
  return {};
}

Result<void> add(Edit& edit, companion::Content& content) {
  if (edit.id.empty()) edit.id = new_edit_id();
  if (auto fit = fits(edit); !fit) return fit;
  content.edits.push_back(row_of(edit));
  return {};
}

}  // namespace

Result<std::string> append_edit(const std::filesystem::path& path, const Edit& edit) {
  return append_edit(path, [&](std::span<const Edit>) -> Result<Edit> { return edit; });
}

Result<std::string> append_edit(const std::filesystem::path& path,
                                const std::function<Result<Edit>(std::span<const Edit>)>& choose) {
  std::string id;
  const auto appended = companion::change(path, [&](companion::Content& content) -> Result<void> {
    auto edit = choose(edits_of(content.edits));
    if (!edit) return tl::make_unexpected(edit.error());
    auto added = add(*edit, content);
    id = edit->id;
    return added;
  });
  if (!appended) return tl::make_unexpected(appended.error());
  return id;
}

Result<std::size_t> append_edits(const std::filesystem::path& path, std::vector<Edit> edits) {
  std::size_t place = 0;
  const auto appended = companion::change(path, [&](companion::Content& content) -> Result<void> {
    place = content.edits.size();
    for (Edit& edit : edits)
      if (auto added = add(edit, content); !added) return added;
    return {};
  });
  if (!appended) return tl::make_unexpected(appended.error());
  return place;
}

Result<std::vector<Edit>> read_edits(const std::filesystem::path& path, Unidentified unidentified) {
  const auto companion = companion_path(path);
  if (!std::filesystem::exists(companion)) return std::vector<Edit>{};
  if (auto can = hdf5::readable(companion); !can) return tl::make_unexpected(can.error());
  const auto session_id = companion::session_id_of(path);
  if (!session_id) return tl::make_unexpected(session_id.error());
  const auto held = hdf5::hold_library();
  try {
    const H5::H5File file = companion::open(companion);
    if (auto ours = companion::belongs(file, companion, *session_id, unidentified); !ours)
      return tl::make_unexpected(ours.error());
    return edits_of(companion::edits_in(file));
  } catch (const H5::Exception& exception) {
    return companion::failure(companion, "its edits cannot be read", exception);
  }
}

std::vector<Edit> own_edits(const std::filesystem::path& path, const std::string& session_id) {
  const auto companion = companion_path(path);
  if (!std::filesystem::exists(companion) || !hdf5::readable(companion)) return {};
  const auto held = hdf5::hold_library();
  try {
    const H5::H5File file = companion::open(companion);
    if (companion::session_id_in(file) != session_id) return {};
    return edits_of(companion::edits_in(file));
  } catch (const H5::Exception&) {
    return {};
  }
}

}  // namespace moundwork::session
