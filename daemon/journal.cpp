#include "daemon/journal.h"

#include <algorithm>
#include <optional>
#include <set>
#include <utility>

#include "daemon/event_json.h"
#include "daemon/journal_db.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

// Whoever may send commands may send them on ever new topics.
constexpr std::size_t most_topic_ids = 10'000;

}  // namespace

Result<std::int64_t> Journal::Db::topic_id(const std::string& name) {
  if (const auto found = topic_ids.find(name); found != topic_ids.end()) return found->second;
  std::int64_t id = 0;
  const bool is_known = find_topic.bind(name).step();
  if (!is_known && find_topic.failed()) return sqlite_fault(db.get());
  if (is_known) id = find_topic.integer(0);
  find_topic.reset();
  if (!is_known) {
    if (auto inserted = insert_topic.bind(name).run(); !inserted) return tl::unexpected<Fault>(inserted.error());
    id = sqlite3_last_insert_rowid(db.get());
  }
  if (topic_ids.size() >= most_topic_ids) topic_ids.clear();
  topic_ids.emplace(name, id);
  return id;
}

Result<void> Journal::Db::write(const JournaledInput& input) {
  std::optional<std::int64_t> topic;
  if (input.kind == JournaledInput::Kind::message) {
    Result<std::int64_t> id = topic_id(input.topic);
    if (!id) return tl::unexpected<Fault>(id.error());
    topic = *id;
  }
  insert_input.bind(input.number, milliseconds_of(input.at), static_cast<int>(input.kind), topic, input.retained,
                    Bytes{input.payload});
  return insert_input.run();
}

Result<void> Journal::Db::write(const OutboxEntry& entry) {
  insert_outbox.bind(entry.id, entry.topic, entry.payload, entry.response_topic, Bytes{entry.correlation});
  return insert_outbox.run();
}

Result<void> Journal::Db::write_marks() {
  for (const std::uint64_t id : waiting.delivered) {
    if (auto erased = delete_outbox.bind(id).run(); !erased) return erased;
  }
  for (const std::string& topic : waiting.retained) {
    if (auto written = insert_retained.bind(topic).run(); !written) return written;
  }
  for (const std::string& topic : waiting.not_retained) {
    if (auto erased = delete_retained.bind(topic).run(); !erased) return erased;
  }
  return {};
}

Result<void> Journal::Db::write_what_waits() {
  for (const JournaledInput& input : waiting.inputs) {
    if (auto written = write(input); !written) return written;
  }
  for (const Waiting::EventRow& row : waiting.events) {
    auto written = insert_event.bind(row.number, milliseconds_of(row.at), row.event).run();
    if (!written) return written;
  }
  for (const OutboxEntry& entry : waiting.outbox) {
    if (auto written = write(entry); !written) return written;
  }
  if (!waiting.outbox.empty() && last_outbox > limits::outbox_messages) {
    if (auto bounded = bound_outbox.bind(last_outbox - limits::outbox_messages).run(); !bounded) return bounded;
  }
  return write_marks();
}

Journal::Journal(std::unique_ptr<Db> db) : db_(std::move(db)) {}
Journal::Journal(Journal&&) noexcept = default;
Journal& Journal::operator=(Journal&&) noexcept = default;
Journal::~Journal() = default;

Journal::Opened Journal::open(const std::string& file, Instant now) {
  JournalFile found = open_journal_file(file, now);
  Opened opened{nullptr, found.trouble, found.said, found.findings};
  if (found.db) opened.journal.reset(new Journal(std::make_unique<Db>(std::move(found))));
  return opened;
}

Result<SavedSnapshot> Journal::snapshot(std::uint64_t below) {
  SavedSnapshot saved;
  Statement select(db_->db.get(), "SELECT number, bytes FROM snapshots WHERE number < ? ORDER BY number DESC LIMIT 1");
  if (select.bind(below).step()) {
    saved.number = static_cast<std::uint64_t>(select.integer(0));
    saved.bytes = select.text(1);
  }
  if (select.failed()) return sqlite_fault(db_->db.get());
  return saved;
}

Result<void> Journal::each_input_after(std::uint64_t number, const std::function<void(const JournaledInput&)>& take) {
  Result<void> whole;
  Statement select(db_->db.get(), std::string(select_inputs) + "WHERE i.number > ? ORDER BY i.number");
  std::uint64_t last = number, pass_over = 0;  // at first the same place again: a fault may pass
  while (last <= db_->last) {
    select.bind(last);
    while (select.step()) {
      const JournaledInput input = input_of(select);
      last = input.number;
      pass_over = 0;
      take(input);
    }
    if (!select.failed()) break;
    if (whole) whole = sqlite_fault(db_->db.get());
    last += pass_over;
    pass_over = pass_over == 0 ? 1 : 2 * pass_over;
  }
  for (const JournaledInput& input : db_->waiting.inputs) {
    if (input.number > number) take(input);
  }
  return whole;
}

