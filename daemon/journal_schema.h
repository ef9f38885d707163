// The tables of the journal, by version: what docs/journal.md describes.
#pragma once

#include <array>

namespace overwinter {

// PRAGMA application_id of a journal: the letters OvWi. A file with tables and another id is not ours.
inline constexpr int journal_application_id = 0x4F765769;

// Migration i brings a file of version i to version i + 1; PRAGMA user_version holds the version. Old ones stay as they
// are: files in the field went through them.
inline constexpr std::array journal_migrations{
    // topics: each once, for a topic is longer than a payload.
    // inputs: what was applied, in order. kind: JournaledInput::Kind. at: ms since 1970.
    // events: what the engine said, one JSON object a row; number: of the input that made it happen.
    // snapshots: the state after the input `number`; the newest two are kept.
    // outbox: told and not yet with the broker. retained: topics that ever held a retained message.
    // hourly: what is left of readings that are older than keep_raw.
    R"sql(
      CREATE TABLE topics (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);
      CREATE TABLE inputs (number INTEGER PRIMARY KEY, at INTEGER NOT NULL, kind INTEGER NOT NULL, topic INTEGER,
                           retained INTEGER NOT NULL DEFAULT 0, payload BLOB);
      CREATE TABLE events (id INTEGER PRIMARY KEY, number INTEGER NOT NULL, at INTEGER NOT NULL, event TEXT NOT NULL);
      CREATE TABLE snapshots (number INTEGER PRIMARY KEY, bytes BLOB NOT NULL);
      CREATE TABLE outbox (id INTEGER PRIMARY KEY, topic TEXT NOT NULL, payload TEXT NOT NULL,
                           response_topic TEXT NOT NULL DEFAULT '', correlation BLOB);
      CREATE TABLE retained (topic TEXT PRIMARY KEY) WITHOUT ROWID;
      CREATE TABLE hourly (series TEXT NOT NULL, hour INTEGER NOT NULL, minimum REAL NOT NULL, mean REAL NOT NULL,
                           maximum REAL NOT NULL, count INTEGER NOT NULL, PRIMARY KEY (series, hour)) WITHOUT ROWID;
    )sql",
};

}  // namespace overwinter
