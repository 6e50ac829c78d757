// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/open_session.h"

#include <algorithm>
#include <utility>

#include "core/session/companion.h"
#include "core/session/edit_list.h"
#include "core/session/fact.h"
#include "core/session/reader.h"

namespace moundwork::desk {

Result<std::unique_ptr<OpenSession>> OpenSession::open(const std::filesystem::path& path) {
  auto reader = session::Reader::open(path);
  if (!reader) return tl::make_unexpected(reader.error());
  auto opened = std::make_unique<OpenSession>();
  opened->path_ = path;
  opened->recorded_ = reader->as_recorded();
  if (auto loaded = opened->reload(); !loaded) return tl::make_unexpected(loaded.error());
  return opened;
}

void OpenSession::set_edits(std::vector<session::Edit> edits) {
  edits_ = std::move(edits);
  session_ = recorded_;
  session::apply_facts(edits_, session_);
}

void OpenSession::expect(session::Edit edit) {
  expected_.insert(edit.id);
  edits_.push_back(std::move(edit));
  set_edits(std::move(edits_));
}

Result<void> OpenSession::take_written(const std::string& edit_id, std::size_t place) {
  expected_.erase(edit_id);
  if (place < edits_.size() && edits_[place].id == edit_id) return {};
  return reload();  // another program wrote to the list in between
}

void OpenSession::give_up(const std::string& edit_id) {
  expected_.erase(edit_id);
  std::erase_if(edits_, [&](const session::Edit& edit) { return edit.id == edit_id; });
  set_edits(std::move(edits_));
}

Result<void> OpenSession::reload() {
  const auto whose = session::companion_of(path_);
  if (!whose) return tl::make_unexpected(whose.error());
  const bool readable = *whose == session::Companion::own;
  auto results = readable ? session::read_results(path_) : session::ResultSet{};
  if (!results) return tl::make_unexpected(results.error());
  auto edits = readable ? session::read_edits(path_) : std::vector<session::Edit>{};
  if (!edits) return tl::make_unexpected(edits.error());
  results_ = std::move(*results);
  for (const session::Edit& arrived : *edits) expected_.erase(arrived.id);
  // What is still on its way stays at the end.
  for (const session::Edit& edit : edits_)
    if (expected_.contains(edit.id)) edits->push_back(edit);
  set_edits(std::move(*edits));
  return {};
}

}  // namespace moundwork::desk
