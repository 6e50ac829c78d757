// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/throws_in_memory.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "core/marks/frame_marks.h"
#include "core/session/edit_state.h"
#include "core/session/plate_signal.h"
#include "core/session/reader.h"

namespace moundwork::desk {
namespace {

// A throw's windows take some 3 MB.
constexpr std::size_t most_kept = 40;

// The finder's coarse contact lies within a trace's bins of the true one, and a person moves one by
// less; throws are seconds apart.
constexpr double near = 0.5;

QString why(const Error& error) { return QString::fromStdString(error.sentence()); }

Result<SessionPicture::Plate> draw(const std::filesystem::path& path, std::size_t index,
                                   JobControl& control) {
  const auto reader = session::Reader::open(path);
  if (!reader) return tl::make_unexpected(reader.error());
  const session::Plate& plate = reader->session().plates.at(index);
  const auto clock = session::clock_of(*reader, plate.device);
  if (!clock) return tl::make_unexpected(clock.error());
  auto envelope = session::trace_envelope(*reader, plate, *clock,
                                          [&](double share) { return control.progress(share); });
  if (!envelope) return tl::make_unexpected(envelope.error());
  return SessionPicture::Plate{plate.role, std::move(*envelope)};
}

std::vector<std::string> put_facts(const std::vector<session::Edit>& edits) {
  std::vector<std::string> facts;
  const std::vector<bool> stands = session::standing(edits);
  for (std::size_t row = 0; row < edits.size(); ++row)
    if (stands[row] && edits[row].action == session::Action::set_fact)
      facts.push_back(edits[row].id);
  return facts;
}

std::vector<std::string> release_marks(const std::vector<session::Edit>& edits) {
  std::vector<std::string> marks;
  const std::vector<bool> stands = session::standing(edits);
  for (std::size_t row = 0; row < edits.size(); ++row)
    if (const auto mark = marks::frame_mark_of(edits[row]);
        stands[row] && mark && mark->mark == marks::BodyMark::release)
      marks.push_back(edits[row].id);
  return marks;
}

}  // namespace

struct ThrowsInMemory::Source {
  std::mutex mutex;  // guards the reader, which is not to be used by two threads
  std::optional<session::Reader> reader;
  std::optional<pitch::SessionThrows> throws;
};

ThrowsInMemory::ThrowsInMemory(DeskState& state, Jobs& jobs) : state_(state), jobs_(jobs) {
  connect(&state_, &DeskState::session_changed, this, &ThrowsInMemory::start);
  connect(&state_, &DeskState::results_changed, this, [this] {
    follow_facts();
    drop_renumbered();
    follow_marks();
  });
  connect(&state_, &DeskState::edits_changed, this, &ThrowsInMemory::follow_facts);
  // A file that is being written is read when it is whole.
  connect(&state_, &DeskState::recording_changed, this, [this] {
    if (!state_.recording()) start();
  });
}

void ThrowsInMemory::start() {
  ++turn_;
  picture_ = {};
  source_.reset();
  wanted_.clear();
  kept_.clear();
  used_.clear();
  reading_ = drawn_ = finding_ = anew_ = false;
  if (state_.session() == nullptr || state_.recording()) {
    Q_EMIT picture_ready();
    return;
  }
  marks_ = release_marks(state_.session()->edits());
  facts_ = put_facts(state_.session()->edits());
  draw_plate(0);
}

void ThrowsInMemory::follow_facts() {
  if (state_.session() == nullptr || state_.recording()) return;
  auto facts = put_facts(state_.session()->edits());
  if (facts != facts_) {
    facts_ = std::move(facts);
    source_.reset();
    kept_.clear();
    used_.clear();
    reading_ = finding_ = false;
    ++finds_;
    anew_ = true;
  }
  find_when_settled();
}

void ThrowsInMemory::find_when_settled() {
  if (drawn_ && !finding_ && source_ == nullptr && state_.session()->settled()) find_throws();
}

void ThrowsInMemory::drop_renumbered() {
  if (state_.session() == nullptr) return;
  const auto& throws = state_.session()->results().throws;
  std::erase_if(kept_, [&](const auto& kept) {
    return std::none_of(throws.begin(), throws.end(), [&](const session::ResultThrow& thrown) {
      return thrown.number == kept.first &&
             std::abs(seconds(thrown.contact) - kept.second->contact()) < near;
    });
  });
  used_.remove_if([this](int number) { return !kept_.contains(number); });
}

void ThrowsInMemory::follow_marks() {
  // Before the first are found there is nothing to find again.
  if (state_.session() == nullptr || source_ == nullptr) return;
  auto marks = release_marks(state_.session()->edits());
  if (marks == marks_) return;
  marks_ = std::move(marks);
  find_throws();
}

void ThrowsInMemory::draw_plate(std::size_t index) {
  if (index == state_.session()->session().plates.size()) {
    drawn_ = true;
    return find_when_settled();
  }
  jobs_.run(
      QStringLiteral("Drawing the session"), this,
      [path = state_.session()->path(), index](JobControl& control) {
        return draw(path, index, control);
      },
      [this, turn = turn_, index](Result<SessionPicture::Plate> plate) {
        if (turn != turn_) return;
        if (!plate) {
          Q_EMIT failed(why(plate.error()));
          return;
        }
        picture_.plates.push_back(std::move(*plate));
        Q_EMIT picture_ready();
        draw_plate(index + 1);
      },
      // Whoever stopped the drawing still wants the throws.
      [this, turn = turn_] {
        if (turn != turn_) return;
        drawn_ = true;
        find_when_settled();
      });
}

void ThrowsInMemory::find_throws() {
  if (state_.session() == nullptr) return;
  finding_ = true;
  ++finds_;
  jobs_.run(
      QStringLiteral("Finding the throws"), this,
      [path = state_.session()->path()](JobControl& control) -> Result<std::shared_ptr<Source>> {
        auto source = std::make_shared<Source>();
        auto reader = session::Reader::open(path);
        if (!reader) return tl::make_unexpected(reader.error());
        source->reader.emplace(std::move(*reader));
        auto throws = pitch::SessionThrows::find(
            *source->reader, {}, [&](double share) { return control.progress(share); });
        if (!throws) return tl::make_unexpected(throws.error());
        source->throws.emplace(std::move(*throws));
        return source;
      },
      [this, turn = turn_, find = finds_](Result<std::shared_ptr<Source>> source) {
        if (turn != turn_ || find != finds_) return;
        if (!source) {
          Q_EMIT failed(why(source.error()));
          return;
        }
        source_ = std::move(*source);
        anew_ = false;
        for (const auto& [number, thrown] : kept_) wanted_.insert(number);
        read_wanted();
      });
}

std::shared_ptr<const pitch::ThrowInMemory> ThrowsInMemory::want(int number) {
  if (const auto found = kept_.find(number); found != kept_.end()) {
    used_.remove(number);
    used_.push_front(number);
    return found->second;
  }
  wanted_.insert(number);
  read_wanted();
  return nullptr;
}

void ThrowsInMemory::read_wanted() {
  if (reading_ || source_ == nullptr || wanted_.empty() || state_.session() == nullptr) return;
  const int number = *wanted_.begin();
  wanted_.erase(wanted_.begin());
  // By contact, not by number: something like a throw that was left out has no number.
  double contact = std::numeric_limits<double>::quiet_NaN();
  for (const session::ResultThrow& thrown : state_.session()->results().throws)
    if (thrown.number == number) contact = seconds(thrown.contact);
  const std::vector<double>& contacts = source_->throws->contacts();
  const auto nearest = std::min_element(contacts.begin(), contacts.end(), [&](double a, double b) {
    return std::abs(a - contact) < std::abs(b - contact);
  });
  // The finder's coarse contact lies within a trace's bins of the true one.
  if (nearest == contacts.end() || !(std::abs(*nearest - contact) <= session::same_throw)) {
    Q_EMIT failed(
        QStringLiteral("Throw %1 is not where the last analysis found it: measure the session "
                       "again.")
            .arg(number));
    return read_wanted();
  }
  reading_ = true;
  using Taken = Result<std::shared_ptr<const pitch::ThrowInMemory>>;
  jobs_.run(
      QStringLiteral("Reading throw %1").arg(number), this,
      [source = source_,
       index = static_cast<std::size_t>(nearest - contacts.begin())](JobControl&) -> Taken {
        const std::lock_guard lock(source->mutex);
        auto taken = source->throws->take(index);
        if (!taken) return tl::make_unexpected(taken.error());
        return std::make_shared<const pitch::ThrowInMemory>(std::move(*taken));
      },
      [this, turn = turn_, source = source_, facts = facts_, number](Taken taken) {
        if (turn != turn_ || facts != facts_) return;
        reading_ = false;
        if (source != source_) {
          wanted_.insert(number);  // the throws have been found again meanwhile
        } else if (taken) {
          kept_[number] = std::move(*taken);
          used_.remove(number);
          used_.push_front(number);
          while (used_.size() > most_kept) {
            kept_.erase(used_.back());
            used_.pop_back();
          }
          Q_EMIT throw_ready(number);
        } else {
          Q_EMIT failed(why(taken.error()));
        }
        read_wanted();
      },
      [this, turn = turn_, facts = facts_] {
        if (turn == turn_ && facts == facts_) reading_ = false;
      });
}

}  // namespace moundwork::desk
