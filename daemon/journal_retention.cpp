// What leaves the journal: old inputs, as hourly values; at last those, and events.
#include "daemon/journal_db.h"

namespace overwinter {
namespace {

constexpr std::string_view held_by_older_snapshot =
    "(SELECT coalesce(min(number), 0) FROM (SELECT number FROM snapshots ORDER BY number DESC LIMIT 2)) ";

}  // namespace

Result<std::vector<JournaledInput>> Journal::messages_before(Instant before, std::size_t most) {
  std::vector<JournaledInput> out;
  Statement select(db_->db.get(), std::string(select_inputs) +
                                      "WHERE i.at < ? AND i.number <= (SELECT coalesce(min(number), 0) FROM snapshots) "
                                      "ORDER BY i.number LIMIT ?");
  select.bind(milliseconds_of(before), static_cast<std::int64_t>(most));
  while (select.step()) out.push_back(input_of(select));
  if (select.failed()) return sqlite_fault(db_->db.get());
  return out;
}

Result<std::vector<JournaledInput>> Journal::oldest_readings(std::string_view commands, std::size_t most) {
  std::vector<JournaledInput> out;
  Statement select(db_->db.get(), std::string(select_inputs) +
                                      "WHERE i.number > ?1 AND substr(coalesce(t.name, ''), 1, length(?2)) <> ?2 "
                                      "AND i.number <= " +
                                      std::string(held_by_older_snapshot) + "ORDER BY i.number LIMIT ?3");
  select.bind(db_->thinned_to, commands, static_cast<std::int64_t>(most));
  while (select.step()) out.push_back(input_of(select));
  if (select.failed()) return sqlite_fault(db_->db.get());
  if (!out.empty()) db_->thinned_to = out.back().number;
  return out;
}

Result<std::size_t> Journal::forget_refused(std::size_t most) {
  struct Row {
    std::int64_t id, number;
    bool refused;
  };
  std::vector<Row> rows;
  Statement select(db_->db.get(),
                   "SELECT id, number, instr(event, '\"event\":\"command_refused\"') FROM events "
                   "WHERE id > ?1 AND number <= " +
                       std::string(held_by_older_snapshot) + "ORDER BY id LIMIT ?2");
  select.bind(db_->refused_to, static_cast<std::int64_t>(most));
  while (select.step()) rows.push_back({select.integer(0), select.integer(1), select.integer(2) != 0});
  if (select.failed()) return sqlite_fault(db_->db.get());
  Statement event(db_->db.get(), "DELETE FROM events WHERE id = ?");
  Statement input(db_->db.get(), "DELETE FROM inputs WHERE number = ?");
  const auto done = db_->transaction(false, [&]() -> Result<void> {
    for (const Row& row : rows) {
      if (!row.refused) continue;
      if (auto erased = event.bind(row.id).run(); !erased) return erased;
      if (auto erased = input.bind(row.number).run(); !erased) return erased;
    }
    return {};
  });
  if (!done) return tl::unexpected<Fault>(done.error());
  if (!rows.empty()) db_->refused_to = rows.back().id;
  return rows.size();
}

Result<void> Journal::replace_by_hourly(const std::vector<JournaledInput>& messages,
                                        const std::vector<HourlyValue>& values) {
  Statement merge(db_->db.get(),
                  "INSERT INTO hourly (series, hour, minimum, mean, maximum, count) VALUES (?1,?2,?3,?4,?5,?6) "
                  "ON CONFLICT (series, hour) DO UPDATE SET minimum = min(minimum, ?3), maximum = max(maximum, ?5), "
                  "mean = (mean * count + ?4 * ?6) / (count + ?6), count = count + ?6");
  Statement erase(db_->db.get(), "DELETE FROM inputs WHERE number = ?");
  return db_->transaction(false, [&]() -> Result<void> {
    for (const HourlyValue& v : values) {
      merge.bind(v.series, milliseconds_of(v.hour), v.minimum, v.mean, v.maximum, v.count);
      if (auto written = merge.run(); !written) return written;
    }
    for (const JournaledInput& message : messages) {
      if (auto erased = erase.bind(message.number).run(); !erased) return erased;
    }
    return {};
  });
}

Result<void> Journal::forget_before(Instant before) {
  Db& d = *db_;
  return d.transaction(false, [&]() -> Result<void> {
    for (const char* sql : {"DELETE FROM hourly WHERE hour < ?", "DELETE FROM events WHERE at < ?"}) {
      if (auto erased = Statement(d.db.get(), sql).bind(milliseconds_of(before)).run(); !erased) return erased;
    }
    d.topic_ids.clear();
    Statement unused(d.db.get(), "DELETE FROM topics WHERE id NOT IN (SELECT topic FROM inputs WHERE topic NOT NULL)");
    return unused.bind().run();
  });
}

std::uint64_t Journal::bytes_used() {
  sqlite3* db = db_->db.get();
  const std::int64_t pages = single_number(db, "PRAGMA page_count") - single_number(db, "PRAGMA freelist_count");
  return static_cast<std::uint64_t>(pages * single_number(db, "PRAGMA page_size"));
}

Journal::Share Journal::loudest_topic() {
  Share share;
  Statement select(
      db_->db.get(),
      "WITH newest AS (SELECT topic FROM inputs WHERE topic NOT NULL ORDER BY number DESC LIMIT 5000) "
      "SELECT t.name, count(*), (SELECT count(*) FROM newest) FROM newest n JOIN topics t ON t.id = n.topic "
      "GROUP BY n.topic ORDER BY count(*) DESC LIMIT 1");
  if (!select.bind().step()) return share;
  share.topic = select.text(0);
  share.inputs = static_cast<std::uint64_t>(select.integer(1));
  share.of = static_cast<std::uint64_t>(select.integer(2));
  return share;
}

}  // namespace overwinter
