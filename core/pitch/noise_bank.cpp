// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/noise_bank.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "core/base/random.h"
#include "core/signal/butterworth.h"

namespace moundwork::pitch {
namespace {

// Long beside a throw at any usual rate; streams start a prime apart, so they do not line up.
constexpr Eigen::Index bank_size = 1 << 17;
constexpr Eigen::Index stream_stride = 7919;

Eigen::ArrayXd low_passed(const Eigen::ArrayXd& white, double cutoff, double rate) {
  const auto sections = signal::low_pass(2, signal::design_cutoff(cutoff, 2, 2), rate);
  return signal::zero_phase(sections.value(), white);
}

// Skew of a clock changes the step by parts in ten thousand, which noise does not notice. The rate
// to four digits is the same for all throws of a recording, so none's noise depends on which throw
// or which recording came before.
double usual_step(double step) {
  const double digit = std::pow(10.0, std::floor(-std::log10(step)) - 3.0);
  return 1.0 / (std::round(1.0 / (step * digit)) * digit);
}

}  // namespace

NoiseBank::NoiseBank(double step, const definitions::Settings& settings)
    : step_(step), low_pass_(settings.low_pass), contact_low_pass_(settings.contact_low_pass) {
  Random random(20260301, 0);
  white_.resize(bank_size);
  for (double& value : white_) value = random.normal();
  const double rate = 1.0 / step;
  smooth_ = low_passed(white_, low_pass_, rate);
  light_ = low_passed(white_, std::max(low_pass_, std::min(contact_low_pass_, rate / 5.0)), rate);
}

const NoiseBank& NoiseBank::for_step(double step, const definitions::Settings& settings) {
  thread_local std::unique_ptr<NoiseBank> kept;
  const double usual = usual_step(step);
  if (!kept || kept->step_ != usual || kept->low_pass_ != settings.low_pass ||
      kept->contact_low_pass_ != settings.contact_low_pass)
    kept = std::make_unique<NoiseBank>(usual, settings);
  return *kept;
}

NoiseBank::Draw NoiseBank::draw(Eigen::Index stream, Eigen::Index length) const {
  const Eigen::Index used = std::min(length, bank_size);
  const Eigen::Index first = (stream * stream_stride) % (bank_size - used + 1);
  return {white_.segment(first, used), smooth_.segment(first, used), light_.segment(first, used)};
}

}  // namespace moundwork::pitch
