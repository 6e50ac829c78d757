// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/open_session.h"

#include <QDateTime>
#include <algorithm>
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

std::size_t OpenSession::expect(session::Edit edit) {
  edits_.push_back(std::move(edit));
  return edits_.size() - 1;
}

Result<void> OpenSession::take_written(std::size_t row, const session::Edit& edit) {
  if (row < written_) return {};  // seen when the list was last read
  if (row == written_ && written_ < edits_.size()) {
    edits_[written_++] = edit;
    return {};
  }
  return reload();  // another program wrote to the list in between
}

void OpenSession::give_up_oldest() {
  if (written_ < edits_.size())
    edits_.erase(edits_.begin() + static_cast<std::ptrdiff_t>(written_));
}

Result<void> OpenSession::reload() {
  auto results = session::read_results(path_);
  if (!results) return tl::make_unexpected(results.error());
  auto edits = session::read_edits(path_);
  if (!edits) return tl::make_unexpected(edits.error());
  results_ = std::move(*results);
  // What is still on its way stays at the end; what has arrived is recognised by its time and text.
  const auto arrived = [&](const session::Edit& expected) {
    return std::any_of(edits->begin(), edits->end(), [&](const session::Edit& listed) {
      return listed.when == expected.when && listed.action == expected.action &&
             listed.target == expected.target && listed.text == expected.text &&
             listed.throw_contact == expected.throw_contact;
    });
  };
  std::vector<session::Edit> waiting;
  for (std::size_t i = written_; i < edits_.size(); ++i)
    if (!arrived(edits_[i])) waiting.push_back(edits_[i]);
  edits_ = std::move(*edits);
  written_ = edits_.size();
  edits_.insert(edits_.end(), waiting.begin(), waiting.end());
  return {};
}

}  // namespace moundwork::desk
