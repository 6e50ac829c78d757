// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/practice.h"

#include <chrono>
#include <cmath>
#include <condition_variable>
#include <mutex>
#include <string>
#include <utility>
#include <vector>

#include "app/desk/state/open_session.h"
#include "app/desk/state/weigh_ins.h"
#include "core/base/wall_time.h"
#include "core/model/day.h"
#include "core/session/reader.h"

namespace moundwork::desk {
namespace {

namespace fs = std::filesystem;

constexpr int athletes = 3;
constexpr int throws = 10;
constexpr double slot = 12.0;  // s from throw to throw: fast, but time enough to note something

model::SessionSettings session_settings(int number, int pitches) {
  model::SessionSettings settings;
  settings.athlete = number;
  settings.performance.pitches = pitches;
  settings.performance.duration = pitches * slot;
  settings.station.lost_blocks_per_hour = 0.0;
  settings.compression = 0;
  return settings;
}

/// The invented athlete as the model states it, without any throw: quick to make.
Result<session::Session> stated(int number, const fs::path& folder) {
  const fs::path path = folder / "stated.h5";
  if (auto made = model::simulate_session(path, session_settings(number, 0)); !made)
    return tl::make_unexpected(made.error());
  const auto reader = session::Reader::open(path);
  if (!reader) return tl::make_unexpected(reader.error());
  return reader->session();
}

RosterAthlete roster_line(const session::Session& session, const std::string& day) {
  RosterAthlete line;
  line.id = session.athlete.id;
  line.name = session.athlete.name;
  line.born = session.athlete.born;
  line.throws = session.athlete.throws;
  // As people write them down.
  line.height = std::round(100.0 * session.athlete.height.value) / 100.0;
  line.mass = std::round(10.0 * session.athlete.mass.value) / 10.0;
  line.consent = day;
  line.guardian_consent = day;
  line.notes = "Invented, for practice";
  return line;
}

}  // namespace

/// What the work apart brings.
struct Practice::Made {
  std::vector<RosterAthlete> roster;
  std::string chosen;
  std::unique_ptr<drivers::Player> player;
};

Practice::Practice(DeskState& state, Jobs& jobs, QObject* parent)
    : QObject(parent), state_(state), jobs_(jobs) {}

Practice::~Practice() { stop(); }

fs::path Practice::practice_of(const fs::path& lab) {
  if (is_practice(lab)) return lab;
  // A path that ends in a slash has an empty last part.
  const fs::path named = lab.filename().empty() ? lab.parent_path() : lab;
  return named.string() + practice_ending;
}

fs::path Practice::lab_of(const fs::path& practice) {
  if (!is_practice(practice)) return practice;
  const std::string path = practice.string();
  return path.substr(0, path.size() - std::string(practice_ending).size());
}

void Practice::prepare() {
  if (preparing()) return;
  stop();
  const fs::path folder = practice_of(state_.lab().root);
  if (state_.lab().root != folder)
    if (const auto opened = state_.open_lab(folder); !opened) {
      Q_EMIT failed(QString::fromStdString(opened.error().sentence()));
      return;
    }
  const std::string wanted = state_.athlete() == nullptr ? std::string() : state_.athlete()->id;
  const std::string day = today(state_.lab());
  const LabFolder lab = state_.lab();
  const fs::path made_in = made_.path().toStdString();
  const bool empty = state_.roster().empty();
  preparing_ = jobs_.run(
      QStringLiteral("Inventing athletes and instruments"), this,
      [=, leaving = leaving_](JobControl& control) -> Result<Made> {
        // The old instruments take their links with them, which have the names of the new ones.
        if (leaving && leaving->joinable()) leaving->join();
        Made made;
        int number = 1;
        for (int i = 1; i <= athletes; ++i) {
          const auto session = stated(i, made_in);
          if (!session) return tl::make_unexpected(session.error());
          if (empty) made.roster.push_back(roster_line(*session, day));
          if (session->athlete.id == wanted) number = i;
          // What a weigh-in and two stances would have given.
          if (!last_weigh_in(lab, session->athlete.id, day))
            if (const auto kept = keep_weigh_in(lab, {session->athlete.id, "practice", iso_now(),
                                                      session->athlete.mass, session->foot_line});
                !kept)
              return tl::make_unexpected(kept.error());
          if (!control.progress(0.1 * i)) return made;
        }
        const fs::path played = made_in / "played.h5";
        const auto simulated = model::simulate_session(
            played, session_settings(number, throws),
            [&](double share) { return control.progress(0.3 + 0.7 * share); });
        if (!simulated) return tl::make_unexpected(simulated.error());
        auto player = drivers::Player::open(played, lab.root);
        if (!player) return tl::make_unexpected(player.error());
        made.chosen = player->session().athlete.id;
        made.player = std::make_unique<drivers::Player>(std::move(*player));
        return made;
      },
      [this](Result<Made> made) {
        preparing_.reset();
        if (made)
          take(std::move(*made));
        else
          Q_EMIT failed(QString::fromStdString(made.error().sentence()));
      },
      [this] { preparing_.reset(); });
}

void Practice::take(Made made) {
  if (!made.roster.empty())
    if (const auto kept = state_.set_roster(std::move(made.roster)); !kept) {
      Q_EMIT failed(QString::fromStdString(kept.error().sentence()));
      return;
    }
  state_.choose_athlete(made.chosen);
  player_ = std::move(made.player);
  Q_EMIT ready();
}

void Practice::play() {
  if (!player_) return;
  thread_ = std::jthread([this, player = std::move(player_)](const std::stop_token& asked) {
    const auto begun = std::chrono::steady_clock::now();
    while (!asked.stop_requested()) {
      const auto more = player->play_until(std::chrono::steady_clock::now() - begun);
      if (!more || !*more) {
        QMetaObject::invokeMethod(this, &Practice::over, Qt::QueuedConnection);
        break;
      }
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    // The instruments stay plugged in, silent, until they are taken away.
    std::mutex mutex;
    std::condition_variable_any taken_away;
    std::unique_lock lock(mutex);
    taken_away.wait(lock, asked, [] { return false; });
  });
}

void Practice::stop() {
  player_.reset();
  if (!thread_.joinable()) return;
  thread_.request_stop();
  leaving_ = std::make_shared<std::jthread>(std::move(thread_));
}

}  // namespace moundwork::desk
