// The engine's whole state, in one place and plain; the files of this folder are the functions on it.
// rules/engine alone writes it. Others read it, through Engine::world(), which gives it out const: the daemon prints
// levels, notices and explanations from it.
#pragma once

#include <algorithm>
#include <cstdint>
#include <deque>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "rules/engine/board.h"
#include "rules/engine/event.h"
#include "rules/engine/input.h"
#include "rules/engine/plan.h"
#include "rules/engine/timers.h"
#include "rules/engine/track.h"
#include "rules/engine/wiring.h"
#include "rules/gear/model.h"
#include "rules/gear/watch.h"
#include "rules/language/window.h"

namespace overwinter {

// A reading as it was accepted: of a sensor, or by hand.
struct LastReading {
  Instant at{};
  double value = 0;
  bool present = false;

  template <class A>
  void archive(A& a) {
    a(at, value, present);
  }
};

// How far what a number should follow has moved since it repeats.
struct Moved {
  bool known = false;
  double low = 0, high = 0;
  double unsure = 0;  // the least plus_minus of it

  void take(double value, double plus_minus) {
    low = known ? std::min(low, value) : value;
    high = known ? std::max(high, value) : value;
    unsure = known ? std::min(unsure, plus_minus) : plus_minus;
    known = true;
  }
  // More than that: 3 % exactly is none the more for being rounded.
  bool by(double enough) const { return high - low > std::max(enough, unsure) * (1 + 1e-9); }

  template <class A>
  void archive(A& a) {
    a(known, low, high, unsure);
  }
};

// Fingerprints of what something is of. Up to layout 8 they were that many texts, and are unknown (0) when read from
// it.
template <class A, class... T>
void archive_sources(A& a, std::size_t texts, T&... sources) {
  if (a.layout() >= 9) return a(sources...);
  if constexpr (A::reading) {
    for (std::string text; texts > 0; --texts) a(text);
  }
}

// The former sensor, of that fingerprint, was this one taken in another unit.
bool was_taken_in_another_unit(const Sensor& sensor, std::uint64_t former);

// What is known of one measured slot's sources beyond its present value.
struct SeriesState {
  std::uint64_t source = 0;  // fingerprint of its sensor; another starts a new series
  Instant began{};           // of a series that a reload started
  LastReading sensor, hand;
  LastReading battery, link;  // of the sensor itself, in the units of its binding
  LastReading before;         // the sensor's, before its last one
  Instant stamped{};          // the sensor's last reading by its own clock, up to 5 min ahead of sensor.at
  bool silent = false;
  bool heard = false;  // ever, since the series began
  Instant silent_since{};
  std::uint64_t rejected = 0;    // since the last event that told of it
  std::string rejected_because;  // the last of them
  Instant rejected_told{};
  // stuck (stuck.cpp)
  double step = 0;  // smallest change seen: the sensor's own resolution
  Instant repeats_since{};
  std::uint32_t repeats = 0;
  Moved expected_moved, outdoors_moved;
  bool stuck = false;
  // shared lies (shared_jump.cpp)
  enum class Jump : std::uint8_t { none, held, shared };
  Jump jump = Jump::none;
  double good_deviation = 0;  // of the last good reading
  bool good_known = false;
  double shared_value = 0, shared_deviation = 0;  // where its jump was found to be shared
  Instant held_until{};
  Track track;  // of numbers

  template <class A>
  void archive(A& a) {
    archive_sources(a, 1, source);
    a(began, sensor, hand, battery, link, before, stamped, silent, heard, silent_since, rejected, rejected_because,
      rejected_told, step, repeats_since, repeats, expected_moved, outdoors_moved, stuck, jump, good_deviation,
      good_known, shared_value, shared_deviation, held_until, track);
    if constexpr (A::reading) {
      if (jump > Jump::shared) a.fail();
    }
  }
};

// By slot. Only measured ones have a series: most slots are computed or parameters, and a series takes a kilobyte.
class SeriesOfSlots {
 public:
  explicit SeriesOfSlots(const std::vector<Slot>& slots);

  SeriesState& operator[](std::uint32_t slot) { return states_[place_[slot]]; }
  const SeriesState& operator[](std::uint32_t slot) const { return states_[place_[slot]]; }

 private:
  std::vector<std::uint32_t> place_;  // in states_, by slot; no_index: not measured
  std::vector<SeriesState> states_;
};

struct RecordedAct {
  Instant at{};
  std::vector<std::pair<std::string, double>> values;  // parameter, canonical
  std::string by;

