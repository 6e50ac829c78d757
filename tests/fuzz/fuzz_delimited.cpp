// SPDX-License-Identifier: GPL-3.0-or-later
// The first two bytes choose the options and the block size, the rest is the text.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <memory>
#include <sstream>
#include <string>

#include "core/table/delimited.h"

using namespace moundwork;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 2) return 0;
  table::DelimitedOptions options;
  const unsigned choice = data[0];
  if ((choice & 0x03) != 0) options.separator = ",;\t"[(choice & 0x03) - 1];
  if ((choice & 0x04) != 0) options.decimal = (choice & 0x08) != 0 ? ',' : '.';
  options.header_rows = static_cast<int>(choice >> 4 & 0x03);
  options.skip_lines = static_cast<int>(choice >> 6);
  auto reader =
      table::DelimitedReader::make(std::make_unique<std::istringstream>(std::string(
                                       reinterpret_cast<const char*>(data) + 2, size - 2)),
                                   "fuzz.csv", options);
  if (!reader) {
    if (reader.error().sentence().empty()) std::abort();
    return 0;
  }
  // Half of the inputs are read as text, row by row.
  while ((data[1] & 1) != 0) {
    const auto cells = reader->next_text();
    if (!cells || !*cells) return 0;
    if ((*cells)->size() != reader->columns().size()) std::abort();
  }
  while (true) {
    const auto rows = reader->next(1 + data[1]);
    if (!rows || rows->rows() == 0) return 0;
    if (rows->cols() != static_cast<Eigen::Index>(reader->columns().size())) std::abort();
    for (const double value : rows->reshaped())
      if (std::isinf(value)) std::abort();
  }
}
