// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/pitch_load.h"

#include <chrono>
#include <system_error>

#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/start.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;

// A session of today has been written to within this time, whatever the time zone.
constexpr std::chrono::hours recent{36};
constexpr double nearly = 0.9;

}  // namespace

PitchLoad count_today(const LabFolder& lab, const std::string& athlete_id,
                      const fs::path& without) {
  PitchLoad load;
  const std::string day = today(lab);
  for (const auto& folder : {lab.root, lab.sessions()}) {
    std::error_code error;
    for (const auto& file : fs::directory_iterator(folder, error)) {
      std::error_code unread;
      if (file.path().extension() != ".h5" || file.path() == without ||
          file.last_write_time(unread) < fs::file_time_type::clock::now() - recent)
        continue;
      const auto reader = session::Reader::open(file.path());
      if (!reader || reader->session().athlete.id != athlete_id ||
          session::day_of(reader->session()) != day)
        continue;
      const auto results = session::read_results(file.path());
      if (results && !results->made.empty())
        load.earlier += static_cast<int>(results->throws.size());
      else
        ++load.uncounted;
    }
  }
  return load;
}

LoadWords load_words(const PitchLoad& load, const safety::PitchCountTable& table) {
  LoadWords said;
  const int thrown = load.earlier + load.now;
  said.words =
      thrown == 1 ? QStringLiteral("1 throw today") : QStringLiteral("%1 throws today").arg(thrown);
  if (load.uncounted > 0)
    said.words += QStringLiteral(", without %1 sessions not analysed yet").arg(load.uncounted);
  if (!load.age) {
    said.words += QStringLiteral(". No date of birth, so no limit can be named.");
    return said;
  }
  const safety::AgeBand* band = safety::band_of(table, *load.age);
  if (band == nullptr) {
    said.words += QStringLiteral(". Age %1: no published limit in the table.").arg(*load.age);
    return said;
  }
  said.caution = thrown >= nearly * band->most_a_day;
  if (thrown >= band->most_a_day)
    said.words += QStringLiteral(". Stop: age %1 has a limit of %2 a day.")
                      .arg(*load.age)
                      .arg(band->most_a_day);
  else if (said.caution)
    said.words += QStringLiteral(". Nearly the limit of %2 a day at age %1.")
                      .arg(*load.age)
                      .arg(band->most_a_day);
  else
    said.words +=
        QStringLiteral(". Age %1: at most %2 a day.").arg(*load.age).arg(band->most_a_day);
  said.about = QString::fromStdString(table.note) + u' ' +
               QStringLiteral("Limit by %1, read %2.")
                   .arg(QString::fromStdString(table.source), QString::fromStdString(table.dated));
  return said;
}

}  // namespace moundwork::desk