  template <class A>
  void archive(A& a) {
    a(at, values, by);
  }
};

// For a person, told by the digest (question.h).
struct Question {
  std::string text;
  std::string dated;     // the parameter that dates the work which would answer it; empty: none does
  Instant newer_than{};  // and what it must be newer than

  template <class A>
  void archive(A& a) {
    a(text, dated, newer_than);
  }
};

struct EntityState {
  Instant out_since{};  // a person took it out of service; Instant{}: it is in service
  std::string out_why;
  std::map<std::string, RecordedAct> acts;  // newest of each name
  Instant gateway_back{};                   // of a gateway: when it was last seen to return
  Instant updated{};                        // its model
  std::vector<Question> questions;          // of this week, in order
  std::string told_as;                      // the name that what stands was said by; a section of its own in snapshots

  bool out_of_service() const { return out_since != Instant{}; }

  template <class A>
  void archive(A& a) {
    a(out_since, out_why, acts, gateway_back, updated, questions);
  }
};

// A delay that runs on elapsed time; unknown stops it.
struct Delay {
  bool running = false;     // the condition holds, or held when it became unknown
  Instant began{};          // when it turned true
  Span elapsed{};           // before `resumed`
  Instant resumed = never;  // never: stopped by unknown, or withheld
  Instant stopped{};
  std::vector<std::uint32_t> waits;  // indexes in sampled_slots: the condition rests on a single reading of these

  template <class A>
  void archive(A& a) {
    a(running, began, elapsed, resumed, stopped, waits);
  }
};

enum class AlarmLife : std::uint8_t { normal, unacknowledged, acknowledged, cleared_unacknowledged };

struct AlarmState {
  AlarmLife life = AlarmLife::normal;
  bool told = false;  // this activation reached a person (it was not shelved, suppressed or out of service)
  bool suppressed = false;
  Instant shelved_until{};  // Instant{}: not shelved
  std::string shelved_why;
  Delay raising, clearing;
  Instant first_raised{}, since{}, raised{}, cleared{};
  std::string id, title, message;
  Instant respond_by{};
  // told of an ended alarm after a reload, when the plan no longer knows the priority
  Priority priority = Priority::medium;
  // Fingerprints of what these windows are of.
  std::uint64_t raise_source = 0, clear_source = 0, title_source = 0, message_source = 0;
  std::vector<Window> raise_windows, clear_windows, title_windows, message_windows;
  Instant unknown_since{};  // whether it is over; Instant{}: that is known
  bool holds = false;       // in this step: its condition is known to hold

  bool active() const { return life == AlarmLife::unacknowledged || life == AlarmLife::acknowledged; }

  template <class A>
  void archive(A& a) {
    a(life, told, suppressed, shelved_until, shelved_why, raising, clearing, first_raised, since, raised, cleared, id,
      title, message, respond_by, priority);
    archive_sources(a, 2, raise_source, clear_source, title_source, message_source);
    a(raise_windows, clear_windows, title_windows, message_windows, unknown_since);
    if constexpr (A::reading) {
      if (life > AlarmLife::cleared_unacknowledged || priority > Priority::critical) a.fail();
    }
  }
};

enum class ReminderLife : std::uint8_t { waiting, due, overdue, done };

struct ReminderState {
  ReminderLife life = ReminderLife::waiting;  // due: told; done: a single date that is over
  std::optional<Instant> due;                 // next, or present; of a single date that is over: that date
  std::optional<Instant> told;
  std::optional<Instant> completed;  // last done or skipped
  bool done_was_true = false;        // evidence counts when it turns true
  bool due_was_true = false;         // when it was known last
  std::string message;
  std::uint64_t due_source = 0, done_source = 0, good_source = 0, message_source = 0;
  std::vector<Window> due_windows, done_windows, good_windows, message_windows;

  template <class A>
  void archive(A& a) {
    a(life, due, told, completed, done_was_true, due_was_true, message);
    archive_sources(a, 3, due_source, done_source, good_source, message_source);
    a(due_windows, done_windows, good_windows, message_windows);
    if constexpr (A::reading) {
      if (life > ReminderLife::done) a.fail();
    }
  }
};

// An alarm of the state whose rule or gear is no longer in the plan; told and dropped at the next step.
struct OrphanAlarm {
  std::string rule, gear;
  AlarmState state;

  template <class A>
  void archive(A& a) {
    a(rule, gear, state);
  }
};

struct SeasonState {
  std::optional<Instant> lay_up;    // told by command; wins over the site file
  std::optional<Instant> returned;  // the person said that the camper is back
  bool laid_up = false;             // as last worked out

