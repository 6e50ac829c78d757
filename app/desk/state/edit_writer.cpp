// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/edit_writer.h"

#include <utility>

namespace moundwork::desk {

EditWriter::EditWriter(QObject* parent)
    : QObject(parent), thread_([this](const std::stop_token& stop) { run(stop); }) {}

EditWriter::~EditWriter() {
  thread_.request_stop();
  thread_.join();
}

void EditWriter::write(const std::filesystem::path& session, session::Edit edit, EditRow row,
                       EditRow undoes) {
  {
    const std::lock_guard lock(mutex_);
    orders_.push_back({session, std::move(edit), std::move(row), std::move(undoes)});
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
    if (order.undoes) order.edit.value = static_cast<double>(order.undoes->load());
    const auto place = session::append_edit(order.session, order.edit);
    if (place) order.row->store(*place);
    QMetaObject::invokeMethod(
        this,
        [this, order, place] {
          if (place)
            Q_EMIT written(order.session, *place, order.edit);
          else
            Q_EMIT failed(order.session, QString::fromStdString(place.error().sentence()));
        },
        Qt::QueuedConnection);
  }
}

}  // namespace moundwork::desk
