// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/definitions/settings.h"
#include "core/pitch/propagation.h"

/// What noise and the low-pass do to a throw's numbers. `twice` is the throw with every low-pass
/// applied a second time, cut to the same stretch.
namespace moundwork::pitch {

void move_noise(Propagation& propagation, const ThrowData& twice, const InputUncertainty& inputs,
                const definitions::Settings& settings);

/// After `move_noise`, of whose part it takes what it brings itself.
void move_filter(Propagation& propagation, const ThrowData& twice,
                 const definitions::Settings& settings);

}  // namespace moundwork::pitch
