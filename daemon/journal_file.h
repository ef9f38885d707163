// The journal as a file: locked, checked, brought to this version; moved aside when it is damaged. For journal*.cpp
// only.
#pragma once

#include <sqlite3.h>

#include <memory>
#include <string>
#include <utility>

#include "daemon/journal.h"

namespace overwinter {

inline constexpr int busy_wait_ms = 2000;  // somebody may be reading a copy out of it

struct CloseDatabase {
  void operator()(sqlite3* db) const { sqlite3_close_v2(db); }
};
using Database = std::unique_ptr<sqlite3, CloseDatabase>;

// Held while the program runs; the kernel lets go of it when the process ends, however it ends.
class LockFile {
 public:
  explicit LockFile(const std::string& path);
  LockFile(LockFile&& other) noexcept : fd_(std::exchange(other.fd_, -1)), state_(other.state_) {}
  LockFile& operator=(LockFile&&) = delete;
  LockFile(const LockFile&) = delete;
  LockFile& operator=(const LockFile&) = delete;
  ~LockFile();

  enum class State : std::uint8_t { ours, anothers, impossible };
  State state() const { return state_; }
  const std::string& why() const { return why_; }  // impossible: what the system says

 private:
  int fd_;
  State state_ = State::impossible;
  std::string why_;
};

struct JournalFile {
  LockFile lock;
  Database db;  // nullptr: see trouble
  Journal::Trouble trouble = Journal::Trouble::none;
  std::string said;      // what a person should hear, on one line; empty: nothing
  std::string findings;  // of a damaged one, for the log: what SQLite says of it
};
JournalFile open_journal_file(const std::string& file, Instant now);

bool execute(sqlite3* db, const char* sql);
std::int64_t single_number(sqlite3* db, const char* sql);  // 0: no row, NULL or a fault

}  // namespace overwinter
