// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/attributes.h"

#include <fmt/format.h>

#include <stdexcept>

namespace moundwork::session::hdf5 {

void write(H5::H5Object& object, const std::string& name, const Measured& measured) {
  write(object, name.c_str(), measured.value);
  write(object, (name + "_u").c_str(), measured.u);
}

Measured read_measured(const H5::H5Object& object, const std::string& name) {
  const Measured measured{read_number(object, name.c_str()),
                          read_number(object, (name + "_u").c_str())};
  // Unknown is no number; beyond this no unit that is measured here has any meaning.
  constexpr double most = 1e9;
  require(!(measured.u < 0.0 || measured.u > most),
          fmt::format("'{}_u' is {}, which no uncertainty can be", name, measured.u));
  return measured;
}

std::vector<double> values_of(const Eigen::Vector3d& v) { return {v.x(), v.y(), v.z()}; }

Eigen::Vector3d read_vector(const H5::H5Object& object, const char* name) {
  const std::vector<double> values = read_numbers(object, name);
  require(values.size() == 3,
          fmt::format("{} has {} numbers where 3 are wanted", name, values.size()));
  return {values[0], values[1], values[2]};
}

void require(bool holds, const std::string& what) {
  if (!holds) throw std::invalid_argument(what);
}

void require_channel(const std::vector<Device>& devices, std::int64_t device, std::int64_t channel,
                     const char* who) {
  require(device >= 0 && device < static_cast<std::int64_t>(devices.size()) && channel >= 0 &&
              channel < static_cast<std::int64_t>(
                            devices[static_cast<std::size_t>(device)].channels.size()),
          fmt::format("the {} names a channel that is not there", who));
}

}  // namespace moundwork::session::hdf5
