#include "daemon/journal.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <deque>
#include <filesystem>
#include <map>
#include <optional>
#include <utility>

#include "daemon/event_json.h"
#include "daemon/journal_schema.h"
#include "daemon/sqlite_statement.h"

namespace overwinter {
namespace {

constexpr std::size_t most_waiting = 100'000;  // inputs kept in memory while the file cannot be written

struct CloseDatabase {
  void operator()(sqlite3* db) const { sqlite3_close_v2(db); }
};
using Database = std::unique_ptr<sqlite3, CloseDatabase>;

// Held while the program runs; the kernel lets go of it when the process ends, however it ends.
class LockFile {
 public:
  explicit LockFile(const std::string& path) : fd_(::open(path.c_str(), O_CREAT | O_RDWR | O_CLOEXEC, 0640)) {
    held_ = fd_ >= 0 && ::flock(fd_, LOCK_EX | LOCK_NB) == 0;
  }
  LockFile(LockFile&& other) noexcept : fd_(std::exchange(other.fd_, -1)), held_(other.held_) {}
  LockFile& operator=(LockFile&&) = delete;
  LockFile(const LockFile&) = delete;
  LockFile& operator=(const LockFile&) = delete;
  ~LockFile() {
    if (fd_ >= 0) ::close(fd_);
  }
  bool opened() const { return fd_ >= 0; }
  bool held() const { return held_; }

 private:
  int fd_;
  bool held_ = false;
};

bool execute(sqlite3* db, const char* sql) { return sqlite3_exec(db, sql, nullptr, nullptr, nullptr) == SQLITE_OK; }

std::int64_t single_number(sqlite3* db, const char* sql) {
  Statement statement(db, sql);
  return statement.bind().step() ? statement.integer(0) : 0;
}

bool is_sound(sqlite3* db) {
  Statement check(db, "PRAGMA quick_check(1)");
  return check.bind().step() && check.text(0) == "ok";
}

bool migrate(sqlite3* db) {
  const auto version = static_cast<std::size_t>(single_number(db, "PRAGMA user_version"));
  for (std::size_t v = version; v < journal_migrations.size(); ++v) {
    const std::string step = fmt::format("BEGIN; {} PRAGMA user_version = {}; COMMIT;", journal_migrations[v], v + 1);
    if (!execute(db, step.c_str())) {
      execute(db, "ROLLBACK");
      return false;
    }
  }
  return true;
}

enum class Opening : std::uint8_t { sound, damaged, newer, unusable };

Opening open_database(const std::string& file, Database& into, std::string& why) {
  sqlite3* raw = nullptr;
  const int code = sqlite3_open_v2(file.c_str(), &raw, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, nullptr);
  into.reset(raw);
  if (code != SQLITE_OK) {
    why = raw == nullptr ? "no memory" : sqlite3_errmsg(raw);
    return Opening::unusable;
  }
  sqlite3_busy_timeout(raw, 2000);  // somebody may be reading a copy out of it
  execute(raw, "PRAGMA journal_mode = WAL");
  const int after = sqlite3_errcode(raw);
  if (after == SQLITE_NOTADB || after == SQLITE_CORRUPT) return Opening::damaged;
  if (after != SQLITE_OK) {
    why = sqlite3_errmsg(raw);
    return Opening::unusable;
  }
  if (!is_sound(raw)) return Opening::damaged;
  if (single_number(raw, "PRAGMA user_version") > static_cast<std::int64_t>(journal_migrations.size())) {
    why = "a newer version of the program made it";
    return Opening::newer;
  }
  if (!migrate(raw)) {
    why = sqlite3_errmsg(raw);
    return Opening::unusable;
  }
  return Opening::sound;
}

// What was a journal, and its companions, under another name; nothing is deleted.
std::string move_aside(const std::string& file, Instant now) {
  const std::string aside = file + ".damaged-" + format_rfc3339(now);
  std::error_code error;
  std::filesystem::rename(file, aside, error);
  for (const char* companion : {"-wal", "-shm"}) {
    std::filesystem::rename(file + companion, aside + companion, error);
  }
  return aside;
}

JournaledInput input_of(const Statement& row) {
  JournaledInput input;
  input.number = static_cast<std::uint64_t>(row.integer(0));
  input.at = Instant(Span(row.integer(1)));
  input.kind = static_cast<JournaledInput::Kind>(row.integer(2));
  input.topic = row.text(3);
  input.retained = row.integer(4) != 0;
  input.payload = row.text(5);
  return input;
}

constexpr std::string_view select_inputs =
    "SELECT i.number, i.at, i.kind, t.name, i.retained, i.payload FROM inputs i LEFT JOIN topics t ON t.id = i.topic ";

}  // namespace

struct Journal::Db {
  Db(LockFile the_lock, Database the_db)
      : lock(std::move(the_lock)),
        db(std::move(the_db)),
        insert_input(db.get(), "INSERT INTO inputs (number, at, kind, topic, retained, payload) VALUES (?,?,?,?,?,?)"),
        insert_event(db.get(), "INSERT INTO events (number, at, event) VALUES (?,?,?)"),
        insert_outbox(db.get(), "INSERT INTO outbox (topic, payload, response_topic, correlation) VALUES (?,?,?,?)"),
        delete_outbox(db.get(), "DELETE FROM outbox WHERE id = ?"),
        insert_topic(db.get(), "INSERT INTO topics (name) VALUES (?)"),
        find_topic(db.get(), "SELECT id FROM topics WHERE name = ?"),
        insert_retained(db.get(), "INSERT OR IGNORE INTO retained (topic) VALUES (?)") {
    last = static_cast<std::uint64_t>(
        single_number(db.get(),
                      "SELECT max(coalesce((SELECT max(number) FROM inputs), 0), coalesce((SELECT max(number) FROM "
                      "snapshots), 0))"));
  }

