// SPDX-License-Identifier: GPL-3.0-or-later
// Reads every plate sample of a session as plain HDF5 and nothing else: what any analysis must at
// least do. Prints bytes and seconds.
#include <H5Cpp.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <vector>

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const auto begin = std::chrono::steady_clock::now();
  const H5::H5File file(argv[1], H5F_ACC_RDONLY);
  double bytes = 0.0;
  for (const char* name : {"devices/back plate/samples", "devices/lead plate/samples"}) {
    const H5::DataSet samples = file.openDataSet(name);
    hsize_t shape[2] = {0, 0};
    samples.getSpace().getSimpleExtentDims(shape);
    constexpr hsize_t rows_at_once = 65536;
    std::vector<int> rows(rows_at_once * shape[1]);
    for (hsize_t row = 0; row < shape[0]; row += rows_at_once) {
      const hsize_t start[2] = {row, 0};
      const hsize_t count[2] = {std::min(rows_at_once, shape[0] - row), shape[1]};
      H5::DataSpace source = samples.getSpace();
      source.selectHyperslab(H5S_SELECT_SET, count, start);
      samples.read(rows.data(), H5::PredType::NATIVE_INT, H5::DataSpace(2, count), source);
    }
    bytes += static_cast<double>(shape[0] * shape[1]) * sizeof(int);
  }
  const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
  std::printf("%.0f bytes, %.3f s, %.0f MB/s\n", bytes, taken.count(),
              1e-6 * bytes / taken.count());
}