Result<void> Journal::each_event_after(std::uint64_t number, const std::function<void(std::string_view)>& take) {
  Statement select(db_->db.get(), "SELECT event FROM events WHERE number > ? ORDER BY id");
  select.bind(number);
  while (select.step()) take(select.text(0));
  if (select.failed()) return sqlite_fault(db_->db.get());
  return {};
}

std::uint64_t Journal::last_number() const { return db_->last; }

void Journal::add(const JournaledInput& input) {
  Db& d = *db_;
  d.last = std::max(d.last, input.number);
  d.waiting.inputs.push_back(input);
  d.waiting.bytes += input.bytes();
  // The oldest goes; what it told rests in the events, which stay.
  while (d.waiting.inputs.size() > most_kept_inputs || d.waiting.bytes > most_kept_bytes) {
    d.waiting.bytes -= d.waiting.inputs.front().bytes();
    d.waiting.inputs.pop_front();
    ++d.lost;
  }
}

std::size_t Journal::waiting() const { return db_->waiting.inputs.size(); }
std::size_t Journal::waiting_bytes() const { return db_->waiting.bytes; }
std::uint64_t Journal::lost() const { return db_->lost; }

Result<void> Journal::commit(const std::vector<Event>& events, std::vector<OutboxEntry>& outbox, bool synced) {
  Db& d = *db_;
  for (const Event& event : events) {
    std::string line;
    append_event(line, event);
    d.waiting.events.push_back({d.last, event.at, std::move(line)});
  }
  for (OutboxEntry& entry : outbox) {
    entry.id = ++d.last_outbox;
    d.waiting.outbox.push_back(entry);
    if (d.waiting.outbox.size() > limits::outbox_messages) d.waiting.outbox.pop_front();
  }
  if (d.waiting.empty()) return {};
  Result<void> done = d.transaction(synced, [&] { return d.write_what_waits(); });
  if (!done) return done;
  d.waiting = {};
  for (OutboxEntry& entry : outbox) entry.until_written.clear();
  return done;
}

Result<void> Journal::save_snapshot(std::uint64_t number, std::string_view bytes, unsigned kept) {
  Db& d = *db_;
  Result<void> done = d.transaction(true, [&]() -> Result<void> {
    if (auto written = d.write_what_waits(); !written) return written;
    Statement insert(d.db.get(), "INSERT OR REPLACE INTO snapshots (number, bytes) VALUES (?, ?)");
    if (auto written = insert.bind(number, Bytes{bytes}).run(); !written) return written;
    Statement thin(
        d.db.get(),
        "DELETE FROM snapshots WHERE number NOT IN (SELECT number FROM snapshots ORDER BY number DESC LIMIT ?)");
    return thin.bind(std::uint64_t{kept}).run();
  });
  if (done) d.waiting = {};
  return done;
}

Result<std::vector<OutboxEntry>> Journal::outbox() {
  const Waiting& waiting = db_->waiting;
  std::vector<OutboxEntry> out;
  Statement select(db_->db.get(), "SELECT id, topic, payload, response_topic, correlation FROM outbox ORDER BY id");
  select.bind();
  while (select.step()) {
    OutboxEntry entry{static_cast<std::uint64_t>(select.integer(0)), select.text(1), select.text(2), select.text(3),
                      select.text(4)};
    const auto& gone = waiting.delivered;
    if (std::find(gone.begin(), gone.end(), entry.id) == gone.end()) out.push_back(std::move(entry));
  }
  if (select.failed()) return sqlite_fault(db_->db.get());
  out.insert(out.end(), waiting.outbox.begin(), waiting.outbox.end());
  return out;
}

Result<void> Journal::delivered(std::uint64_t id) {
  Db& d = *db_;
  if (std::erase_if(d.waiting.outbox, [&](const OutboxEntry& entry) { return entry.id == id; }) > 0) return {};
  d.waiting.delivered.push_back(id);
  return write_marks();
}

Result<void> Journal::remember_retained(const std::vector<std::string>& topics) {
  Waiting& waiting = db_->waiting;
  for (const std::string& topic : topics) {
    std::erase(waiting.not_retained, topic);
    waiting.retained.push_back(topic);
  }
  return write_marks();
}

Result<void> Journal::forget_retained(const std::string& topic) {
  std::erase(db_->waiting.retained, topic);
  db_->waiting.not_retained.push_back(topic);
  return write_marks();
}

Result<void> Journal::write_marks() {
  Db& d = *db_;
  Result<void> done = d.transaction(false, [&] { return d.write_marks(); });
  if (!done) return done;
  d.waiting.delivered.clear();
  d.waiting.retained.clear();
  d.waiting.not_retained.clear();
  return done;
}

Result<std::vector<std::string>> Journal::retained_ever() {
  const Waiting& waiting = db_->waiting;
  std::set<std::string> topics;
  Statement select(db_->db.get(), "SELECT topic FROM retained");
  select.bind();
  while (select.step()) topics.insert(select.text(0));
  if (select.failed()) return sqlite_fault(db_->db.get());
  topics.insert(waiting.retained.begin(), waiting.retained.end());
  for (const std::string& topic : waiting.not_retained) topics.erase(topic);
  return std::vector<std::string>(topics.begin(), topics.end());
}

}  // namespace overwinter
