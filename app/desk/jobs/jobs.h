// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QMetaObject>
#include <QObject>
#include <QPointer>
#include <QString>
#include <atomic>
#include <list>
#include <memory>
#include <thread>
#include <type_traits>
#include <utility>

namespace moundwork::desk {

/// How far a piece of work is, written by its thread and read by the window.
class JobControl {
 public:
  /// False when the user asked to stop: the work then ends as soon as it can.
  bool progress(double share) {
    share_ = share;
    return !cancelled_;
  }
  [[nodiscard]] bool cancelled() const { return cancelled_; }
  [[nodiscard]] double share() const { return share_; }  ///< 0 to 1
  void cancel() { cancelled_ = true; }

 private:
  std::atomic<double> share_ = 0.0;
  std::atomic<bool> cancelled_ = false;
};

/// What is done about a stop that nobody waits for.
struct Unspoken {
  void operator()() const {}
};

struct Job {
  QString title;
  std::shared_ptr<JobControl> control;
  std::jthread thread;
};

/// Long work, each piece on a thread of its own; what it brings is handed over on the interface
/// thread. Ends all work, waiting for it, when destroyed.
class Jobs : public QObject {
  Q_OBJECT
 public:
  ~Jobs() override;

  /// `work` takes a JobControl& and runs apart; `done` takes what it returns, on the interface
  /// thread, unless `owner` is gone by then. Of work that the user stopped, `stopped` takes it
  /// instead where it wants it: it may be whole, where Stop came too late.
  template <class Work, class Done, class Stopped = Unspoken>
  std::shared_ptr<JobControl> run(const QString& title, QObject* owner, Work work, Done done,
                                  Stopped stopped = {});

  [[nodiscard]] const std::list<Job>& running() const { return running_; }

 Q_SIGNALS:
  void changed();  ///< work began or ended

 private:
  void ended(const std::shared_ptr<JobControl>& control);
  std::list<Job> running_;
};

template <class Work, class Done, class Stopped>
std::shared_ptr<JobControl> Jobs::run(const QString& title, QObject* owner, Work work, Done done,
                                      Stopped stopped) {
  auto control = std::make_shared<JobControl>();
  std::jthread thread([this, control, alive = QPointer<QObject>(owner), work = std::move(work),
                       done = std::move(done), stopped = std::move(stopped)]() mutable {
    auto result = std::make_shared<std::invoke_result_t<Work, JobControl&>>(work(*control));
    QMetaObject::invokeMethod(
        this,
        [this, control, alive, done = std::move(done), stopped = std::move(stopped),
         result]() mutable {
          ended(control);
          if (!alive) return;
          if (!control->cancelled())
            done(std::move(*result));
          else if constexpr (std::is_invocable_v<Stopped&>)
            stopped();
          else
            stopped(std::move(*result));
        },
        Qt::QueuedConnection);
  });
  running_.push_back({title, control, std::move(thread)});
  Q_EMIT changed();
  return control;
}

}  // namespace moundwork::desk