  Result<std::int64_t> topic_id(const std::string& name);
  Result<void> write(const JournaledInput& input);
  // BEGIN IMMEDIATE ... COMMIT around `what`, rolled back on a fault.
  template <class F>
  Result<void> transaction(bool synced, const F& what);

  LockFile lock;
  Database db;
  Statement insert_input, insert_event, insert_outbox, delete_outbox, insert_topic, find_topic, insert_retained;
  std::map<std::string, std::int64_t> topic_ids;
  std::deque<JournaledInput> batch;
  std::uint64_t last = 0, lost = 0;
  bool is_synced = true;
};

template <class F>
Result<void> Journal::Db::transaction(bool synced, const F& what) {
  if (synced != is_synced) {
    execute(db.get(), synced ? "PRAGMA synchronous = FULL" : "PRAGMA synchronous = NORMAL");
    is_synced = synced;
  }
  if (!execute(db.get(), "BEGIN IMMEDIATE")) return sqlite_fault(db.get());
  Result<void> done = what();
  if (done && !execute(db.get(), "COMMIT")) done = sqlite_fault(db.get());
  if (!done) {
    execute(db.get(), "ROLLBACK");
    topic_ids.clear();  // ids that were given in it are free again
  }
  return done;
}

Result<std::int64_t> Journal::Db::topic_id(const std::string& name) {
  if (const auto found = topic_ids.find(name); found != topic_ids.end()) return found->second;
  std::int64_t id = 0;
  if (find_topic.bind(name).step()) {
    id = find_topic.integer(0);
    find_topic.reset();
  } else {
    if (Result<void> inserted = insert_topic.bind(name).run(); !inserted)
      return tl::unexpected<Fault>(inserted.error());
    id = sqlite3_last_insert_rowid(db.get());
  }
  topic_ids.emplace(name, id);
  return id;
}

Result<void> Journal::Db::write(const JournaledInput& input) {
  std::int64_t topic = 0;
  if (input.kind == JournaledInput::Kind::message) {
    Result<std::int64_t> id = topic_id(input.topic);
    if (!id) return tl::unexpected<Fault>(id.error());
    topic = *id;
  }
  return insert_input
      .bind(input.number, std::int64_t{input.at.time_since_epoch().count()}, static_cast<int>(input.kind), topic,
            input.retained, input.payload)
      .run();
}

Journal::Journal(std::unique_ptr<Db> db) : db_(std::move(db)) {}
Journal::Journal(Journal&&) noexcept = default;
Journal& Journal::operator=(Journal&&) noexcept = default;
Journal::~Journal() = default;

Journal::Opened Journal::open(const std::string& file, Instant now) {
  Opened opened;
  LockFile lock(file + ".lock");
  if (!lock.held()) {
    opened.trouble = lock.opened() ? Trouble::held : Trouble::unusable;
    opened.said = lock.opened()
                      ? fmt::format("another instance holds the journal {}", file)
                      : fmt::format("the journal {} cannot be opened: is its folder there and writable?", file);
    return opened;
  }
  Database db;
  std::string why;
  Opening opening = open_database(file, db, why);
  if (opening == Opening::damaged) {
    db.reset();
    opened.said = fmt::format("the journal {} was damaged; it stands in {} now and a new one has begun", file,
                              move_aside(file, now));
    opening = open_database(file, db, why);
  }
  if (opening != Opening::sound) {
    opened.trouble = Trouble::unusable;
    opened.said = fmt::format("the journal {} cannot be used: {}", file, why);
    return opened;
  }
  opened.journal.reset(new Journal(std::make_unique<Db>(std::move(lock), std::move(db))));
  return opened;
}

Result<SavedSnapshot> Journal::snapshot() {
  SavedSnapshot saved;
  Statement select(db_->db.get(), "SELECT number, bytes FROM snapshots ORDER BY number DESC LIMIT 1");
  if (select.bind().step()) {
    saved.number = static_cast<std::uint64_t>(select.integer(0));
    saved.bytes = select.text(1);
  }
  if (select.failed()) return sqlite_fault(db_->db.get());
  return saved;
}

Result<void> Journal::each_input_after(std::uint64_t number, const std::function<void(const JournaledInput&)>& take) {
  Statement select(db_->db.get(), std::string(select_inputs) + "WHERE i.number > ? ORDER BY i.number");
  select.bind(number);
  while (select.step()) take(input_of(select));
  if (select.failed()) return sqlite_fault(db_->db.get());
  return {};
}

std::uint64_t Journal::last_number() const { return db_->last; }

void Journal::add(const JournaledInput& input) {
  db_->last = std::max(db_->last, input.number);
  db_->batch.push_back(input);
  if (db_->batch.size() <= most_waiting) return;
  // The oldest sensor message goes; what is told with an event rests in the events themselves.
  db_->batch.pop_front();
  ++db_->lost;
}

std::size_t Journal::waiting() const { return db_->batch.size(); }
std::uint64_t Journal::lost() const { return db_->lost; }

Result<void> Journal::commit(const std::vector<Event>& events, std::vector<OutboxEntry>& outbox, bool synced) {
  Db& d = *db_;
  if (d.batch.empty() && events.empty() && outbox.empty()) return {};
  Result<void> done = d.transaction(synced, [&]() -> Result<void> {
    for (const JournaledInput& input : d.batch) {
      if (auto written = d.write(input); !written) return written;
    }
    std::string line;
    for (const Event& event : events) {
      line.clear();
      append_event(line, event);
      const auto at = std::int64_t{event.at.time_since_epoch().count()};
      if (auto written = d.insert_event.bind(d.last, at, line).run(); !written) return written;
    }
    for (OutboxEntry& entry : outbox) {
      d.insert_outbox.bind(entry.topic, entry.payload, entry.response_topic, entry.correlation);
      if (auto written = d.insert_outbox.run(); !written) return written;
      entry.id = static_cast<std::uint64_t>(sqlite3_last_insert_rowid(d.db.get()));
    }
    return {};
  });
  if (done) d.batch.clear();
  return done;
}

Result<void> Journal::save_snapshot(std::uint64_t number, std::string_view bytes) {
  Db& d = *db_;
  return d.transaction(true, [&]() -> Result<void> {
    Statement insert(d.db.get(), "INSERT OR REPLACE INTO snapshots (number, bytes) VALUES (?, ?)");
    if (auto written = insert.bind(number, bytes).run(); !written) return written;
    Statement thin(
        d.db.get(),
        "DELETE FROM snapshots WHERE number NOT IN (SELECT number FROM snapshots ORDER BY number DESC LIMIT 2)");
    return thin.bind().run();
  });
}

Result<std::vector<OutboxEntry>> Journal::outbox() {
  std::vector<OutboxEntry> out;
  Statement select(db_->db.get(), "SELECT id, topic, payload, response_topic, correlation FROM outbox ORDER BY id");
  select.bind();
  while (select.step()) {
    out.push_back({static_cast<std::uint64_t>(select.integer(0)), select.text(1), select.text(2), select.text(3),
                   select.text(4)});
  }
  if (select.failed()) return sqlite_fault(db_->db.get());
  return out;
}

Result<void> Journal::delivered(std::uint64_t id) {
  return db_->transaction(false, [&] { return db_->delete_outbox.bind(id).run(); });
}

Result<void> Journal::remember_retained(const std::vector<std::string>& topics) {
  return db_->transaction(false, [&]() -> Result<void> {
    for (const std::string& topic : topics) {
      if (auto written = db_->insert_retained.bind(topic).run(); !written) return written;
    }
    return {};
  });
}

Result<std::vector<std::string>> Journal::retained_ever() {
  std::vector<std::string> out;
  Statement select(db_->db.get(), "SELECT topic FROM retained ORDER BY topic");
  select.bind();
  while (select.step()) out.push_back(select.text(0));
  if (select.failed()) return sqlite_fault(db_->db.get());
  return out;
}

Result<void> Journal::forget_retained(const std::string& topic) {
  Statement erase(db_->db.get(), "DELETE FROM retained WHERE topic = ?");
  return db_->transaction(false, [&] { return erase.bind(topic).run(); });
}

Result<std::vector<JournaledInput>> Journal::messages_before(Instant before, std::size_t most) {
  std::vector<JournaledInput> out;
  Statement select(db_->db.get(), std::string(select_inputs) +
                                      "WHERE i.at < ? AND i.number <= (SELECT coalesce(min(number), 0) FROM snapshots) "
                                      "ORDER BY i.number LIMIT ?");
  select.bind(std::int64_t{before.time_since_epoch().count()}, static_cast<std::int64_t>(most));
  while (select.step()) out.push_back(input_of(select));
  if (select.failed()) return sqlite_fault(db_->db.get());
  return out;
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
      merge.bind(v.series, std::int64_t{v.hour.time_since_epoch().count()}, v.minimum, v.mean, v.maximum, v.count);
      if (auto written = merge.run(); !written) return written;
    }
    for (const JournaledInput& message : messages) {
      if (auto erased = erase.bind(message.number).run(); !erased) return erased;
    }
    return {};
  });
}

Result<void> Journal::forget_before(Instant hourly_before) {
  Statement erase(db_->db.get(), "DELETE FROM hourly WHERE hour < ?");
  return db_->transaction(false,
                          [&] { return erase.bind(std::int64_t{hourly_before.time_since_epoch().count()}).run(); });
}

}  // namespace overwinter
