// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <condition_variable>
#include <cstddef>
#include <deque>
#include <filesystem>
#include <mutex>
#include <string>
#include <thread>

#include "core/base/result.h"
#include "core/session/edit.h"

namespace moundwork::desk {

/// Appends edits to sessions one after another on a thread of its own: while a recording keeps the
/// disk busy, bringing an edit to it can take seconds, and the window must not wait. What was
/// handed over is still written when this is destroyed.
class EditWriter : public QObject {
  Q_OBJECT
 public:
  explicit EditWriter(QObject* parent = nullptr);
  ~EditWriter() override;

  void write(const std::filesystem::path& session, session::Edit edit);

 Q_SIGNALS:
  /// In the order of write(), one of both for each.
  /// `place` in the list, from 0: another program may have written to it as well.
  void written(const std::filesystem::path& session, const std::string& edit_id, std::size_t place);
  void failed(const std::filesystem::path& session, const std::string& edit_id,
              const QString& words);

 private:
  void run(const std::stop_token& stop);

  struct Order {
    std::filesystem::path session;
    session::Edit edit;
  };
  std::mutex mutex_;  // guards orders_
  std::condition_variable_any ordered_;
  std::deque<Order> orders_;
  std::jthread thread_;
};

}  // namespace moundwork::desk
