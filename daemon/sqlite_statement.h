// A thin edge to SQLite: statements that bind and read in order, and faults instead of codes. For .cpp files only.
#pragma once

#include <sqlite3.h>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "rules/result.h"

namespace overwinter {

inline tl::unexpected<Fault> sqlite_fault(sqlite3* db) {
  const int code = sqlite3_errcode(db);
  const char* remedy = "is the disk sound? it goes on in memory and tries again";
  if (code == SQLITE_FULL) remedy = "make room on the disk; it goes on in memory until then";
  if (code == SQLITE_READONLY) remedy = "the file or its folder is read-only; it goes on in memory";
  if (code == SQLITE_BUSY) remedy = "another program holds the file; it goes on in memory and tries again";
  if (code == SQLITE_CORRUPT || code == SQLITE_NOTADB) {
    remedy = "the file is damaged; it goes on in memory, and the next start moves the file aside";
  }
  return fault(std::string("the journal: ") + sqlite3_errmsg(db), remedy);
}

// Bytes that are no text: bound as a BLOB, so that the sqlite3 tool shows and dumps all of them.
struct Bytes {
  std::string_view bytes;
};

class Statement {
 public:
  Statement(sqlite3* db, std::string_view sql) : db_(db) {
    sqlite3_prepare_v3(db, sql.data(), static_cast<int>(sql.size()), SQLITE_PREPARE_PERSISTENT, &statement_, nullptr);
  }
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;
  Statement(Statement&& other) noexcept : db_(other.db_), statement_(std::exchange(other.statement_, nullptr)) {}
  Statement& operator=(Statement&&) = delete;
  ~Statement() { sqlite3_finalize(statement_); }

  template <class... T>
  Statement& bind(const T&... values) {
    if (statement_ != nullptr) sqlite3_reset(statement_);
    int index = 0;
    (bind_one(++index, values), ...);
    return *this;
  }

  // True: a row; false: done, or a fault (see failed()).
  bool step() {
    code_ = statement_ == nullptr ? SQLITE_ERROR : sqlite3_step(statement_);
    return code_ == SQLITE_ROW;
  }
  bool failed() const { return code_ != SQLITE_ROW && code_ != SQLITE_DONE; }
  // Runs to the end.
  Result<void> run() {
    while (step()) {
    }
    auto result = failed() ? Result<void>(sqlite_fault(db_)) : Result<void>();
    reset();
    return result;
  }

  std::int64_t integer(int column) const { return sqlite3_column_int64(statement_, column); }
  std::string text(int column) const {
    const auto* bytes = static_cast<const char*>(sqlite3_column_blob(statement_, column));
    const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement_, column));
    return bytes == nullptr ? std::string() : std::string(bytes, size);
  }
  // Ends the reading: a statement that stands on a row keeps the file from being tidied up.
  void reset() {
    if (statement_ != nullptr) sqlite3_reset(statement_);
  }

 private:
  void bind_one(int index, std::int64_t value) { sqlite3_bind_int64(statement_, index, value); }
  void bind_one(int index, std::uint64_t value) { bind_one(index, static_cast<std::int64_t>(value)); }
  void bind_one(int index, int value) { bind_one(index, std::int64_t{value}); }
  void bind_one(int index, bool value) { bind_one(index, std::int64_t{value ? 1 : 0}); }
  void bind_one(int index, double value) { sqlite3_bind_double(statement_, index, value); }
  // A view without bytes may hold no address, which SQLite would take for NULL.
  void bind_one(int index, std::string_view value) {
    sqlite3_bind_text(statement_, index, value.empty() ? "" : value.data(), static_cast<int>(value.size()),
                      SQLITE_TRANSIENT);
  }
  void bind_one(int index, const std::string& value) { bind_one(index, std::string_view(value)); }
  void bind_one(int index, Bytes value) {
    sqlite3_bind_blob(statement_, index, value.bytes.empty() ? "" : value.bytes.data(),
                      static_cast<int>(value.bytes.size()), SQLITE_TRANSIENT);
  }
  void bind_one(int index, const std::optional<std::int64_t>& value) {
    if (value) {
      bind_one(index, *value);
    } else {
      sqlite3_bind_null(statement_, index);
    }
  }

  sqlite3* db_;
  sqlite3_stmt* statement_ = nullptr;
  int code_ = SQLITE_DONE;
};

}  // namespace overwinter
