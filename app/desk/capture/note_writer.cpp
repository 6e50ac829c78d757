// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/note_writer.h"

#include <utility>

#include "app/desk/state/open_session.h"

namespace moundwork::desk {

NoteWriter::NoteWriter(QObject* parent)
    : QObject(parent), thread_([this](const std::stop_token& stop) { run(stop); }) {}

NoteWriter::~NoteWriter() {
  thread_.request_stop();
  thread_.join();
}

void NoteWriter::write(const std::filesystem::path& session, session::Edit edit) {
  edit.when = iso_now();
  waiting_.push_back(edit);
  {
    const std::lock_guard lock(mutex_);
    orders_.push_back({session, std::move(edit)});
  }
  ordered_.notify_one();
}

void NoteWriter::run(const std::stop_token& stop) {
  while (true) {
    Order order;
    {
      std::unique_lock lock(mutex_);
      ordered_.wait(lock, stop, [this] { return !orders_.empty(); });
      if (orders_.empty()) return;  // asked to stop, and all is written
      order = std::move(orders_.front());
      orders_.pop_front();
    }
    const auto appended = session::append_edit(order.session, order.edit);
    QMetaObject::invokeMethod(
        this,
        [this, order, appended] {
          waiting_.pop_front();
          if (appended)
            Q_EMIT written(order.session, order.edit);
          else
            Q_EMIT failed(QString::fromStdString(appended.error().sentence()));
        },
        Qt::QueuedConnection);
  }
}

}  // namespace moundwork::desk
