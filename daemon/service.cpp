#include "daemon/service.h"

#include <fmt/format.h>
#include <signal.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <random>
#include <set>
#include <utility>

#include "config/site_file.h"
#include "daemon/broker_link.h"
#include "daemon/caretaker.h"
#include "daemon/event_json.h"
#include "daemon/journal.h"
#include "daemon/journal_place.h"
#include "daemon/password.h"
#include "daemon/readiness.h"
#include "daemon/retained_state.h"
#include "daemon/retention.h"
#include "daemon/story.h"
#include "daemon/trusted_clock.h"
#include "rules/engine/world.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;

constexpr Span snapshot_interval = 6 * one_hour;  // bytes written a day against inputs to apply again at a start
constexpr std::uint64_t inputs_before_snapshot = 50'000;
constexpr Span longest_sleep = 30s;  // wall time is looked at again at least so often
constexpr Span retained_pause = 1s;  // levels that no event goes with leave at most so often
constexpr Span will_delay = 30s;
constexpr Span stop_limit = 3s;

std::string environment(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): nobody sets it
  return value == nullptr ? std::string() : std::string(value);
}

class Service {
 public:
  Service(const ServiceOptions& options, std::shared_ptr<const Plan> plan)
      : options_(options),
        log_(options.log),
        plan_(std::move(plan)),
        deadline_(loop_),
        batch_(loop_),
        alive_(loop_),
        signals_(loop_, SIGTERM, SIGINT, SIGHUP) {}

  int run();

 private:
  // --- start
  bool open_journal();
  void recover();
  void start_link();
  // --- time
  Instant now();
  void arm_deadline();
  void on_deadline();
  // --- inputs
  void on_message(BrokerMessage message);
  void on_clock(const BrokerMessage& message);
  Told apply(JournaledInput::Kind kind, std::string topic = {}, std::string payload = {}, bool retained = false,
             const BrokerMessage* asked = nullptr);
  void tell(const Told& told, bool is_command, const BrokerMessage* asked);
  void commit(const std::vector<Event>& events, std::vector<OutboxEntry>& outbox, bool synced);
  // --- outputs
  void on_connected();
  void on_lost(const std::string& why);
  void send(const OutboxEntry& entry);
  void send_outbox();
  void publish(const Publication& publication);
  void publish_changes(bool at_once);
  void publish_service(std::string_view state);
  void update_status();
  // --- upkeep
  void flush_batch();
  void save_snapshot();
  void keep_journal_small();
  // --- signals
  void wait_for_signal();
  void reload();
  void stop();

  ServiceOptions options_;
  ServiceLog log_;
  std::shared_ptr<const Plan> plan_;
  boost::asio::io_context loop_{1};
  boost::asio::steady_timer deadline_, batch_, alive_;
  boost::asio::signal_set signals_;

  std::unique_ptr<Journal> journal_;
  bool journal_is_sound_ = true;
  std::unique_ptr<Caretaker> caretaker_;
  std::unique_ptr<RetainedState> retained_;
  std::unique_ptr<BrokerLink> link_;
  std::optional<TrustedClock> clock_;
  std::optional<Instant> told_time_;  // of the clock topic
  std::uint64_t last_number_ = 0, snapshot_number_ = 0;
  Instant snapshot_at_{}, retention_at_{}, changes_at_{}, watching_since_{};
  std::set<std::uint64_t> under_way_;  // outbox entries that the broker is about to have
  std::set<std::string> retained_ever_;
  std::string status_;
  int exit_code_ = exit_stopped;
  bool batch_armed_ = false;
};

// ---------------------------------------------------------------------------------------------------------------- time

Instant Service::now() {
  if (!options_.clock_topic.empty()) return told_time_.value_or(caretaker_ ? caretaker_->world().now : Instant{});
  const TrustedClock::Now now = clock_->read(read_clocks());
  return now.at;
}

void Service::arm_deadline() {
  if (!options_.clock_topic.empty()) return;  // its messages are the clock
  const Instant next = std::min(caretaker_->next_deadline(), retained_->next_deadline());
  const Span sleep = next == never ? longest_sleep : std::clamp<Span>(next - now(), 0ms, longest_sleep);
  deadline_.expires_after(sleep);
  deadline_.async_wait([this](const boost::system::error_code& cancelled) {
    if (!cancelled) on_deadline();
  });
}

