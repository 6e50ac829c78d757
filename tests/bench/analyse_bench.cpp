// SPDX-License-Identifier: GPL-3.0-or-later
// Where the time of `moundwork analyse` goes, stage by stage: analyse_bench [SESSION.h5]. Without a
// session ten simulated minutes with eight throws are taken.
#include <benchmark/benchmark.h>

#include <cstdio>
#include <filesystem>
#include <optional>
#include <string>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/pitch/session_throws.h"
#include "core/session/reader.h"
#include "core/signal/butterworth.h"

namespace {

using namespace moundwork;

std::string session_path;

session::Reader open_session() { return session::Reader::open(session_path).value(); }

// Counted in 32-bit samples, as plain_read does.
double plate_bytes(const session::Reader& reader) {
  double bytes = 0.0;
  for (const session::Plate& plate : reader.session().plates)
    bytes += static_cast<double>(reader.sample_count(plate.device)) *
             static_cast<double>(plate.channels.size()) * sizeof(std::int32_t);
  return bytes;
}

void say_speed(benchmark::State& state, double bytes) {
  state.SetBytesProcessed(static_cast<std::int64_t>(bytes) * state.iterations());
}

// A wrench's six signals over one throw's window at 1 kHz.
void filter(benchmark::State& state) {
  const auto sections = signal::low_pass(2, signal::design_cutoff(50.0, 2, 2), 1000.0).value();
  const Eigen::ArrayXXd wrench = Eigen::ArrayXXd::Random(9200, 6);
  for (auto _ : state) benchmark::DoNotOptimize(signal::zero_phase_columns(sections, wrench));
}

void streaming_pass(benchmark::State& state) {
  const session::Reader reader = open_session();
  for (auto _ : state)
    benchmark::DoNotOptimize(pitch::SessionThrows::find(reader, {}).value().contacts());
  say_speed(state, plate_bytes(reader));
}

// The throws are gone through in turn: they differ in length.
class EachThrow {
 public:
  EachThrow() : reader_(open_session()), throws_(pitch::SessionThrows::find(reader_, {}).value()) {}

  pitch::ThrowInMemory next() { return throws_.take(next_++ % throws_.contacts().size()).value(); }

 private:
  session::Reader reader_;
  pitch::SessionThrows throws_;
  std::size_t next_ = 0;
};

// Samples read, tared, under both low-passes, with centres of pressure and events.
void take_throw(benchmark::State& state) {
  EachThrow each;
  for (auto _ : state) benchmark::DoNotOptimize(each.next());
}

void values_of_throw(benchmark::State& state) {
  EachThrow each;
  const pitch::ThrowInMemory thrown = each.next();
  for (auto _ : state) benchmark::DoNotOptimize(thrown.values());
}

void uncertainties_of_throw(benchmark::State& state) {
  EachThrow each;
  const pitch::ThrowInMemory thrown = each.next();
  for (auto _ : state) benchmark::DoNotOptimize(thrown.measure());
}

// What a script without uncertainties does: from opening the file to every throw's numbers, one
// throw after another.
void all_without_uncertainties(benchmark::State& state) {
  double bytes = 0.0;
  for (auto _ : state) {
    const session::Reader reader = open_session();
    const auto throws = pitch::SessionThrows::find(reader, {}).value();
    for (std::size_t i = 0; i < throws.contacts().size(); ++i)
      benchmark::DoNotOptimize(throws.take(i).value().values());
    bytes = plate_bytes(reader);
  }
  say_speed(state, bytes);
}

void all(benchmark::State& state) {
  double bytes = 0.0;
  for (auto _ : state) {
    const session::Reader reader = open_session();
    benchmark::DoNotOptimize(pitch::analyse(reader, {}).value().throws.size());
    bytes = plate_bytes(reader);
  }
  say_speed(state, bytes);
}

BENCHMARK(filter)->Unit(benchmark::kMicrosecond);
BENCHMARK(take_throw)->Unit(benchmark::kMicrosecond);
BENCHMARK(values_of_throw)->Unit(benchmark::kMicrosecond);
BENCHMARK(uncertainties_of_throw)->Unit(benchmark::kMicrosecond);
BENCHMARK(streaming_pass)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(all_without_uncertainties)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(all)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace

int main(int argc, char** argv) {
  benchmark::Initialize(&argc, argv);
  std::optional<std::filesystem::path> made;
  if (argc > 1) {
    session_path = argv[1];
  } else {
    made = std::filesystem::temp_directory_path() / "moundwork-analyse-bench.h5";
    session_path = made->string();
    model::SessionSettings settings;
    settings.performance.pitches = 8;
    settings.performance.duration = 600.0;
    settings.compression = 0;
    if (const auto written = model::simulate_session(*made, settings); !written) {
      std::fprintf(stderr, "analyse_bench: %s\n", written.error().sentence().c_str());
      return 1;
    }
  }
  benchmark::RunSpecifiedBenchmarks();
  if (made) std::filesystem::remove(*made);
}
