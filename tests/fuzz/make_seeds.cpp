// SPDX-License-Identifier: GPL-3.0-or-later
// Writes starting inputs for the fuzz targets: make_fuzz_seeds FOLDER IMPORT_DOCUMENT
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "support/c3d_builder.h"

namespace {

namespace fs = std::filesystem;

void write(const fs::path& path, std::span<const char> bytes) {
  fs::create_directories(path.parent_path());
  std::ofstream stream(path, std::ios::binary);
  stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  if (!stream.flush()) throw std::runtime_error("cannot write " + path.string());
}

// Blocks of a document fenced as ```language.
std::vector<std::string> fenced(const std::string& document, const std::string& language) {
  std::vector<std::string> blocks;
  const std::string opening = "```" + language + "\n";
  for (std::size_t at = document.find(opening); at != std::string::npos;
       at = document.find(opening, at)) {
    at += opening.size();
    const std::size_t end = document.find("```", at);
    if (end == std::string::npos) break;
    blocks.push_back(document.substr(at, end - at));
    at = end + 3;
  }
  return blocks;
}

std::vector<std::pair<std::string, std::string>> delimited_samples() {
  return {
      {"comma.csv", "t,Fz\n0.000,1.5\n0.001,-2e3\n"},
      {"semicolon-decimal-comma.csv", "t;Fx;Fz\r\n0,000;1,5;\r\n0,001;-2,5;700,25\r\n"},
      {"tab.txt", "t\tFz\n0\t1\n1\t2\n"},
      {"quoted.csv", "\xef\xbb\xbf\"t, s\",\"said \"\"Fz\"\"\"\n\"0\",\"1\"\n1,nan\n"},
      {"units-row.csv", "t,Fz\ns,N\n0,1\n1,2\n"},
      {"ragged.csv", "t,Fz\n0,1\n1\n2,3,4\n"},
      {"not-numbers.csv", "t,Fz\n0,abc\n1,1e999\n2,0x10\n"},
  };
}

}  // namespace

int main(int count, char** arguments) {
  if (count != 3) {
    std::fputs("usage: make_fuzz_seeds FOLDER IMPORT_DOCUMENT\n", stderr);
    return 2;
  }
  const fs::path folder = arguments[1];
  for (const auto& [name, bytes] : moundwork::test::sample_c3d_files())
    write(folder / "fuzz_c3d" / (name + ".c3d"),
          {reinterpret_cast<const char*>(bytes.data()), bytes.size()});
  for (const auto& [name, text] : delimited_samples())
    write(folder / "fuzz_delimited" / name, text);
  std::ifstream stream(arguments[2], std::ios::binary);
  const std::string document{std::istreambuf_iterator<char>(stream), {}};
  const auto examples = fenced(document, "toml");
  if (examples.empty()) {
    std::fputs("the import document holds no example\n", stderr);
    return 1;
  }
  for (std::size_t i = 0; i < examples.size(); ++i)
    write(folder / "fuzz_import_settings" / ("example-" + std::to_string(i) + ".toml"),
          examples[i]);
  return 0;
}
