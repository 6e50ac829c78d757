// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <variant>
#include <vector>

#include "core/base/result.h"
#include "core/session/forced_file.h"
#include "core/session/session.h"

namespace moundwork::session {

/// Samples in row-major order (samples x channels), in the device's own type.
using RawSamples = std::variant<std::span<const std::int16_t>, std::span<const std::int32_t>,
                                std::span<const float>, std::span<const double>>;

struct WriterOptions {
  /// Deflate level 0 to 9; 0 while capturing, more for files to be shipped.
  int compression = 0;
  /// Write under a temporary name and take the real one in close(): for import and simulation.
  /// A recording has its own name from the start and is written in HDF5's single-writer mode: after
  /// each flush() everything so far survives a kill, and others may read while it grows. What
  /// survives a power cut is for forced_file().
  bool appear_when_closed = true;
};

/// Writes a session file (docs/files.md). Every table is made at creation, so that whatever comes
/// later only appends. Not safe for use from several threads.
class Writer {
 public:
  [[nodiscard]] static Result<Writer> create(const std::filesystem::path& path,
                                             const Session& session, WriterOptions options = {});
  Writer(Writer&&) noexcept;
  Writer& operator=(Writer&&) noexcept;
  ~Writer();  ///< an unclosed temporary file is removed

  /// `block.first_sample` must be the device's number of samples so far.
  [[nodiscard]] Result<void> append(int device, const Block& block, const RawSamples& samples);
  /// Of the instrument at this place among event_sources() of the session (core/session/kinds).
  [[nodiscard]] Result<void> append_event(std::size_t source, const InstrumentEvent& event);
  /// Of the session's radar, which it must have.
  [[nodiscard]] Result<void> append(const RadarReading& reading);
  [[nodiscard]] Result<void> flush();
  /// Rows of every table so far, in the order that forced_file() notes them. After flush() the
  /// system has them.
  [[nodiscard]] const std::vector<std::int64_t>& rows() const;
  /// The file of a recording was renamed to `path`, which errors and forced_file() go by.
  void renamed_to(const std::filesystem::path& path);
  /// Of a recording: its file for the thread that sees to the disk.
  [[nodiscard]] Result<ForcedFile> forced_file() const;
  [[nodiscard]] Result<void> close();
  /// Where results that lay under the session's name, of another session, are now; known once the
  /// session has its name.
  [[nodiscard]] const std::optional<std::filesystem::path>& set_aside() const;
  /// After a failed append or flush: lets go of the file as the last flush left it, since what a
  /// library writes after a failure can spoil what was good. The writer is then of no more use.
  void abandon() noexcept;

 private:
  struct Impl;
  [[nodiscard]] static Result<Writer> make(const std::filesystem::path& path,
                                           const Session& session, WriterOptions options);
  [[nodiscard]] Result<void> finish();
  explicit Writer(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace moundwork::session
