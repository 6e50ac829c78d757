// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/station_draft.h"

#include <QFile>
#include <utility>

#include "core/base/write_file.h"

namespace moundwork::desk {

namespace {

// Empty where there is no file.
Result<std::string> text_of(const std::filesystem::path& path) {
  std::error_code status;
  if (!std::filesystem::exists(path, status)) return std::string();
  // A station file is typed by hand (the reader's limit is the same).
  constexpr qint64 largest_file = 1 << 20;
  QFile file(QString::fromStdString(path.string()));
  if (file.size() > largest_file) return fail(path.string(), "is too large for a station file");
  if (!file.open(QIODevice::ReadOnly))
    return fail(path.string(), "cannot be read (" + file.errorString().toStdString() + ")",
                "check its permissions");
  return file.readAll().toStdString();
}

}  // namespace

Result<void> StationDraft::load(const std::filesystem::path& path) {
  path_ = path;
  text_.clear();
  on_disk_.clear();
  station_.reset();
  fault_.reset();
  auto text = text_of(path);
  if (!text) return tl::make_unexpected(text.error());
  text_ = on_disk_ = std::move(*text);
  read();
  return {};
}

bool StationDraft::changed_by_others() const {
  const auto text = text_of(path_);
  return text && *text != on_disk_;
}

void StationDraft::set_text(std::string text) {
  if (text == text_) return;
  text_ = std::move(text);
  read();
}

Result<void> StationDraft::save() {
  if (fault_) return tl::make_unexpected(*fault_);
  if (changed_by_others())
    return fail(path_.string(), "was changed by somebody else meanwhile, and is not written over",
                "look at what is there now");
  if (auto written = replace_file(path_, text_); !written) return written;
  on_disk_ = text_;
  return {};
}

Result<std::filesystem::path> StationDraft::put_aside() const {
  const std::filesystem::path aside = path_.parent_path() / unsaved_name;
  if (auto written = replace_file(aside, text_); !written)
    return tl::make_unexpected(written.error());
  return aside;
}

void StationDraft::read() {
  fault_.reset();
  if (text_.empty()) return;
  auto station = drivers::parse_station(text_, path_);
  if (station)
    station_ = std::move(*station);
  else
    fault_ = station.error();
}

}  // namespace moundwork::desk
