#include "daemon/journal_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <system_error>

#include "daemon/journal_schema.h"
#include "daemon/sqlite_statement.h"

namespace overwinter {
namespace {

enum class Opening : std::uint8_t { sound, damaged, refused };

std::string system_says(int error) { return std::generic_category().message(error); }

// Damage, or trouble around the file (no memory, no room, held by another) that says nothing of what is in it?
bool is_damage(int extended_code) {
  switch (extended_code & 0xff) {
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      return true;
    case SQLITE_IOERR:
      return extended_code == SQLITE_IOERR_READ || extended_code == SQLITE_IOERR_SHORT_READ ||
             extended_code == SQLITE_IOERR_CORRUPTFS;
    default:
      return false;
  }
}

// What a statement that failed says of the file.
Opening blame(sqlite3* db, std::string& why) {
  why = sqlite3_errmsg(db);
  return is_damage(sqlite3_extended_errcode(db)) ? Opening::damaged : Opening::refused;
}

Opening check(sqlite3* db, std::string& why) {
  Statement statement(db, "PRAGMA quick_check(1)");
  if (!statement.bind().step()) return blame(db, why);
  why = statement.text(0);
  return why == "ok" ? Opening::sound : Opening::damaged;
}

// A sound file may still be none of ours, or of a later version: such a one is left as it is.
Opening recognize(sqlite3* db, std::string& why) {
  const std::int64_t version = single_number(db, "PRAGMA user_version");
  const bool is_new = version == 0 && single_number(db, "SELECT count(*) FROM sqlite_schema") == 0;
  if (!is_new && single_number(db, "PRAGMA application_id") != journal_application_id) {
    why = "it is a data base of another program";
    return Opening::refused;
  }
  if (version > static_cast<std::int64_t>(journal_migrations.size())) {
    why = fmt::format("a newer version of the program made it (tables {}, this one knows {}); it was not touched",
                      version, journal_migrations.size());
    return Opening::refused;
  }
  return Opening::sound;
}

Opening migrate(sqlite3* db, std::string& why) {
  const auto version = static_cast<std::size_t>(single_number(db, "PRAGMA user_version"));
  for (std::size_t v = version; v < journal_migrations.size(); ++v) {
    const std::string step =
        fmt::format("BEGIN IMMEDIATE; {} PRAGMA application_id = {}; PRAGMA user_version = {}; COMMIT;",
                    journal_migrations[v], journal_application_id, v + 1);
    if (execute(db, step.c_str())) continue;
    const Opening opening = blame(db, why);
    execute(db, "ROLLBACK");
    return opening;
  }
  return Opening::sound;
}

// A journal begins with a zero among its first bytes, and so does what is left of one after damage by the disk. What
// begins with text only is another's file, named by mistake.
bool is_text(const std::string& file) {
  std::array<char, 512> first{};
  std::ifstream in(file, std::ios::binary);
  in.read(first.data(), first.size());
  const auto is_of_text = [](char c) {
    return static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\r' || c == '\t';
  };
  return in.gcount() > 0 && std::all_of(first.begin(), first.begin() + in.gcount(), is_of_text);
}

Opening open_database(const std::string& file, Database& into, std::string& why) {
  std::error_code error;
  const auto size = std::filesystem::file_size(file, error);
  if (!error && size == 0) {  // SQLite would take it for a new one, and throw away a log beside it
    why = "it is empty";
    return Opening::damaged;
  }
  if (std::filesystem::is_directory(file, error)) {
    why = "it is a folder; name a file in it";
    return Opening::refused;
  }
  if (is_text(file)) {
    why = "it is a text file and no journal; it was not touched; name another file";
    return Opening::refused;
  }
  sqlite3* db = nullptr;
  const int code = sqlite3_open_v2(file.c_str(), &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, nullptr);
  into.reset(db);
  if (db == nullptr) {
    why = "no memory";
    return Opening::refused;
  }
  if (code != SQLITE_OK) return blame(db, why);
  // Until it is known to be ours and sound, closing it changes nothing in it and leaves the log beside it.
  sqlite3_db_config(db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
  sqlite3_busy_timeout(db, busy_wait_ms);
  if (const Opening checked = check(db, why); checked != Opening::sound) return checked;
  if (const Opening known = recognize(db, why); known != Opening::sound) return known;
  if (sqlite3_db_readonly(db, "main") == 1) {
    why = "it is read-only";
    return Opening::refused;
  }
  if (!execute(db, "PRAGMA journal_mode = WAL") || !execute(db, "PRAGMA synchronous = FULL")) return blame(db, why);
  if (const Opening migrated = migrate(db, why); migrated != Opening::sound) return migrated;
  sqlite3_db_config(db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 0, nullptr);
  return Opening::sound;
}

// What was a journal, and its companions, under another name; nothing is deleted or written over. Empty: not possible.
std::string move_aside(const std::string& file, Instant now) {
  const std::string first = file + ".damaged-" + format_rfc3339(now);
  std::string aside = first;
  std::error_code error;
  for (int again = 2; std::filesystem::exists(aside, error); ++again) aside = fmt::format("{}-{}", first, again);
  std::filesystem::rename(file, aside, error);
  if (error) return {};
  for (const char* companion : {"-wal", "-shm", "-journal"}) {
    std::filesystem::rename(file + companion, aside + companion, error);
  }
  return aside;
}

}  // namespace

LockFile::LockFile(const std::string& path) : fd_(::open(path.c_str(), O_CREAT | O_RDWR | O_CLOEXEC, 0640)) {
  if (fd_ >= 0 && ::flock(fd_, LOCK_EX | LOCK_NB) == 0) {
    state_ = State::ours;
    return;
  }
  const int error = errno;
  if (fd_ >= 0 && error == EWOULDBLOCK) state_ = State::anothers;
  why_ = system_says(error);
}

LockFile::~LockFile() {
  if (fd_ >= 0) ::close(fd_);
}

bool execute(sqlite3* db, const char* sql) { return sqlite3_exec(db, sql, nullptr, nullptr, nullptr) == SQLITE_OK; }

std::int64_t single_number(sqlite3* db, const char* sql) {
  Statement statement(db, sql);
  return statement.bind().step() ? statement.integer(0) : 0;
}

JournalFile open_journal_file(const std::string& file, Instant now) {
  JournalFile opened{LockFile(file + ".lock"), nullptr, Journal::Trouble::unusable, {}, {}};
  if (opened.lock.state() == LockFile::State::anothers) {
    opened.trouble = Journal::Trouble::held;
    opened.said = fmt::format("another instance holds the journal {}", file);
    return opened;
  }
  if (opened.lock.state() == LockFile::State::impossible) {
    opened.said = fmt::format("the journal {} cannot be opened: {}; its folder must be there and writable", file,
                              opened.lock.why());
    return opened;
  }
  std::string why;
  Opening opening = open_database(file, opened.db, why);
  if (opening == Opening::damaged) {
    opened.db.reset();
    opened.findings = why;
    const std::string aside = move_aside(file, now);
    if (aside.empty()) {
      opened.said = fmt::format("the journal {} is damaged and cannot be moved aside; it was not touched", file);
      return opened;
    }
    opened.said = fmt::format("the journal {} was damaged; it stands in {} now and a new one has begun", file, aside);
    opening = open_database(file, opened.db, why);
  }
  if (opening != Opening::sound) {
    opened.db.reset();
    opened.said += fmt::format("{}the journal {} cannot be used: {}", opened.said.empty() ? "" : "; ", file, why);
    return opened;
  }
  opened.trouble = Journal::Trouble::none;
  return opened;
}

}  // namespace overwinter
