#include "daemon/teller.h"

#include <algorithm>
#include <utility>

#include "daemon/json_text.h"
#include "daemon/publisher.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr Span between_changes = std::chrono::seconds(1);
constexpr std::uint64_t first_in_memory = std::uint64_t{1} << 63;  // beyond all ids of the journal

// Retained ones of the service itself, below any topic_root.
std::vector<std::string> own_topics(const Plan& plan) {
  return {plan.topic_root + "/service", plan.topic_root + "/watching_since", plan.topic_root + "/last_gap"};
}

}  // namespace

Teller::Teller(std::shared_ptr<const Plan> plan, Journal* journal)
    : plan_(std::move(plan)), journal_(journal), retained_(plan_), last_in_memory_(first_in_memory) {
  if (journal_) remember_from_journal();
}

void Teller::remember_from_journal() {
  if (const auto ever = journal_->retained_ever()) retained_ever_.insert(ever->begin(), ever->end());
}

// What is under way just now stays in memory until it has arrived; if it does not, it is sent again from the journal.
void Teller::move_into(Journal* journal) {
  journal_ = journal;
  (void)journal_->remember_retained({retained_ever_.begin(), retained_ever_.end()});
  remember_from_journal();
  std::vector<OutboxEntry> entries;
  for (const auto& [id, entry] : in_memory_) entries.push_back(entry);
  (void)journal_->commit({}, entries, true);  // on a fault it holds them with all else that waits
  for (auto taken = entries.begin(); const auto& [id, entry] : std::exchange(in_memory_, {})) {
    if (under_way_.contains(id)) {
      journal_id_.emplace(id, taken->id);
      under_way_.insert(taken->id);
    }
    ++taken;
  }
}

void Teller::use_plan(std::shared_ptr<const Plan> plan) {
  plan_ = std::move(plan);
  retained_ = RetainedState(plan_);
}

bool Teller::is_connected() const { return link_ && link_->connected(); }

void Teller::send(const OutboxEntry& entry) {
  std::uint64_t id = entry.id;
  if (id == 0) {
    id = ++last_in_memory_;
    in_memory_.emplace(id, entry).first->second.id = id;
    if (in_memory_.size() > limits::outbox_messages) in_memory_.erase(in_memory_.begin());
  }
  if (!is_connected() || !under_way_.insert(id).second) return;
  const std::string& payload = entry.until_written.empty() ? entry.payload : entry.until_written;
  const auto answer_asker = [this, topic = entry.response_topic, correlation = entry.correlation, payload] {
    if (!topic.empty() && link_) link_->publish(topic, payload, 1, false, {}, correlation);
  };
  // First, for the receipt of our own topic ends the entry. But the asker named that topic, and a broker may end the
  // connection over one that it denies: when the entry is sent again, what the asker named comes after the receipt.
  const bool is_first_try = tried_.insert(id).second;
  if (is_first_try) answer_asker();
  link_->publish(entry.topic, payload, 1, false, [this, id, is_first_try, answer_asker](bool delivered) {
    const auto moved = journal_id_.find(id);
    const std::uint64_t in_journal = moved == journal_id_.end() ? id : moved->second;
    if (moved != journal_id_.end()) journal_id_.erase(moved);
    under_way_.erase(id);
    under_way_.erase(in_journal);
    if (!delivered) return;
    tried_.erase(id);
    if (!is_first_try) answer_asker();
    if (in_memory_.erase(id) > 0 || !journal_) return;
    (void)journal_->delivered(in_journal);  // at worst it is sent again
  });
}

void Teller::send_what_is_left() {
  if (journal_) {
    if (const auto entries = journal_->outbox()) {
      for (const OutboxEntry& entry : *entries) send(entry);
    }
  }
  const std::map<std::uint64_t, OutboxEntry> waiting = in_memory_;
  for (const auto& [id, entry] : waiting) send(entry);
}

void Teller::publish_service(std::string_view state) {
  if (!is_connected()) return;
  remember(own_topics(*plan_));
  link_->publish(plan_->topic_root + "/service", std::string(state), 1, true);
}

void Teller::connected(const World& world, Instant now) {
  if (!was_ready_) publish_service("starting");
  remember(own_topics(*plan_));
  link_->publish(plan_->topic_root + "/watching_since", format_rfc3339(world.started), 1, true);
  publish_gap(world);
  publish(retained_.whole(world, now));
  is_changed_ = false;
  publish_service("ready");  // whoever waits for it finds the whole state
  was_ready_ = true;
  empty_obsolete();
  send_what_is_left();
}

void Teller::publish_gap(const World& world) {
  gap_until_ = world.gap.until;
  std::string text;  // empty: there was none, whatever an earlier life left on the broker
  if (gap_until_ != Instant{}) {
    JsonObject object(text);
    object.instant("from", world.gap.from);
    object.instant("until", world.gap.until);
    object.end();
  }
  link_->publish(plan_->topic_root + "/last_gap", text, 1, true);
}

void Teller::publish_alarms(const World& world, Instant now) {
  if (is_connected()) publish(retained_.alarm_changes(world, now));
}

void Teller::publish_changes(const World& world, Instant now, After after, std::uint32_t told_of) {
  if (!is_connected()) return;
  changes_at_ = std::min(changes_at_, now);  // the clock may have been set back
  if (after == After::anything && now < next_deadline()) return;
  changes_at_ = now;
  is_changed_ = false;
  if (gap_until_ != world.gap.until) publish_gap(world);  // the computer slept, and the connection outlasted it
  publish(retained_.changes(world, now, told_of));
}

Instant Teller::next_deadline() const {
  if (!is_connected()) return never;
  const Instant next = is_changed_ ? Instant{} : retained_.next_deadline();
  return next == never ? never : std::max(next, changes_at_ + between_changes);
}

void Teller::empty_obsolete() {
  const std::vector<std::string> own = own_topics(*plan_);
  for (const std::string& topic : retained_.obsolete({retained_ever_.begin(), retained_ever_.end()})) {
    if (std::ranges::find(own, topic) != own.end()) continue;
    link_->publish(topic, "", 1, true, [this, topic](bool delivered) {
      if (!delivered) return;
      retained_ever_.erase(topic);
      if (journal_) (void)journal_->forget_retained(topic);  // at worst it is emptied again
    });
  }
}

// Before it is said: a topic that nobody remembers would stay on the broker for ever.
void Teller::remember(const std::vector<std::string>& topics) {
  std::vector<std::string> fresh;
  for (const std::string& topic : topics) {
    if (retained_ever_.insert(topic).second) fresh.push_back(topic);
  }
  if (journal_ && !fresh.empty()) (void)journal_->remember_retained(fresh);
}

void Teller::publish(const std::vector<Publication>& publications) {
  std::vector<std::string> held;
  for (const Publication& p : publications) {
    if (!p.payload.empty()) held.push_back(p.topic);
  }
  remember(held);
  for (const Publication& p : publications) link_->publish(p.topic, p.payload, p.qos, p.retained);
}

}  // namespace overwinter
