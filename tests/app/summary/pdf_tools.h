// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <catch2/catch.hpp>
#include <cstdio>
#include <filesystem>
#include <string>

/// What another program (poppler) finds in a PDF file.
namespace moundwork::test::pdf {

/// Standard output of a tool with its options on a file.
inline std::string run(const std::string& tool, const std::filesystem::path& path,
                       const std::string& last = {}) {
  const std::string command = tool + " '" + path.string() + "' " + last + " 2>&1";
  std::string out;
  if (FILE* pipe = popen(command.c_str(), "r"); pipe != nullptr) {
    char piece[4096];
    while (const std::size_t size = std::fread(piece, 1, sizeof piece, pipe))
      out.append(piece, size);
    pclose(pipe);
  }
  return out;
}

/// False, loudly, where poppler's programs are not installed.
inline bool can_read() {
  if (std::system("pdfinfo -v >/dev/null 2>&1") == 0) return true;
  WARN("SKIPPED: poppler-utils is not installed, so no PDF was read back");
  return false;
}

/// Words of a text with one blank between.
inline std::string words(const std::string& text) {
  std::string out;
  for (const char c : text) {
    const bool blank = c == ' ' || c == '\n' || c == '\f';
    if (!blank)
      out += c;
    else if (!out.empty() && out.back() != ' ')
      out += ' ';
  }
  return out;
}

}  // namespace moundwork::test::pdf
