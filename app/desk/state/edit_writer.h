// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <atomic>
#include <condition_variable>
#include <cstddef>
#include <deque>
#include <filesystem>
#include <memory>
#include <mutex>
#include <thread>

#include "core/base/result.h"
#include "core/session/results.h"

namespace moundwork::desk {

/// Row of an edit in its session's list: the expected one until it is written, then the true one,
/// which differs where another program wrote to the same list.
using EditRow = std::shared_ptr<std::atomic<std::size_t>>;

/// Appends edits to sessions one after another on a thread of its own: while a recording keeps the
/// disk busy, bringing an edit to it can take seconds, and the window must not wait. What was
/// handed over is still written when this is destroyed.
class EditWriter : public QObject {
  Q_OBJECT
 public:
  explicit EditWriter(QObject* parent = nullptr);
  ~EditWriter() override;

  /// `row` is told where the edit went. An edit that takes back another names that one's row by
  /// `undoes`, since it may not have been written yet; null otherwise.
  void write(const std::filesystem::path& session, session::Edit edit, EditRow row, EditRow undoes);

 Q_SIGNALS:
  /// In the order of write(), one of both for each.
  void written(const std::filesystem::path& session, std::size_t row,
               const moundwork::session::Edit& edit);
  void failed(const std::filesystem::path& session, const QString& words);

 private:
  void run(const std::stop_token& stop);

  struct Order {
    std::filesystem::path session;
    session::Edit edit;
    EditRow row, undoes;
  };
  std::mutex mutex_;  // guards orders_
  std::condition_variable_any ordered_;
  std::deque<Order> orders_;
  std::jthread thread_;
};

}  // namespace moundwork::desk
