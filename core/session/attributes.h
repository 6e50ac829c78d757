// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "core/base/measured.h"
#include "core/session/hdf5.h"
#include "core/session/session.h"

/// Attributes of a session file that hold more than one number; private to core/session.
namespace moundwork::session::hdf5 {

/// `name` and `name_u`.
void write(H5::H5Object& object, const std::string& name, const Measured& measured);
[[nodiscard]] Measured read_measured(const H5::H5Object& object, const std::string& name);

[[nodiscard]] std::vector<double> values_of(const Eigen::Vector3d& v);
[[nodiscard]] Eigen::Vector3d read_vector(const H5::H5Object& object, const char* name);

/// A file that lies about itself: std::invalid_argument, caught where a session is opened beside
/// HDF5's own exceptions.
void require(bool holds, const std::string& what);
/// The same where a channel is not one of the devices'; `who` names it.
void require_channel(const std::vector<Device>& devices, std::int64_t device, std::int64_t channel,
                     const char* who);

}  // namespace moundwork::session::hdf5
