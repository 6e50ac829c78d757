// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/edit_writer.h"

#include <cstddef>
#include <span>
#include <utility>

#include "core/session/edit_list.h"

namespace moundwork::desk {

EditWriter::EditWriter(QObject* parent)
    : QObject(parent), thread_([this](const std::stop_token& stop) { run(stop); }) {}

EditWriter::~EditWriter() {
  thread_.request_stop();
  thread_.join();
}

void EditWriter::write(const std::filesystem::path& session, session::Edit edit) {
  {
    const std::lock_guard lock(mutex_);
    orders_.push_back({session, std::move(edit)});
  }
  ordered_.notify_one();
}

void EditWriter::run(const std::stop_token& stop) {
  while (true) {
    Order order;
    {
      std::unique_lock lock(mutex_);
      ordered_.wait(lock, stop, [this] { return !orders_.empty(); });
      if (orders_.empty()) return;  // asked to stop, and all is written
      order = std::move(orders_.front());
      orders_.pop_front();
    }
    std::size_t place = 0;
    const auto appended = session::append_edit(
        order.session, [&](std::span<const session::Edit> list) -> Result<session::Edit> {
          place = list.size();
          return order.edit;
        });
    QMetaObject::invokeMethod(
        this,
        [this, order, place, appended] {
          if (appended)
            Q_EMIT written(order.session, order.edit.id, place);
          else
            Q_EMIT failed(order.session, order.edit.id,
                          QString::fromStdString(appended.error().sentence()));
        },
        Qt::QueuedConnection);
  }
}

}  // namespace moundwork::desk
