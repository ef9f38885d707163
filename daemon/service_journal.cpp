// The journal at the start and later, and the state that is made out of it.
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "daemon/journal_place.h"
#include "daemon/service_loop.h"
#include "daemon/time_set_back.h"
#include "daemon/told_alarms.h"
#include "rules/engine/world.h"

namespace overwinter {

// ------------------------------------------------------------------------------------------------------------- journal

bool Service::open_journal() {
  const Span steady = read_clocks().steady;
  const std::string file = journal_place(options_.journal, *plan_, environment("STATE_DIRECTORY"));
  Journal::Opened opened = Journal::open(file, read_clocks().wall);
  if (!opened.said.empty()) {
    const std::string found = opened.findings.empty() ? "" : "; what was found: " + opened.findings;
    log_.seldom(LogLevel::error, "journal", opened.said + found, steady);
  }
  if (opened.journal) moved_aside_ = opened.said;
  journal_trouble_ = opened.journal ? std::string() : opened.said;
  journal_ = std::move(opened.journal);
  journal_is_sound_ = journal_ != nullptr;
  journal_tried_at_ = steady;
  return opened.trouble != Journal::Trouble::held;
}

void Service::keep(const JournaledInput& input) {
  if (journal_) {
    journal_->add(input);
    bytes_since_snapshot_ += input.bytes();
    return;
  }
  unwritten_.push_back({input, {}});
  unwritten_bytes_ += input.bytes();
  while (unwritten_.size() > most_kept_inputs || unwritten_bytes_ > most_kept_bytes) {
    unwritten_bytes_ -= unwritten_.front().input.bytes();
    unwritten_.pop_front();
  }
}

// A folder that was not there at the start, a disk that was full: what happened since goes into the file as if it had
// been there all the time. If the file holds an earlier life, this one goes on from it.
void Service::open_late_journal() {
  if (journal_ || !caretaker_ || read_clocks().steady - journal_tried_at_ < between_journal_attempts) return;
  const std::string trouble_before = journal_trouble_;
  open_journal();
  if (!journal_) {
    if (journal_trouble_ != trouble_before) say_whether_journaled();  // one thing was mended, and another is wrong
    return;
  }
  const ToldAlarms told(caretaker_->world());
  const std::uint64_t before = journal_->last_number();
  bool whole = true;
  RefusedAnew refused;
  if (before > 0) {
    auto [anew, number] = newest_snapshot(std::nullopt);
    const bool reloaded = anew && anew->world().reloaded;
    const auto take = [this, &anew = anew](const JournaledInput& input) {
      if (!anew) anew = std::make_unique<Caretaker>(plan_, input.at);
      return apply_again(*anew, input);
    };
    whole = each_input_after(number, [&](const JournaledInput& input) {
      const Told again = take(input);
      if (reloaded) refused.take(input, again);
    });
    if (reloaded) (void)journal_->each_event_after(number, [&](std::string_view event) { refused.take(event); });
    // Between the two lives nobody could hear a sensor.
    const Instant end = anew ? anew->world().now : unwritten_.front().input.at;
    unwritten_.push_front({{0, end, JournaledInput::Kind::link_down, {}, {}, false}, {}});
    for (const Unwritten& unwritten : unwritten_) (void)take(unwritten.input);
    *caretaker_ = std::move(*anew);
    looked_at_ = {};
    if (clock_) clock_.emplace(read_clocks(), caretaker_->world().now);
  }
  last_number_ = before;
  for (Unwritten& unwritten : unwritten_) unwritten.input.number = ++last_number_;
  std::vector<OutboxEntry> none;
  for (const Unwritten& unwritten : std::exchange(unwritten_, {})) {
    journal_->add(unwritten.input);
    if (!unwritten.told.empty()) (void)journal_->commit(unwritten.told, none, false);  // else it waits, and goes later
  }
  unwritten_bytes_ = 0;
  teller_->move_into(journal_.get());
  log_.info(fmt::format("the journal can be written now; it took what happened since the start{}",
                        before > 0 ? ", and the state goes on from what it held" : ""));
  if (before > 0) tell(caretaker_->tell(told.to_tell(caretaker_->world())), false, nullptr);
  const bool up = link_ && link_->connected();
  if (before > 0) apply(up ? JournaledInput::Kind::link_up : JournaledInput::Kind::link_down);
  apply(JournaledInput::Kind::journal_writable);
  if (!whole) tell_part_unread();
  tell_refused_anew(refused);
  save_snapshot();
  if (up) teller_->connected(caretaker_->world(), now());
  tell_moved_aside();
}

// --------------------------------------------------------------------------------------------------------------- state

// The newest that can be read and, if a time is given, is of no later one.
Service::Restored Service::newest_snapshot(std::optional<Instant> at_most) {
  for (std::uint64_t below = Journal::no_bound; journal_;) {
    const Result<SavedSnapshot> saved = journal_->snapshot(below);
    if (!saved || saved->bytes.empty()) break;
    below = saved->number;
    Result<Caretaker> restored = Caretaker::restore(plan_, saved->bytes);
    if (!restored) {
      log_.error("the journal's snapshot: " + restored.error().text + "; " + restored.error().hint);
      continue;
    }
    if (at_most && restored->world().now > *at_most) continue;
    return {std::make_unique<Caretaker>(*std::move(restored)), below};
  }
  return {};
}

// Why not stands in no snapshot.
Told Service::say_whether_journaled() {
  return journal_ ? apply(JournaledInput::Kind::journal_writable)
                  : apply(JournaledInput::Kind::journal_unwritable, {}, journal_trouble_);
}

// False: a part of the journal cannot be read.
bool Service::each_input_after(std::uint64_t number, const std::function<void(const JournaledInput&)>& take) {
  const Result<void> whole = journal_ ? journal_->each_input_after(number, take) : Result<void>();
  if (!whole) log_.error("a part of the journal's inputs cannot be read: " + whole.error().text);
  return whole.has_value();
}

Told Service::apply_again(Caretaker& anew, const JournaledInput& input) const {
  Told told = anew.step(input);
  if (told.applied) return told;
  const auto command = as_command_under(input, plan_->topic_root);
  return command ? anew.step(*command) : told;
}

// The newest snapshot, then every input after it. What they told was committed with them and is not told again.
void Service::recover() {
  Restored newest = newest_snapshot(std::nullopt);
  const std::uint64_t number = last_number_ = snapshot_number_ = newest.number;
  caretaker_ = std::move(newest.caretaker);
  // A site file that changed meanwhile is a reload, and what that tells is new. So is what the inputs since the
  // snapshot make of alarms under it, where that is not what they told under the old one.
  // What a part of the journal told that cannot be read any more is compared in the same way.
  Told at_reload;
  std::optional<ToldAlarms> told;
  const bool reloaded = caretaker_ && caretaker_->world().reloaded;
  if (reloaded) {
    at_reload = caretaker_->step({number, caretaker_->world().now, JournaledInput::Kind::tick, {}, {}, false});
  }
  if (caretaker_) told.emplace(caretaker_->world());
  std::uint64_t again = 0;
  RefusedAnew refused;
  const bool whole = each_input_after(number, [&](const JournaledInput& input) {
    if (!caretaker_) caretaker_ = std::make_unique<Caretaker>(plan_, input.at);
    const Told once_more = apply_again(*caretaker_, input);
    if (reloaded) refused.take(input, once_more);
    ++again;
  });
  if (journal_) last_number_ = journal_->last_number();
  const bool goes_on = caretaker_ != nullptr;
  Told at_first;  // what is due already on the first day of the watch
  if (options_.clock_topic.empty()) {
    clock_.emplace(read_clocks(), goes_on ? std::optional(caretaker_->world().now) : std::nullopt);
  }
  if (goes_on) {
    log_.info(fmt::format("goes on from {}; {} inputs applied again", format_rfc3339(caretaker_->world().now), again));
  } else {  // the journal's first input says when it all began
    const JournaledInput first{++last_number_, now(), JournaledInput::Kind::tick, {}, {}, false};
    caretaker_ = std::make_unique<Caretaker>(plan_, first.at);
    at_first = caretaker_->step(first);
    keep(first);
  }
  snapshot_at_ = now();
  // Soon and not at once: a clock that is set right meanwhile must not find the years of a wrong one gone.
  thinned_at_ = snapshot_at_ - one_day + one_hour;
  tell(goes_on ? at_reload : at_first, false, nullptr);
  if (told && (reloaded || !whole)) {
    const auto read = journal_->each_event_after(number, [&](std::string_view event) {
      told->take(event);
      refused.take(event);
    });
    if (!read) log_.error("the journal's events: " + read.error().text);
    tell(caretaker_->tell(told->to_tell(caretaker_->world())), false, nullptr);
  }
  // Until the broker link is up no sensor falls silent, nor in the downtime.
  apply_at(caretaker_->world().now, JournaledInput::Kind::link_down);
  say_whether_journaled();
  if (!whole) tell_part_unread();
  tell_refused_anew(refused);
  save_snapshot();
  tell_moved_aside();
}

// One boot into a wrong year, and then the right time came: the state is made anew as of now, so that calendar work
// does not wait for that year. What was said in between counts as said now; readings of an unknown time are left out.
void Service::set_time_back(Instant at) {
  log_.warning(fmt::format("the time is {} and was thought to be later; the state is made anew from the journal",
                           format_rfc3339(at)));
  flush_batch();
  const ToldAlarms told(caretaker_->world());
  auto [anew, number] = newest_snapshot(at);
  const auto take = [&, &anew = anew](const JournaledInput& input) {
    const auto counts = as_of(input, at, plan_->topic_root);
    if (!counts) return;
    if (!anew) anew = std::make_unique<Caretaker>(plan_, counts->at);
    (void)apply_again(*anew, *counts);
  };
  each_input_after(number, take);
  for (const Unwritten& unwritten : unwritten_) take(unwritten.input);
  if (!anew) anew = std::make_unique<Caretaker>(plan_, at);
  *caretaker_ = std::move(*anew);
  const bool up = link_ && link_->connected();
  apply(up ? JournaledInput::Kind::link_up : JournaledInput::Kind::link_down);
  tell(caretaker_->tell(told.to_tell(caretaker_->world())), false, nullptr);
  save_snapshot();
  if (up) teller_->connected(caretaker_->world(), now());
}

}  // namespace overwinter