  template <class A>
  void archive(A& a) {
    a(lay_up, returned, laid_up);
  }
};

struct DigestState {
  Instant next{};
  std::uint64_t alarms_raised = 0, reminders_done = 0;  // this week

  template <class A>
  void archive(A& a) {
    a(next, alarms_raised, reminders_done);
  }
};

struct AnsweredCommand {
  Instant received{};
  std::string id, command, why, answer;
  Instant at{};
  bool accepted = false;

  template <class A>
  void archive(A& a) {
    a(received, id, command, why, answer, at, accepted);
  }
};

// The last day or more in which nothing could be heard: the program, its computer or the broker was down.
struct Gap {
  Instant from{}, until{};  // Instant{}: there was none

  template <class A>
  void archive(A& a) {
    a(from, until);
  }
};

// Events of one pass, sorted into plan order before they leave.
struct PassEvent {
  std::uint64_t order = 0;
  Event event;
};
enum class EventGroup : std::uint8_t { command, sensor, alarm, reminder, digest };

struct World {
  explicit World(std::shared_ptr<const Plan> the_plan, Instant start);

  std::shared_ptr<const Plan> plan;
  Wiring wiring;
  Board board;
  double standard_pressure = 0;  // Pa, at the site's altitude
  Instant now{}, started{};
  Instant link_since{};  // when the broker link came up; while it is down, when it went
  bool link_up = true;
  Gap gap;
  bool journal_writable = true;
  std::string journal_trouble;  // why not; in no snapshot, for the service says it anew
  std::uint64_t clamped = 0;    // inputs that were earlier than the one before

  SeriesOfSlots series;
  std::vector<EntityState> entities;
  std::vector<std::unique_ptr<Model>> models;  // by entity
  std::vector<AlarmState> alarms;
  std::vector<ReminderState> reminders;
  std::vector<OrphanAlarm> orphans;
  bool begun = false;     // its first pass was: it looks at everything, with the message of its instant
  bool reloaded = false;  // restored with another plan: the next step looks at everything
  SeasonState season;
  std::uint64_t times_told = 0;  // acts and seasons, since this world was made
  DigestState digest;
  std::deque<AnsweredCommand> answered;
  Timers timers;
  std::vector<std::uint32_t> jumped_sensors;  // held or shared, in order; follows from `series` (shared_jump.cpp)

  // of the present step
  Output out;
  std::uint32_t read_by_hand = no_index;  // the entity of a hand reading
  std::uint32_t acted_on = no_index;      // the entity of an act that counts
  std::uint32_t gauged = no_index;        // the slot of a hand reading that agrees with its sensor
  std::vector<PassEvent> pass;
  std::vector<std::uint32_t> judged;  // slots whose current reading is to be judged in this pass
  std::vector<std::uint64_t> entity_dirty, alarm_dirty, reminder_dirty;  // step stamps
  std::vector<std::uint32_t> dirty_entities, dirty_alarms, dirty_reminders;
  std::vector<std::uint32_t> silence_changed, gateways_changed;  // entities to settle (silence.cpp)

  const Entity& entity(std::uint32_t index) const { return plan->entities[index]; }

  void emit(EventGroup group, std::uint32_t index, Event event);
  void judge(std::uint32_t slot);  // adds to `judged`, once
  bool watch(std::uint32_t entity, Watch watch) const;
  // Looks at its alarms too: what they tell of it may have changed where the answer has not.
  void set_watch(std::uint32_t entity, Watch watch, bool is);
  void mark_entity(std::uint32_t index);
  void mark_alarm(std::uint32_t index);
  void mark_reminder(std::uint32_t index);

  // Timer ids: sensors, entities, alarms, reminders, then the single ones.
  std::uint32_t sensor_timer(std::uint32_t sensor) const { return sensor; }
  std::uint32_t entity_timer(std::uint32_t index) const {
    return static_cast<std::uint32_t>(plan->sensors.size()) + index;
  }
  std::uint32_t alarm_timer(std::uint32_t index) const {
    return entity_timer(static_cast<std::uint32_t>(plan->entities.size())) + index;
  }
  std::uint32_t reminder_timer(std::uint32_t index) const {
    return alarm_timer(static_cast<std::uint32_t>(plan->alarms.size())) + index;
  }
  std::uint32_t clock_timer() const { return reminder_timer(static_cast<std::uint32_t>(plan->reminders.size())); }
  std::uint32_t season_timer() const { return clock_timer() + 1; }
  std::uint32_t digest_timer() const { return clock_timer() + 2; }
  std::uint32_t timer_count() const { return clock_timer() + 3; }
};

}  // namespace overwinter