void Service::on_deadline() {
  const Instant t = now();
  if (caretaker_->next_deadline() <= t) apply(JournaledInput::Kind::tick);
  publish_changes(false);
  if (t - snapshot_at_ >= snapshot_interval && last_number_ > snapshot_number_) save_snapshot();
  if (t - retention_at_ >= one_day) keep_journal_small();
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
  apply(JournaledInput::Kind::message, message.topic, message.payload, message.retained, &message);
  if (options_.clock_topic.empty()) arm_deadline();
}

void Service::on_clock(const BrokerMessage& message) {
  const auto at = parse_rfc3339(message.payload);
  if (!at) {
    log_.warning(fmt::format("the clock topic says no time: it holds RFC 3339, as in {}", format_rfc3339(Instant{})));
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
  JournaledInput input{
      last_number_ + 1, std::max(now(), caretaker_->world().now), kind, std::move(topic), std::move(payload), retained};
  const Told told = caretaker_->step(input);
  if (!told.applied) return told;
  if (kind == JournaledInput::Kind::tick && told.nothing()) return told;  // it changed nothing that must be kept
  last_number_ = input.number;
  if (journal_) journal_->add(input);
  const bool is_command = kind == JournaledInput::Kind::message && input.topic.starts_with(plan_->topic_root + "/do/");
  tell(told, is_command, asked);
  return told;
}

void Service::tell(const Told& told, bool is_command, const BrokerMessage* asked) {
  if (told.nothing() && !is_command) {
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
    std::string payload;
    append_answer(payload, answer);
    OutboxEntry entry{0, plan_->topic_root + "/answer", std::move(payload), {}, {}};
    if (asked != nullptr) {
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
  for (const Event& event : told.events) log_.info(story_line(*plan_, event));
  for (const OutboxEntry& entry : outbox) send(entry);
  publish_changes(true);
}

// Committed before it is told. A file that cannot be written does not stop the watch: it goes on in memory, and says
// so.
void Service::commit(const std::vector<Event>& events, std::vector<OutboxEntry>& outbox, bool synced) {
  if (!journal_) return;
  Result<void> done = journal_->commit(events, outbox, synced);
  if (done.has_value() == journal_is_sound_) return;
  journal_is_sound_ = done.has_value();
  if (done) {
    log_.info("the journal can be written again");
  } else {
    log_.error(done.error().text + "; " + done.error().hint);
  }
  apply(done ? JournaledInput::Kind::journal_writable : JournaledInput::Kind::journal_unwritable);
}

// ------------------------------------------------------------------------------------------------------------- outputs

void Service::on_connected() {
  log_.info(fmt::format("connected to {}:{}", plan_->broker.host, plan_->broker.port));
  link_->subscribe(plan_->topic_root + "/do/#", 1);
  if (!options_.clock_topic.empty()) link_->subscribe(options_.clock_topic, 1);
  if (!caretaker_) return;  // the clock topic's first word starts the watch
  std::set<std::string> timed;
  for (const Sensor& sensor : plan_->sensors) {
    if (sensor.has_time_pointer) timed.insert(sensor.topic);
  }
  // A demo's clock and its sensors stand in one order only at one quality of service.
  for (const std::string& topic : caretaker_->intake().sensor_topics()) {
    link_->subscribe(topic, timed.contains(topic) || !options_.clock_topic.empty() ? 1 : 0);
  }
  apply(JournaledInput::Kind::link_up);
  publish_service("ready");
  for (const Publication& publication : retained_->whole(caretaker_->world(), now())) publish(publication);
  const std::vector<std::string> ever(retained_ever_.begin(), retained_ever_.end());
  for (const std::string& topic : retained_->obsolete(ever)) {
    publish({topic, "", true, 1});
    retained_ever_.erase(topic);
    if (journal_) (void)journal_->forget_retained(topic);
  }
  send_outbox();
  update_status();
}

void Service::on_lost(const std::string& why) {
  const bool was_up = caretaker_ && caretaker_->world().link_up;
  const Span steady = read_clocks().steady;
  if (was_up) {
    log_.warning("the broker is gone: " + why);
    apply(JournaledInput::Kind::link_down);
  } else {
    log_.seldom(LogLevel::warning, "connect",
                fmt::format("no broker at {}:{}: {}; it tries again", plan_->broker.host, plan_->broker.port, why),
                steady);
  }
  under_way_.clear();
  update_status();
}

void Service::send(const OutboxEntry& entry) {
  if (!link_ || !link_->connected()) return;
  if (entry.id != 0 && !under_way_.insert(entry.id).second) return;
  if (!entry.response_topic.empty()) {
    link_->publish(entry.response_topic, entry.payload, 1, false, {}, entry.correlation);
  }
  link_->publish(entry.topic, entry.payload, 1, false, [this, id = entry.id](bool delivered) {
    if (id == 0) return;
    under_way_.erase(id);
    if (delivered && journal_) (void)journal_->delivered(id);
  });
}

void Service::send_outbox() {
  if (!journal_) return;
  const auto entries = journal_->outbox();
  if (!entries) return;
  for (const OutboxEntry& entry : *entries) send(entry);
}

void Service::publish(const Publication& publication) {
  if (!link_ || !link_->connected()) return;
  link_->publish(publication.topic, publication.payload, publication.qos, publication.retained);
  if (publication.payload.empty() || !retained_ever_.insert(publication.topic).second || !journal_) return;
  (void)journal_->remember_retained({publication.topic});
}

void Service::publish_changes(bool at_once) {
  if (!link_ || !link_->connected()) return;
  const Instant t = now();
  if (!at_once && t >= changes_at_ && t - changes_at_ < retained_pause) return;
  changes_at_ = t;
  for (const Publication& publication : retained_->changes(caretaker_->world(), t)) publish(publication);
}

void Service::publish_service(std::string_view state) {
  link_->publish(plan_->topic_root + "/service", std::string(state), 1, true);
  link_->publish(plan_->topic_root + "/watching_since", format_rfc3339(watching_since_), 1, true);
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
  publish_changes(false);
  if (last_number_ - snapshot_number_ >= inputs_before_snapshot) save_snapshot();
}

void Service::save_snapshot() {
  snapshot_at_ = now();
  if (!journal_ || !caretaker_) return;
  std::vector<OutboxEntry> none;
  commit({}, none, true);
  if (journal_->waiting() > 0) return;  // a snapshot never holds more than the inputs beside it
  if (Result<void> saved = journal_->save_snapshot(last_number_, caretaker_->snapshot()); saved) {
    snapshot_number_ = last_number_;
  }
}

void Service::keep_journal_small() {
  retention_at_ = now();
  if (!journal_) return;
  if (Result<void> done = keep_small(*journal_, caretaker_->plan(), retention_at_); !done) {
    log_.warning(done.error().text);
  }
}

// --------------------------------------------------------------------------------------------------------------- start

bool Service::open_journal() {
  const std::string file = journal_place(options_.journal, *plan_, environment("STATE_DIRECTORY"));
  Journal::Opened opened = Journal::open(file, read_clocks().wall);
  if (!opened.said.empty()) log_.error(opened.said);
  journal_ = std::move(opened.journal);
  journal_is_sound_ = journal_ != nullptr;
  return opened.trouble != Journal::Trouble::held;
}

// The newest snapshot, then every input after it. What they told was committed with them and is not told again.
void Service::recover() {
  SavedSnapshot saved;
  std::optional<Instant> newest;
  if (journal_) {
    if (auto found = journal_->snapshot()) saved = *std::move(found);
    if (auto ever = journal_->retained_ever()) retained_ever_.insert(ever->begin(), ever->end());
  }
  if (!saved.bytes.empty()) {
    Result<Caretaker> restored = Caretaker::restore(plan_, saved.bytes);
    if (restored) {
      caretaker_ = std::make_unique<Caretaker>(*std::move(restored));
      newest = caretaker_->world().now;
    } else {
      log_.error("the journal's snapshot: " + restored.error().text + "; " + restored.error().hint);
    }
  }
  last_number_ = snapshot_number_ = saved.number;
  std::uint64_t again = 0;
  if (journal_) {
    (void)journal_->each_input_after(caretaker_ ? saved.number : 0, [&](const JournaledInput& input) {
      if (!caretaker_) caretaker_ = std::make_unique<Caretaker>(plan_, input.at);
      caretaker_->step(input);
      newest = input.at;
      ++again;
    });
    last_number_ = journal_->last_number();
  }
  if (options_.clock_topic.empty()) clock_.emplace(read_clocks(), newest);
  if (!caretaker_) caretaker_ = std::make_unique<Caretaker>(plan_, now());
  retained_ = std::make_unique<RetainedState>(plan_);
  watching_since_ = caretaker_->world().started;
  snapshot_at_ = retention_at_ = now();
  if (newest) log_.info(fmt::format("goes on from {}; {} inputs applied again", format_rfc3339(*newest), again));
  apply(JournaledInput::Kind::link_down);  // until the broker link is up no sensor falls silent
  if (!journal_) apply(JournaledInput::Kind::journal_unwritable);
  if (journal_ && caretaker_->world().board.now() != Instant{}) apply(JournaledInput::Kind::journal_writable);
  save_snapshot();
}

void Service::start_link() {
  const Result<std::string> password = read_password(plan_->broker, environment("CREDENTIALS_DIRECTORY"));
  if (!password) log_.error(password.error().text + "; " + password.error().hint);
  BrokerSettings settings;
  settings.spec = plan_->broker;
  settings.client_id = "overwinter-" + plan_->site_id;
  settings.password = password.value_or(std::string());
  settings.keeps_session = options_.clock_topic.empty();
  settings.will_topic = plan_->topic_root + "/service";
  settings.will_payload = "lost";
  settings.will_delay = will_delay;
  BrokerLink::Callbacks callbacks;
  callbacks.connected = [this] { on_connected(); };
  callbacks.lost = [this](const std::string& why) { on_lost(why); };
  callbacks.message = [this](BrokerMessage message) { on_message(std::move(message)); };
  link_ = std::make_unique<BrokerLink>(loop_, std::move(settings), std::move(callbacks), std::random_device{}());
  link_->start();
}

int Service::run() {
  if (!open_journal()) return exit_journal_held;
  if (options_.clock_topic.empty()) recover();
  wait_for_signal();
  start_link();
  if (caretaker_) arm_deadline();
  tell_ready(plan_->site_name);
  if (const auto interval = alive_interval()) {
    const std::function<void()> beat = [this, interval, &beat] {
      tell_alive();
      alive_.expires_after(*interval);
      alive_.async_wait([&beat](const boost::system::error_code& cancelled) {
        if (!cancelled) beat();
      });
    };
    beat();
    loop_.run();
  } else {
    loop_.run();
  }
  return exit_code_;
}

// ------------------------------------------------------------------------------------------------------------- signals

void Service::wait_for_signal() {
  signals_.async_wait([this](const boost::system::error_code& cancelled, int signal) {
    if (cancelled) return;
    if (signal != SIGHUP) {
      stop();
      return;
    }
    reload();
    wait_for_signal();
  });
}

// A new site file is taken up in one step; one that is not valid leaves the running one and is told.
void Service::reload() {
  if (!caretaker_) return;
  tell_reloading();
  LoadedSite site = load_site(std::filesystem::path(options_.site));
  if (!site.plan) {
    log_.error("the new site file is not valid; the running one goes on\n" + render_faults(site));
    tell_ready(status_);
    return;
  }
  const auto plan = std::make_shared<const Plan>(*std::move(site.plan));
  save_snapshot();
  Result<Caretaker> restored = Caretaker::restore(plan, caretaker_->snapshot());
  if (!restored) {
    log_.error("the reload failed; the running site goes on: " + restored.error().text);
    tell_ready(status_);
    return;
  }
  plan_ = plan;
  *caretaker_ = *std::move(restored);
  retained_ = std::make_unique<RetainedState>(plan_);
  const bool has_told = !apply(JournaledInput::Kind::tick).nothing();
  save_snapshot();
  log_.info(has_told ? "reloaded" : "reloaded; nothing changed that anybody must know");
  link_.reset();
  start_link();
  arm_deadline();
  tell_ready(status_);
}

void Service::stop() {
  tell_stopping();
  log_.info("stopping");
  deadline_.cancel();
  batch_.cancel();
  alive_.cancel();
  if (caretaker_) save_snapshot();
  if (link_ && link_->connected() && caretaker_) {
    link_->publish(plan_->topic_root + "/service", "stopping", 1, true);
  }
  if (link_) link_->stop(stop_limit);
  loop_.stop();
}

}  // namespace

int run_service(const ServiceOptions& options) {
  LoadedSite site = load_site(std::filesystem::path(options.site));
  if (!site.plan) {
    std::cerr << render_faults(site);
    return exit_site_not_valid;
  }
  return Service(options, std::make_shared<const Plan>(*std::move(site.plan))).run();
}

}  // namespace overwinter
