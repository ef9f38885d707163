// The journal: a SQLite file that holds what was applied, in its order, what was told, and what is still to be sent.
// The only files that know SQLite are journal*.cpp.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/journaled_input.h"
#include "rules/engine/event.h"
#include "rules/result.h"

namespace overwinter {

// A message that was told and must arrive (QoS 1, not retained): it stays here until the broker has it.
struct OutboxEntry {
  std::uint64_t id = 0;
  std::string topic, payload;
  std::string response_topic, correlation;  // of an answer to an MQTT 5 command that asked for one
  std::string until_written{};              // said instead of payload while no file has it; empty: nothing else
};

struct SavedSnapshot {
  std::uint64_t number = 0;  // of the last input in it
  std::string bytes;         // empty: none
};

struct HourlyValue {
  std::string series;  // "GEAR/QUANTITY"
  Instant hour{};
  double minimum = 0, mean = 0, maximum = 0;
  std::uint64_t count = 0;
};

class Journal {
 public:
  static constexpr std::uint64_t no_bound = std::uint64_t{1} << 62;
  enum class Trouble : std::uint8_t { none, held, unusable };
  struct Opened;
  // Takes the file's lock, checks the file and brings it to this version. A damaged one is moved aside (its name is in
  // `said`) and a new one begun. Faults: another instance holds it (trouble: held); the folder cannot be written.
  static Opened open(const std::string& file, Instant now);

  Journal(Journal&&) noexcept;
  Journal& operator=(Journal&&) noexcept;
  ~Journal();

  // --- Recovery
  // The newest snapshot whose number is below `below`: an older one if the newest cannot be read.
  Result<SavedSnapshot> snapshot(std::uint64_t below = no_bound);
  // In the file, and then those that wait for it. Where a part of the file cannot be read, those behind it are taken
  // all the same, and the fault tells of the part.
  Result<void> each_input_after(std::uint64_t number, const std::function<void(const JournaledInput&)>& take);
  // What the inputs after `number` told: JSON objects, in order.
  Result<void> each_event_after(std::uint64_t number, const std::function<void(std::string_view)>& take);
  std::uint64_t last_number() const;  // of the inputs; 0: none

  // --- Running
  void add(const JournaledInput& input);  // into the waiting batch, in memory
  std::size_t waiting() const;            // inputs in it
  std::size_t waiting_bytes() const;      // of their topics and payloads
  // One transaction: the waiting batch, then what was told. synced: it is on the disk when this returns; else it is
  // safe from a kill, and the disk has it soon. On a fault everything still waits, events and outbox too, and goes with
  // the next commit. The entries' ids are filled in, also then; what they say until written is emptied once they are.
  Result<void> commit(const std::vector<Event>& events, std::vector<OutboxEntry>& outbox, bool synced);
  // The state after the input `number`, synced; what waits is committed with it.
  Result<void> save_snapshot(std::uint64_t number, std::string_view bytes, unsigned kept = 2);
  // Inputs that left the batch because the file could not be written for too long: 100 000 wait at most, and 32 MiB.
  // A hole: a snapshot closes it.
  std::uint64_t lost() const;

  // What is still to be sent, oldest first, whether the file could be written or not. At most limits::outbox_messages;
  // beyond it the oldest leave.
  Result<std::vector<OutboxEntry>> outbox();
  // On a fault it stands done in memory, and in the file with the next commit; the same of the next two.
  Result<void> delivered(std::uint64_t id);

  Result<void> remember_retained(const std::vector<std::string>& topics);
  Result<std::vector<std::string>> retained_ever();
  Result<void> forget_retained(const std::string& topic);

  // --- Retention
  // Inputs older than `before` that the oldest snapshot holds already, in order: recovery needs them no more.
  Result<std::vector<JournaledInput>> messages_before(Instant before, std::size_t most);
  // The oldest of the same, whatever their age, without those whose topic begins with `commands`. Called again, it goes
  // on behind those that it gave before.
  Result<std::vector<JournaledInput>> oldest_readings(std::string_view commands, std::size_t most);
  // Commands that were refused, and the events that say so: a portion of those that the older of the two newest
  // snapshots holds. Called again, it goes on behind that portion. How many of its events it looked at; 0: no more.
  Result<std::size_t> forget_refused(std::size_t most);
  Result<void> replace_by_hourly(const std::vector<JournaledInput>& messages, const std::vector<HourlyValue>& values);
  // Hourly values and events older than this leave, and topics that no input names.
  Result<void> forget_before(Instant before);
  // Of the file, without what is free in it and will be used again.
  std::uint64_t bytes_used();
  // The topic that most of the newest inputs name, and how many of them do.
  struct Share {
    std::string topic;
    std::uint64_t inputs = 0, of = 0;
  };
  Share loudest_topic();

 private:
  struct Db;
  Result<void> write_marks();
  explicit Journal(std::unique_ptr<Db> db);
  std::unique_ptr<Db> db_;
};

struct Journal::Opened {
  std::unique_ptr<Journal> journal;  // nullptr: see trouble
  Trouble trouble = Trouble::none;
  std::string said;      // what a person should hear of it, on one line; empty: nothing
  std::string findings;  // of a damaged one, for the log: what SQLite says of it
};

}  // namespace overwinter
