// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <string>

#include "core/base/measured.h"
#include "core/session/session.h"

/// Pieces of a station file that describes a session exactly, its ports beside it.
namespace moundwork::drivers {

/// File name of an instrument's virtual port: its name with '-' for blanks.
[[nodiscard]] std::string port_name(const std::string& instrument);
/// The line `port = ...` of that.
[[nodiscard]] std::string port_words(const std::string& instrument);

[[nodiscard]] std::string point_words(const Eigen::Vector3d& point);
/// The lines `key` and `key_u`.
[[nodiscard]] std::string measured_words(const char* key, const Measured& measured,
                                         const char* unit);
/// The lines `device` and `channel`.
[[nodiscard]] std::string channel_words(const session::Session& session, int device, int channel);

}  // namespace moundwork::drivers
