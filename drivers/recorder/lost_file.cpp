// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/lost_file.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include <system_error>

#include "core/base/sentence.h"
#include "core/base/sharing.h"
#include "core/base/uuid.h"

namespace moundwork::drivers {
namespace {

namespace fs = std::filesystem;

bool lies_on(fs::path folder, dev_t device) {
  struct stat about {};
  while (::stat(folder.c_str(), &about) != 0) {
    if (folder == folder.parent_path()) return false;
    folder = folder.parent_path();
  }
  return about.st_dev == device;
}

}  // namespace

Result<NextFile> session_beside(const fs::path& path, int& number, dev_t device,
                                session::Session& session) {
  const fs::path whole = path.parent_path();
  if (!lies_on(whole, device))
    return fail(whole.string(), "lies on another disk now", "put the disk in again");
  std::error_code status;
  (void)make_folders(whole, status);
  if (status) return fail(whole.string(), "cannot be made (" + status.message() + ")");
  constexpr int most_tries = 100;
  Error first{whole.string(), "holds too many recordings of this name", "tidy it up"};
  for (int tries = 0; tries < most_tries && number < 10000;) {
    fs::path next = whole / path.stem();
    next += fmt::format("-{}", ++number);
    next += path.extension();
    if (fs::exists(fs::symlink_status(next, status))) continue;
    session.id = new_uuid();
    // One whose name is taken by something odd does not end a recording.
    auto writer = session::Writer::create(next, session, {0, false});
    if (writer) return NextFile{std::move(*writer), std::move(next)};
    if (tries++ == 0) first = writer.error();
  }
  return tl::make_unexpected(first);
}

std::string words_of(const LostFile& lost) {
  const auto file = "file"_is(lost.file.string());
  const auto next = "next"_is(lost.goes_on_in.string());
  const bool over = lost.goes_on_in.empty();
  switch (lost.loss) {
    case session::FileLoss::deleted:
      return over ? sentence(
                        "{file} was deleted just as its recording ended, and what it held is "
                        "gone.",
                        file)
                  : sentence(
                        "{file} was deleted while it was recorded, and what it held is gone. The "
                        "recording goes on in {next}.",
                        file, next);
    case session::FileLoss::moved:
      return over ? sentence(
                        "{file} was moved or renamed as its recording ended; it is whole where "
                        "it is now.",
                        file)
                  : sentence(
                        "{file} was moved or renamed while it was recorded, and holds what came "
                        "until now. The recording goes on in {next}.",
                        file, next);
    case session::FileLoss::spoilt:
      break;
  }
  return over ? sentence(
                    "{file} was cut short or written to by another program while it was recorded, "
                    "and not all that "
                    "it holds is as it was recorded.",
                    file)
              : sentence(
                    "{file} was cut short or written to by another program while it was recorded, "
                    "and what it held may be "
                    "spoilt. The recording goes on in {next}.",
                    file, next);
}

std::string words_at_end(const LostFile& lost) {
  if (lost.goes_on_in.empty()) return words_of(lost);
  const auto file = "file"_is(lost.file.string());
  const auto next = "next"_is(lost.goes_on_in.string());
  switch (lost.loss) {
    case session::FileLoss::deleted:
      return sentence(
          "{file} was deleted while it was recorded, and what it held is gone. The rest of the "
          "recording is in {next}.",
          file, next);
    case session::FileLoss::moved:
      return sentence(
          "{file} was moved or renamed while it was recorded, and holds the first part. The rest "
          "of "
          "the recording is in {next}.",
          file, next);
    case session::FileLoss::spoilt:
      break;
  }
  return sentence(
      "{file} was cut short or written to by another program while it was recorded, and what it "
      "held may be spoilt. The rest of the recording is in {next}.",
      file, next);
}

const char* key_of(session::FileLoss loss) {
  switch (loss) {
    case session::FileLoss::deleted:
      return "deleted";
    case session::FileLoss::moved:
      return "moved";
    case session::FileLoss::spoilt:
      break;
  }
  return "spoilt";
}

Error no_next_file(const LostFile& lost, const Error& why) {
  const auto reason = "why"_is(why.sentence());
  switch (lost.loss) {
    case session::FileLoss::deleted:
      return {lost.file.string(),
              sentence("was deleted while it was recorded, and no other file can be begun: {why}",
                       reason),
              {}};
    case session::FileLoss::moved:
      return {
          lost.file.string(),
          sentence("was moved or renamed while it was recorded, and no other file can be begun: "
                   "{why}",
                   reason),
          {}};
    case session::FileLoss::spoilt:
      break;
  }
  return {lost.file.string(),
          sentence("was cut short or written to by another program while it was recorded, and no "
                   "other file can be begun: {why}",
                   reason),
          {}};
}

}  // namespace moundwork::drivers
