// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <QTemporaryDir>
#include <filesystem>
#include <memory>
#include <thread>

#include "app/desk/jobs/jobs.h"
#include "app/desk/state/desk_state.h"
#include "drivers/virtual/player.h"

namespace moundwork::desk {

/// Invented athletes on virtual instruments, so that everything can be tried before anything is
/// bought or anyone throws. They have a lab folder of their own, beside the real one and named
/// after it, so that no invented number ever lies among real ones. Interface thread only.
class Practice : public QObject {
  Q_OBJECT
 public:
  Practice(DeskState& state, Jobs& jobs, QObject* parent = nullptr);
  ~Practice() override;

  /// The practice folder beside a lab, and the lab beside a practice folder.
  [[nodiscard]] static std::filesystem::path practice_of(const std::filesystem::path& lab);
  [[nodiscard]] static std::filesystem::path lab_of(const std::filesystem::path& practice);

  /// Opens the practice folder, makes its three athletes if need be and instruments that will play
  /// the chosen one's throws: ready() when they can be opened.
  void prepare();
  /// The athlete steps onto the mound: the instruments begin to send.
  void play();
  /// Unplugs the instruments.
  void stop();
  [[nodiscard]] bool preparing() const { return preparing_ && !preparing_->cancelled(); }

 Q_SIGNALS:
  void ready();
  void failed(const QString& words);
  void over();  ///< the athlete has thrown all there is

 private:
  struct Made;
  void take(Made made);

  DeskState& state_;
  Jobs& jobs_;
  QTemporaryDir made_;  // the sessions that are played
  std::shared_ptr<JobControl> preparing_;
  std::unique_ptr<drivers::Player> player_;  // until it plays
  std::jthread thread_;                      // plays
  // Still letting go of its ports, which the interface does not wait for.
  std::shared_ptr<std::jthread> leaving_;
};

}  // namespace moundwork::desk
