// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/foot/steady_load.h"
#include "core/pitch/throw_finder.h"
#include "core/pitch/throw_in_memory.h"
#include "core/session/row_source.h"

namespace moundwork::pitch {

/// The heaviest that stood still on the plates of one foot all session.
struct HeaviestStand {
  session::PlateRole plate = session::PlateRole::back;
  foot::SteadyLoad load;
};

/// The throws of a session as they were found, to be taken in hand one by one. Finding them streams
/// the session through once, since where its zeros and its other throws lie bears on each throw.
class SessionThrows {
 public:
  /// The reader must outlive what is returned.
  [[nodiscard]] static Result<SessionThrows> find(const session::RowSource& reader,
                                                  const definitions::Settings& settings,
                                                  const Progress& progress = {});
  SessionThrows(SessionThrows&&) noexcept;
  SessionThrows& operator=(SessionThrows&&) noexcept;
  ~SessionThrows();

  /// Coarse lead contacts of all throws, session time, s, in order.
  [[nodiscard]] const std::vector<double>& contacts() const;
  /// None where nothing was steady on either plate for `heavy_stand_length`.
  [[nodiscard]] const std::optional<HeaviestStand>& heaviest() const;
  /// Landings that are no throws because both feet stood on one plate, or a foot on the other's.
  [[nodiscard]] const std::vector<SharedLanding>& shared_landings() const;
  /// The greatest that any foot's plates ever carried, over one bin of a trace, N.
  [[nodiscard]] double greatest_load() const;
  /// Where that is more than the athlete is said to weigh. Every throw that is taken has it.
  [[nodiscard]] std::optional<session::ResultFlag> doubt_of_mass() const;
  /// Reads the samples around one of them. Several threads may do so at once.
  [[nodiscard]] Result<ThrowInMemory> take(std::size_t thrown,
                                           Extent extent = Extent::whole_window) const;

 private:
  struct Impl;
  explicit SessionThrows(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

/// One throw by its lead contact (s, as edits and results name it). Streams the whole session:
/// keep SessionThrows where several throws are wanted.
[[nodiscard]] Result<ThrowInMemory> take_throw(const session::RowSource& reader,
                                               const definitions::Settings& settings,
                                               double contact);

}  // namespace moundwork::pitch
