#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <set>
#include <utility>

#include "daemon/event_json.h"
#include "daemon/readiness.h"
#include "daemon/retention.h"
#include "daemon/service_loop.h"
#include "daemon/story.h"
#include "rules/engine/world.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;

constexpr Span snapshot_interval = 12 * one_hour;  // bytes written a day against inputs to apply again at a start
constexpr std::uint64_t inputs_before_snapshot = 50'000;
// Waiting inputs are committed by then, sooner than their minute is over: memory, and what a kill takes back.
constexpr std::size_t inputs_in_a_batch = 1000, bytes_in_a_batch = std::size_t{1} << 20;
// A snapshot also after so much was written: only what it holds may leave the journal.
constexpr std::uint64_t bytes_before_snapshot = 16'000'000, snapshots_in_a_journal = 8;
constexpr Span longest_sleep = 30s;  // wall time is looked at again at least so often

// The gear that a person gauged, or worked on, just now; no_index: none.
std::uint32_t told_by_hand_of(const Told& told, const Plan& plan) {
  const auto event = std::ranges::find_if(
      told.events, [](const Event& e) { return e.kind == EventKind::hand_reading || e.kind == EventKind::act; });
  return event == told.events.end() ? no_index : plan.find_entity(event->gear);
}

// Who said it may have to say it again; the alarm of the journal reaches perhaps somebody else.
Answer in_memory_alone(Answer answer) {
  answer.answer += fmt::format("{}Not in the journal yet: a restart would lose it.", answer.answer.empty() ? "" : " ");
  return answer;
}

}  // namespace

// ---------------------------------------------------------------------------------------------------------------- time

// The engine's time never goes back, whatever a clock does.
Instant Service::now() {
  const Instant last = caretaker_ ? caretaker_->world().now : Instant{};
  if (!options_.clock_topic.empty()) return std::max(told_time_.value_or(last), last);
  const ClockReading clocks = read_clocks();
  const TrustedClock::Now read = clock_->read(clocks);
  if (read.set_back) set_back_to_ = read.at;  // taken up by the next deadline, between two inputs
  if (read.at - looked_at_ > limits::clock_step && looked_at_ != Instant{} && !gap_from_) gap_from_ = looked_at_;
  looked_at_ = read.at;
  if (read.trusted) untrusted_since_.reset();
  if (!read.trusted && !untrusted_since_) untrusted_since_ = clocks.steady;
  return std::max(read.at, last);
}

void Service::arm_deadline() {
  if (!options_.clock_topic.empty()) return;  // its messages are the clock
  const Instant next = std::min(caretaker_->next_deadline(), teller_->next_deadline());
  const Span longest = journal_ ? longest_sleep : between_journal_attempts;
  const Instant t = now();
  const Span sleep = set_back_to_ ? 0ms : next == never ? longest : std::clamp<Span>(next - t, 1ms, longest);
  // Never later than it was: a stream of messages must not put it off for ever. To wake for nothing does no harm.
  const auto at = std::chrono::steady_clock::now() + sleep;
  if (is_armed_ && deadline_.expiry() <= at) return;
  is_armed_ = true;
  deadline_.expires_at(at);
  deadline_.async_wait([this](const boost::system::error_code& cancelled) {
    if (cancelled) return;
    is_armed_ = false;
    on_deadline();
  });
}

void Service::on_deadline() {
  Instant t = now();
  if (set_back_to_) {
    set_time_back(*std::exchange(set_back_to_, std::nullopt));
    t = now();
  }
  look_at_the_clock();
  look_for_rival();
  open_late_journal();
  t = now();
  if (caretaker_->next_deadline() < t) apply(JournaledInput::Kind::tick);
  teller_->changed();  // what ages with time alone
  teller_->publish_changes(caretaker_->world(), t, Teller::After::anything);
  if (!journal_is_sound_) flush_batch();
  if (t - snapshot_at_ >= snapshot_interval && last_number_ > snapshot_number_) save_snapshot();
  keep_journal_small();
  tell_room_again();
  log_.tell_left_out(read_clocks().steady);
  update_status();
  arm_deadline();
}

// -------------------------------------------------------------------------------------------------------------- inputs

void Service::on_message(BrokerMessage message) {
  if (message.topic == options_.clock_topic) {
    on_clock(message);
    return;
  }
  if (!options_.clock_topic.empty() && !told_time_) return;  // before the clock's first word there is no time
  apply(JournaledInput::Kind::message, std::move(message.topic), std::move(message.payload), message.retained,
        &message);
  teller_->publish_changes(caretaker_->world(), caretaker_->world().now, Teller::After::anything);
  arm_deadline();
}

void Service::on_clock(const BrokerMessage& message) {
  const auto at = parse_rfc3339(message.payload);
  if (!at) {
    log_.seldom(LogLevel::warning, "clock topic",
                fmt::format("the clock topic says no time: it holds RFC 3339, as in {}", format_rfc3339(Instant{})),
                read_clocks().steady);
    return;
  }
  if (told_time_ && *at < *told_time_) return;
  told_time_ = at;
  if (!caretaker_) {
    recover();
    on_connected();
  }
  on_deadline();
}

