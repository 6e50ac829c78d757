// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <QString>
#include <QTimer>
#include <filesystem>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <thread>
#include <vector>

#include "app/desk/capture/device_words.h"
#include "app/desk/capture/recording_order.h"
#include "core/base/result.h"
#include "core/pitch/analysis.h"
#include "drivers/recorder/capture.h"
#include "drivers/recorder/live_feet.h"
#include "drivers/recorder/live_throws.h"

namespace moundwork::desk {

/// How a recording ended, for the words under it.
struct RecordingEnd {
  std::filesystem::path file;
  /// What went wrong, in one sentence; empty when nothing did.
  std::string problem;
  std::int64_t samples = 0;   ///< in the file, all devices
  std::int64_t readings = 0;  ///< events in the file
  std::int64_t lost = 0;      ///< known lost on the way
  bool taken_away = false;    ///< a file, on the way
};

/// One recording after another, without a widget: begins, goes on with and ends them on a thread
/// apart, and hands over on the interface thread what they bring. Interface thread only.
class LiveDay : public QObject {
  Q_OBJECT
 public:
  enum class Phase { idle, starting, recording, ending };

  explicit LiveDay(QObject* parent = nullptr);
  ~LiveDay() override;

  /// These three do nothing in any other phase than idle, idle and recording.
  void begin(const RecordingOrder& order, const std::filesystem::path& file);
  /// A recording that was cut off: its throws so far are measured first and listed again.
  void go_on(const LabFolder& lab, const std::filesystem::path& file);
  void end();

  [[nodiscard]] Phase phase() const { return phase_; }
  /// Empty when idle.
  [[nodiscard]] const std::filesystem::path& file() const { return file_; }
  /// Null unless recording; as are the numbers below.
  [[nodiscard]] const session::Session* session() const;
  [[nodiscard]] double elapsed() const;  ///< s since this recording began or was gone on with
  [[nodiscard]] std::vector<DeviceLamp> lamps() const;
  [[nodiscard]] std::int64_t lost_samples() const;
  /// The recorder's warning, such as a disk that fills; empty when there is none.
  [[nodiscard]] std::string warning() const;
  /// The last `span` s of both feet.
  [[nodiscard]] drivers::LiveFeet feet(double span) const;
  /// Takes the plates' next quarter of a second as their zero on the screen.
  void zero_display();

  /// Throws of this recording, as found while it runs; numbered from 1. Kept until the next begins.
  [[nodiscard]] const std::vector<pitch::AnalysedThrow>& throws() const { return throws_; }

 Q_SIGNALS:
  void phase_changed();
  void begun();
  void failed(const QString& words);  ///< it did not begin, or a throw could not be measured
  void throw_found(int number);
  /// What changes what can be concluded from this recording and can still be put right; each once.
  void doubted(const QString& sentence);
  /// The file was taken away and the recording goes on in another, file(), with no throw yet:
  /// `words` say so. `before` throws were listed so far, which are in the file that was `moved` or
  /// else in none.
  void went_on(const QString& words, int before, bool moved);
  void ending();  ///< the last chance to look
  void ended(const moundwork::desk::RecordingEnd& end);

 private:
  struct Running;
  void start(std::function<Result<std::unique_ptr<Running>>()> make);
  [[nodiscard]] Result<std::unique_ptr<Running>> put_together(
      Result<std::unique_ptr<drivers::Capture>> capture);
  void take_running(Result<std::unique_ptr<Running>>& made);
  void take_throw(const drivers::LiveThrow& found);
  void go_on_in(const drivers::LostFile& lost);
  void watch();
  void doubt(const session::ResultFlag& flag);
  void set_phase(Phase phase);

  Phase phase_ = Phase::idle;
  std::filesystem::path file_;
  std::unique_ptr<Running> running_;
  std::vector<pitch::AnalysedThrow> throws_;
  QTimer watch_;                   // a recording may end by itself: disk full
  std::size_t losses_ = 0;         // of files, that were told of
  std::set<std::string> doubted_;  // keys, in this recording
  std::jthread worker_;
};

}  // namespace moundwork::desk
