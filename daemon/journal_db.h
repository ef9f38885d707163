// The data base behind a journal, and what waits in memory for it. For journal*.cpp only.
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "daemon/journal.h"
#include "daemon/journal_file.h"
#include "daemon/sqlite_statement.h"

namespace overwinter {

inline std::int64_t milliseconds_of(Instant t) { return std::int64_t{t.time_since_epoch().count()}; }

// In memory until the file has it.
struct Waiting {
  struct EventRow {
    std::uint64_t number;
    Instant at;
    std::string event;
  };
  std::deque<JournaledInput> inputs;
  std::size_t bytes = 0;  // of the inputs
  std::vector<EventRow> events;
  std::deque<OutboxEntry> outbox;
  std::vector<std::uint64_t> delivered;
  std::vector<std::string> retained, not_retained;

  bool empty() const {
    return inputs.empty() && events.empty() && outbox.empty() && delivered.empty() && retained.empty() &&
           not_retained.empty();
  }
};

inline JournaledInput input_of(const Statement& row) {
  JournaledInput input;
  input.number = static_cast<std::uint64_t>(row.integer(0));
  input.at = Instant(Span(row.integer(1)));
  input.kind = static_cast<JournaledInput::Kind>(row.integer(2));
  input.topic = row.text(3);
  input.retained = row.integer(4) != 0;
  input.payload = row.text(5);
  return input;
}

inline constexpr std::string_view select_inputs =
    "SELECT i.number, i.at, i.kind, t.name, i.retained, i.payload FROM inputs i LEFT JOIN topics t ON t.id = i.topic ";

struct Journal::Db {
  explicit Db(JournalFile opened)
      : lock(std::move(opened.lock)),
        db(std::move(opened.db)),
        begin_now(db.get(), "BEGIN IMMEDIATE"),
        commit_now(db.get(), "COMMIT"),
        insert_input(db.get(), "INSERT INTO inputs (number, at, kind, topic, retained, payload) VALUES (?,?,?,?,?,?)"),
        insert_event(db.get(), "INSERT INTO events (number, at, event) VALUES (?,?,?)"),
        insert_outbox(db.get(),
                      "INSERT INTO outbox (id, topic, payload, response_topic, correlation) VALUES (?,?,?,?,?)"),
        delete_outbox(db.get(), "DELETE FROM outbox WHERE id = ?"),
        bound_outbox(db.get(), "DELETE FROM outbox WHERE id <= ?"),
        insert_topic(db.get(), "INSERT INTO topics (name) VALUES (?)"),
        find_topic(db.get(), "SELECT id FROM topics WHERE name = ?"),
        insert_retained(db.get(), "INSERT OR IGNORE INTO retained (topic) VALUES (?)"),
        delete_retained(db.get(), "DELETE FROM retained WHERE topic = ?") {
    last = static_cast<std::uint64_t>(
        single_number(db.get(),
                      "SELECT max(coalesce((SELECT max(number) FROM inputs), 0), coalesce((SELECT max(number) FROM "
                      "snapshots), 0))"));
    last_outbox = static_cast<std::uint64_t>(single_number(db.get(), "SELECT max(id) FROM outbox"));
  }

  Result<std::int64_t> topic_id(const std::string& name);
  Result<void> write(const JournaledInput& input);
  Result<void> write(const OutboxEntry& entry);
  Result<void> write_what_waits();
  Result<void> write_marks();  // of delivered entries and retained topics
  // BEGIN IMMEDIATE ... COMMIT around `what`, rolled back on a fault.
  template <class F>
  Result<void> transaction(bool synced, const F& what);
  bool set_synced(bool synced);

  LockFile lock;
  Database db;
  Statement begin_now, commit_now, insert_input, insert_event, insert_outbox, delete_outbox, bound_outbox, insert_topic,
      find_topic, insert_retained, delete_retained;
  std::map<std::string, std::int64_t> topic_ids;
  Waiting waiting;
  std::uint64_t last = 0, last_outbox = 0, lost = 0;
  std::uint64_t thinned_to = 0;  // commands up to this number stay, and need not be passed over again
  std::int64_t refused_to = 0;   // events up to this id were looked at by forget_refused
  bool is_synced = true;
};

inline bool Journal::Db::set_synced(bool synced) {
  if (synced == is_synced) return true;
  if (!execute(db.get(), synced ? "PRAGMA synchronous = FULL" : "PRAGMA synchronous = NORMAL")) return false;
  is_synced = synced;
  return true;
}

template <class F>
Result<void> Journal::Db::transaction(bool synced, const F& what) {
  if (!set_synced(synced)) return sqlite_fault(db.get());
  if (auto begun = begin_now.run(); !begun) {
    // No second wait for the same lock: the loop has a watchdog to feed.
    if (sqlite3_errcode(db.get()) == SQLITE_BUSY) sqlite3_busy_timeout(db.get(), 0);
    return begun;
  }
  sqlite3_busy_timeout(db.get(), busy_wait_ms);
  Result<void> done = what();
  if (done) done = commit_now.run();
  if (!done) {
    execute(db.get(), "ROLLBACK");
    topic_ids.clear();  // ids that were given in it are free again
  }
  if (!synced) set_synced(true);  // now, so that what is told next need not wait for it; on a fault it will
  return done;
}

}  // namespace overwinter