Told Service::apply(JournaledInput::Kind kind, std::string topic, std::string payload, bool retained,
                    const BrokerMessage* asked) {
  // A tick says that an instant is over, and messages of this one may still come.
  const Span over = kind == JournaledInput::Kind::tick ? Span(1) : Span{};
  const Instant at = std::max(now() - over, caretaker_->world().now);
  // Nobody could hear a sensor in a gap: to the engine the link was down in it.
  if (const auto gap = std::exchange(gap_from_, std::nullopt); gap && caretaker_->world().link_up) {
    apply_at(std::max(*gap, caretaker_->world().now), JournaledInput::Kind::link_down);
    if (link_ && link_->connected()) apply_at(at, JournaledInput::Kind::link_up);
  }
  return apply_at(at, kind, std::move(topic), std::move(payload), retained, asked);
}

Told Service::apply_at(Instant at, JournaledInput::Kind kind, std::string topic, std::string payload, bool retained,
                       const BrokerMessage* asked) {
  JournaledInput input{last_number_ + 1, at, kind, std::move(topic), std::move(payload), retained};
  const Told told = caretaker_->step(input);
  if (!told.applied) return told;
  if (kind == JournaledInput::Kind::tick && told.nothing()) return told;  // it changed nothing that must be kept
  last_number_ = input.number;
  keep(input);
  teller_->changed();
  const bool is_command = kind == JournaledInput::Kind::message && input.topic.starts_with(plan_->topic_root + "/do/");
  tell(told, is_command, asked);
  return told;
}

// Our own topics are written with our own rights: a command does not lend them, but for answers.
bool Service::is_ours(std::string_view topic) const {
  return topic.starts_with(plan_->topic_root + "/") && !topic.starts_with(plan_->topic_root + "/answer/");
}

void Service::tell(const Told& told, bool is_command, const BrokerMessage* asked) {
  if (told.nothing() && !is_command) {
    const bool is_full = journal_ && (journal_->waiting() >= inputs_in_a_batch ||  //
                                      journal_->waiting_bytes() >= bytes_in_a_batch);
    if (is_full && journal_is_sound_) flush_batch();
    if (batch_armed_) return;
    batch_armed_ = true;
    batch_.expires_after(limits::readings_committed_within);
    batch_.async_wait([this](const boost::system::error_code& cancelled) {
      batch_armed_ = false;
      if (!cancelled) flush_batch();
    });
    return;
  }
  std::vector<OutboxEntry> outbox;
  for (const Answer& answer : told.answers) {
    OutboxEntry entry{0, plan_->topic_root + "/answer", {}, {}, {}};
    append_answer(entry.payload, answer);
    if (answer.accepted) append_answer(entry.until_written, in_memory_alone(answer));
    if (asked != nullptr && !is_ours(asked->response_topic)) {
      entry.response_topic = asked->response_topic;
      entry.correlation = asked->correlation;
    }
    outbox.push_back(std::move(entry));
  }
  for (const Notice& notice : told.notices) {
    std::string payload;
    append_notice(payload, notice);
    outbox.push_back({0, plan_->topic_root + "/notice", std::move(payload), {}, {}});
  }
  commit(told.events, outbox, true);
  teller_->publish_alarms(caretaker_->world(), now());
  for (const OutboxEntry& entry : outbox) teller_->send(entry);
  teller_->publish_changes(caretaker_->world(), now(), Teller::After::what_was_told, told_by_hand_of(told, *plan_));
  for (const Event& event : told.events) log(event);
}

// What was done and what alarms is always logged; what anybody can send without end is not.
void Service::log(const Event& event) {
  const Span steady = read_clocks().steady;
  if (event.kind == EventKind::command_refused) {
    log_.limited(LogLevel::info, "refused commands", story_line(*plan_, event), steady);
  } else if (event.kind == EventKind::reading_rejected) {
    log_.limited(LogLevel::info, "readings that cannot be used", story_line(*plan_, event), steady);
  } else {
    log_.info(story_line(*plan_, event));
  }
}

// Committed before it is told. A file that cannot be written does not stop the watch: it goes on in memory, and says
// so.
void Service::commit(const std::vector<Event>& events, std::vector<OutboxEntry>& outbox, bool synced) {
  if (!journal_) {
    if (!unwritten_.empty()) std::ranges::copy(events, std::back_inserter(unwritten_.back().told));
    return;
  }
  Result<void> done = journal_->commit(events, outbox, synced);
  if (done.has_value() == journal_is_sound_) return;
  journal_is_sound_ = done.has_value();
  if (done) {
    log_.info("the journal can be written again");
  } else {
    log_.error(done.error().text + "; " + done.error().hint);
  }
  apply(done ? JournaledInput::Kind::journal_writable : JournaledInput::Kind::journal_unwritable);
  if (done && journal_->lost() > 0) save_snapshot();  // the inputs have a hole; nothing may rest on them
}

