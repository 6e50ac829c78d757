// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/waveform.h"

#include <algorithm>
#include <cmath>

namespace moundwork::model {

double Ramp::operator()(double t) const {
  if (t <= from) return 0.0;
  if (t >= to) return 1.0;
  const double x = (t - from) / (to - from);
  const double square = x * x;
  return square * square * (35.0 + x * (-84.0 + x * (70.0 - 20.0 * x)));
}

Term Term::step(double amplitude, Ramp rise) {
  Term term;
  term.amplitude_ = amplitude;
  term.rise_ = rise;
  return term;
}

Term Term::hump(double amplitude, double start, double peak, double end) {
  // Three is the least exponent whose second derivative is still continuous at the end.
  constexpr double least_exponent = 3.0;
  const double at = (peak - start) / (end - start);
  Term term;
  term.amplitude_ = amplitude;
  term.has_hump_ = true;
  term.start_ = start;
  term.end_ = end;
  const double sum = least_exponent / std::min(at, 1.0 - at);
  term.p_ = sum * at;
  term.q_ = sum * (1.0 - at);
  term.log_peak_ = term.p_ * std::log(at) + term.q_ * std::log(1.0 - at);
  return term;
}

Term Term::tone(double amplitude, double frequency, double phase) {
  Term term;
  term.amplitude_ = amplitude;
  term.angular_ = 2.0 * 3.14159265358979323846 * frequency;
  term.phase_ = phase;
  return term;
}

Term Term::from(Ramp rise) const {
  Term term = *this;
  term.rise_ = rise;
  return term;
}

Term Term::until(Ramp fall) const {
  Term term = *this;
  term.fall_ = fall;
  return term;
}

Term Term::scaled(double factor) const {
  Term term = *this;
  term.amplitude_ *= factor;
  return term;
}

double Term::operator()(double t) const {
  if (t <= rise_.from || t >= fall_.to) return 0.0;
  double value = amplitude_;
  if (has_hump_) {
    if (t <= start_ || t >= end_) return 0.0;
    const double x = (t - start_) / (end_ - start_);
    value *= std::exp(p_ * std::log(x) + q_ * std::log(1.0 - x) - log_peak_);
  }
  if (t < rise_.to) value *= rise_(t);
  if (t > fall_.from) value *= 1.0 - fall_(t);
  if (angular_ != 0.0) value *= std::cos(angular_ * t + phase_);
  return value;
}

Waveform& Waveform::add(const Term& term) {
  if (term.amplitude() != 0.0) terms_.push_back(term);
  return *this;
}

Waveform& Waveform::add(const Waveform& other, double factor) {
  constant_ += factor * other.constant_;
  for (const Term& term : other.terms_) add(term.scaled(factor));
  return *this;
}

double Waveform::operator()(double t) const {
  double sum = constant_;
  for (const Term& term : terms_) sum += term(t);
  return sum;
}

Waveform Waveform::scaled(double factor) const {
  Waveform scaled;
  scaled.constant_ = constant_ * factor;
  for (const Term& term : terms_) scaled.terms_.push_back(term.scaled(factor));
  return scaled;
}

}  // namespace moundwork::model
