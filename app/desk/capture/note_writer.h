// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <condition_variable>
#include <deque>
#include <filesystem>
#include <mutex>
#include <thread>

#include "core/base/result.h"
#include "core/session/results.h"

namespace moundwork::desk {

/// Appends edits to sessions one after another on a thread of its own: while a recording keeps the
/// disk busy, bringing an edit to it can take seconds, and the window must not wait. What was
/// handed over is still written when this is destroyed.
class NoteWriter : public QObject {
  Q_OBJECT
 public:
  explicit NoteWriter(QObject* parent = nullptr);
  ~NoteWriter() override;

  /// The edit's time is that of now.
  void write(const std::filesystem::path& session, session::Edit edit);
  /// Handed over and not yet told of, in order.
  [[nodiscard]] const std::deque<session::Edit>& waiting() const { return waiting_; }

 Q_SIGNALS:
  void written(const std::filesystem::path& session, const moundwork::session::Edit& edit);
  void failed(const QString& words);

 private:
  void run(const std::stop_token& stop);

  struct Order {
    std::filesystem::path session;
    session::Edit edit;
  };
  std::deque<session::Edit> waiting_;  // interface thread
  std::mutex mutex_;                   // guards orders_
  std::condition_variable_any ordered_;
  std::deque<Order> orders_;
  std::jthread thread_;
};

}  // namespace moundwork::desk