// ------------------------------------------------------------------------------------------------------------- outputs

void Service::on_connected() {
  const Span steady = read_clocks().steady;
  rival_.connected(steady);
  log_.limited(LogLevel::info, "connects to the broker",
               fmt::format("connected to {}:{}", plan_->broker.host, plan_->broker.port), steady);
  link_->subscribe(plan_->topic_root + "/do/#", 1, true);
  if (!options_.clock_topic.empty()) link_->subscribe(options_.clock_topic, 1);
  if (!caretaker_) {  // the clock topic's first word starts the watch
    teller_->publish_service("starting");
    return;
  }
  std::set<std::string> timed;
  for (const Sensor& sensor : plan_->sensors) {
    if (sensor.has_time_pointer) timed.insert(sensor.topic);
  }
  // A demo's clock and its sensors stand in one order only at one quality of service.
  for (const std::string& topic : caretaker_->intake().sensor_topics()) {
    link_->subscribe(topic, timed.contains(topic) || !options_.clock_topic.empty() ? 1 : 0);
  }
  apply(JournaledInput::Kind::link_up);
  teller_->connected(caretaker_->world(), now());
  update_status();
}

void Service::on_lost(const std::string& why) {
  const bool was_up = caretaker_ && caretaker_->world().link_up;
  const Span steady = read_clocks().steady;
  if (was_up) {
    log_.limited(LogLevel::warning, "losses of the broker", "the broker is gone: " + why, steady);
    apply(JournaledInput::Kind::link_down);
  } else {
    log_.seldom(LogLevel::warning, "connect",
                fmt::format("cannot connect to the broker at {}:{}: {}; it tries again", plan_->broker.host,
                            plan_->broker.port, why),
                steady);
  }
  teller_->disconnected();
  if (rival_.lost(steady)) tell_of_rival(false);
  update_status();
}

void Service::update_status() {
  if (!caretaker_) return;
  std::size_t active = 0;
  for (const AlarmState& alarm : caretaker_->world().alarms) active += alarm.active() ? 1U : 0U;
  std::string text = fmt::format("{}; {} alarm{} active; broker {}; journal {}", plan_->site_name, active,
                                 active == 1 ? "" : "s", link_ && link_->connected() ? "connected" : "not connected",
                                 journal_is_sound_ ? "written" : "not writable, in memory");
  if (text == status_) return;
  status_ = std::move(text);
  tell_status(status_);
}

// -------------------------------------------------------------------------------------------------------------- upkeep

void Service::flush_batch() {
  std::vector<OutboxEntry> none;
  commit({}, none, false);
  const std::uint64_t bytes = std::min(bytes_before_snapshot, options_.journal_bytes / snapshots_in_a_journal);
  if (last_number_ - snapshot_number_ >= inputs_before_snapshot || bytes_since_snapshot_ >= bytes) save_snapshot();
  keep_journal_small();
}

void Service::save_snapshot() {
  snapshot_at_ = now();
  if (!journal_ || !caretaker_) return;
  std::vector<OutboxEntry> none;
  commit({}, none, true);
  if (journal_->waiting() > 0) return;  // a snapshot never holds more than the inputs beside it
  // Those of a wrong year leave the ones before it, from which the state is made anew when the right time comes.
  const unsigned kept = read_clocks().synchronized ? 2 : 8;
  if (Result<void> saved = journal_->save_snapshot(last_number_, caretaker_->snapshot(), kept); saved) {
    snapshot_number_ = last_number_;
    bytes_since_snapshot_ = 0;
  } else {
    snapshot_at_ -= snapshot_interval - one_hour;
    log_.seldom(LogLevel::warning, "snapshot", "the state is not saved: " + saved.error().text, read_clocks().steady);
  }
}

// A portion with each batch and each deadline: no flood is ahead of it, and no message waits long for it.
void Service::keep_journal_small() {
  if (!journal_ || !journal_is_sound_ || !caretaker_) return;
  const Plan& plan = caretaker_->plan();
  const Instant t = now();
  const auto is_done = [this](const auto& done) {
    if (done) return true;
    log_.seldom(LogLevel::warning, "retention", done.error().text + "; " + done.error().hint, read_clocks().steady);
    return false;
  };
  if (t - thinned_at_ >= one_day) {
    thinned_at_ = t;
    is_thinning_ = is_done(forget_old(*journal_, plan, t));
  }
  if (is_thinning_) {
    const Result<bool> more = thin_by_age(*journal_, plan, t);
    is_thinning_ = is_done(more) && *more;
  }
  // Begun, it goes on until there is room for a while.
  const std::uint64_t most = is_full_ ? options_.journal_bytes / 10 * 9 : options_.journal_bytes;
  const Result<std::optional<Instant>> left = thin_by_size(*journal_, plan, most);
  is_full_ = is_done(left) && left->has_value();
  if (is_full_) tell_left_early(**left);
}

}  // namespace overwinter
