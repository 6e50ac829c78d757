// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <sys/types.h>

#include <filesystem>
#include <string>

#include "core/base/result.h"
#include "core/session/writer.h"
#include "drivers/recorder/recorder.h"

/// What follows when a recording's file is taken away.
namespace moundwork::drivers {

struct NextFile {
  session::Writer writer;
  std::filesystem::path path;
};
/// A file for what comes from now on: beside `path`, which is absolute, named after it with the
/// next free number above `number`, which becomes it, its folder made anew where it is gone.
/// Refused where that would be on another file system than `device`: the disk was taken out then.
/// `session` takes an identity of its own; its time goes on.
[[nodiscard]] Result<NextFile> session_beside(const std::filesystem::path& path, int& number,
                                              dev_t device, session::Session& session);

/// What people are told of a loss: while the recording goes on, and when it has ended.
[[nodiscard]] std::string words_of(const LostFile& lost);
[[nodiscard]] std::string words_at_end(const LostFile& lost);
/// For other programs.
[[nodiscard]] const char* key_of(session::FileLoss loss);
/// Where no other file could be begun.
[[nodiscard]] Error no_next_file(const LostFile& lost, const Error& why);

}  // namespace moundwork::drivers
