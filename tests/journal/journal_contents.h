// What the tests of the journal put in and take out.
#pragma once

#include <gtest/gtest.h>
#include <sqlite3.h>

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "daemon/journal.h"

namespace overwinter {

inline Instant test_start() { return *parse_rfc3339("2026-10-31T18:00:00Z"); }

inline JournaledInput message(std::uint64_t number, std::string topic, std::string payload) {
  JournaledInput input;
  input.number = number;
  input.at = test_start() + Span(number * 1000);
  input.kind = JournaledInput::Kind::message;
  input.topic = std::move(topic);
  input.payload = std::move(payload);
  return input;
}

inline std::unique_ptr<Journal> open_sound(const std::string& file) {
  Journal::Opened opened = Journal::open(file, test_start());
  EXPECT_EQ(opened.said, "");
  EXPECT_EQ(opened.trouble, Journal::Trouble::none);
  return std::move(opened.journal);
}

inline std::vector<JournaledInput> inputs_after(Journal& journal, std::uint64_t number) {
  std::vector<JournaledInput> inputs;
  const Result<void> read = journal.each_input_after(number, [&](const JournaledInput& i) { inputs.push_back(i); });
  EXPECT_TRUE(read.has_value());
  return inputs;
}

inline Result<void> commit(Journal& journal, bool synced = false) {
  std::vector<OutboxEntry> none;
  return journal.commit({}, none, synced);
}

// The first column of the first row, through a connection of its own, as a person with the sqlite3 tool sees it.
inline std::string asked_with_sqlite(const std::string& file, const std::string& sql) {
  sqlite3* db = nullptr;
  std::string answer = "cannot be opened";
  if (sqlite3_open_v2(file.c_str(), &db, SQLITE_OPEN_READWRITE, nullptr) == SQLITE_OK) {
    answer.clear();
    const auto take = [](void* into, int, char** values, char**) {
      auto& text = *static_cast<std::string*>(into);
      if (text.empty() && values[0] != nullptr) text = values[0];
      return 0;
    };
    char* error = nullptr;
    if (sqlite3_exec(db, sql.c_str(), take, &answer, &error) != SQLITE_OK) answer = error;
    sqlite3_free(error);
  }
  sqlite3_close(db);
  return answer;
}

}  // namespace overwinter
