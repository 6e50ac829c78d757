// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/pitch_load.h"

#include <QStringList>
#include <chrono>
#include <system_error>

#include "core/base/sentence.h"
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
  QStringList sentences;
  const auto say = [&](const std::string& one) { sentences << QString::fromStdString(one); };
  say(sentence_for(thrown, "{count} throw today.", "{count} throws today.", "count"_is(thrown)));
  if (load.uncounted > 0)
    say(sentence_for(load.uncounted, "{count} session is not analysed yet and not in this.",
                     "{count} sessions are not analysed yet and not in this.",
                     "count"_is(load.uncounted)));
  const safety::AgeBand* band = load.age ? safety::band_of(table, *load.age) : nullptr;
  if (!load.age) {
    say(sentence("No date of birth, so no limit can be named."));
  } else if (band == nullptr) {
    say(sentence("Age {age}: no published limit in the table.", "age"_is(*load.age)));
  } else {
    const auto age = "age"_is(*load.age);
    const auto most = "most"_is(band->most_a_day);
    said.caution = thrown >= nearly * band->most_a_day;
    say(thrown >= band->most_a_day
            ? sentence("Stop: age {age} has a limit of {most} a day.", age, most)
        : said.caution ? sentence("Nearly the limit of {most} a day at age {age}.", most, age)
                       : sentence("Age {age}: at most {most} a day.", age, most));
    said.about = QString::fromStdString(sentence("{note} Limit by {source}, read {date}.",
                                                 "note"_is(table.note), "source"_is(table.source),
                                                 "date"_is(table.dated)));
  }
  said.words = sentences.join(u' ');
  return said;
}

}  // namespace moundwork::desk
