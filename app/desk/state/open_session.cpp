// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/open_session.h"

#include <QDateTime>
#include <utility>

#include "core/session/reader.h"

namespace moundwork::desk {

std::string iso_now() {
  return QDateTime::currentDateTimeUtc().toString(Qt::ISODateWithMs).toStdString();
}

Result<std::unique_ptr<OpenSession>> OpenSession::open(const std::filesystem::path& path) {
  auto reader = session::Reader::open(path);
  if (!reader) return tl::make_unexpected(reader.error());
  auto opened = std::make_unique<OpenSession>();
  opened->path_ = path;
  opened->session_ = reader->session();
  if (auto loaded = opened->reload(); !loaded) return tl::make_unexpected(loaded.error());
  return opened;
}

Result<void> OpenSession::add_edit(session::Edit edit) {
  edit.when = iso_now();
  if (auto appended = session::append_edit(path_, edit); !appended) return appended;
  edits_.push_back(std::move(edit));
  return {};
}

Result<void> OpenSession::reload() {
  auto results = session::read_results(path_);
  if (!results) return tl::make_unexpected(results.error());
  auto edits = session::read_edits(path_);
  if (!edits) return tl::make_unexpected(edits.error());
  results_ = std::move(*results);
  edits_ = std::move(*edits);
  return {};
}

}  // namespace moundwork::desk
