#include <fmt/format.h>

#include <boost/asio/post.hpp>
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <random>
#include <utility>

#include "config/site_file.h"
#include "daemon/journal_place.h"
#include "daemon/password.h"
#include "daemon/readiness.h"
#include "daemon/service_loop.h"
#include "daemon/time_set_back.h"
#include "rules/engine/world.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;

constexpr Span will_delay = 30s;
constexpr Span stop_limit = 3s;

std::string environment(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): nobody sets it
  return value == nullptr ? std::string() : std::string(value);
}

}  // namespace

// --------------------------------------------------------------------------------------------------------------- start

bool Service::open_journal() {
  const std::string file = journal_place(options_.journal, *plan_, environment("STATE_DIRECTORY"));
  Journal::Opened opened = Journal::open(file, read_clocks().wall);
  if (!opened.said.empty()) log_.error(opened.said);
  journal_ = std::move(opened.journal);
  journal_is_sound_ = journal_ != nullptr;
  return opened.trouble != Journal::Trouble::held;
}

// The newest that can be read and, if a time is given, is of no later one.
Service::Restored Service::newest_snapshot(std::optional<Instant> at_most) {
  for (std::uint64_t below = Journal::no_bound; journal_;) {
    const Result<SavedSnapshot> saved = journal_->snapshot(below);
    if (!saved || saved->bytes.empty()) break;
    below = saved->number;
    Result<Caretaker> restored = Caretaker::restore(plan_, saved->bytes);
    if (!restored) {
      log_.error("the journal's snapshot: " + restored.error().text + "; " + restored.error().hint);
      continue;
    }
    if (at_most && restored->world().now > *at_most) continue;
    return {std::make_unique<Caretaker>(*std::move(restored)), below};
  }
  return {};
}

// One boot into a wrong year, and then the right time came: the state is made anew as of now, so that calendar work
// does not wait for that year. What was said in between counts as said now; readings of an unknown time are left out.
void Service::set_time_back(Instant at) {
  log_.warning(fmt::format("the time is {} and was thought to be later; the state is made anew from the journal",
                           format_rfc3339(at)));
  flush_batch();
  auto [anew, number] = newest_snapshot(at);
  if (journal_) {
    const Result<void> read = journal_->each_input_after(number, [&, &anew = anew](const JournaledInput& input) {
      const auto counts = as_of(input, at, plan_->topic_root);
      if (!counts) return;
      if (!anew) anew = std::make_unique<Caretaker>(plan_, counts->at);
      anew->step(*counts);
    });
    if (!read) log_.error("the journal's inputs: " + read.error().text);
  }
  if (!anew) anew = std::make_unique<Caretaker>(plan_, at);
  *caretaker_ = std::move(*anew);
  const bool up = link_ && link_->connected();
  apply(up ? JournaledInput::Kind::link_up : JournaledInput::Kind::link_down);
  save_snapshot();
  if (up) teller_->connected(caretaker_->world(), now());
}

// The newest snapshot, then every input after it. What they told was committed with them and is not told again.
void Service::recover() {
  Restored newest = newest_snapshot(std::nullopt);
  const std::uint64_t number = last_number_ = snapshot_number_ = newest.number;
  caretaker_ = std::move(newest.caretaker);
  // A site file that changed meanwhile is a reload, and what that tells is new.
  Told at_reload;
  if (caretaker_ && caretaker_->world().reloaded) {
    at_reload = caretaker_->step({number, caretaker_->world().now, JournaledInput::Kind::tick, {}, {}, false});
  }
  std::uint64_t again = 0;
  if (journal_) {
    const auto read = journal_->each_input_after(number, [&](const JournaledInput& input) {
      if (!caretaker_) caretaker_ = std::make_unique<Caretaker>(plan_, input.at);
      caretaker_->step(input);
      ++again;
    });
    if (!read) log_.error("the journal's inputs: " + read.error().text);
    last_number_ = journal_->last_number();
  }
  const bool goes_on = caretaker_ != nullptr;
  if (options_.clock_topic.empty()) {
    clock_.emplace(read_clocks(), goes_on ? std::optional(caretaker_->world().now) : std::nullopt);
  }
  if (goes_on) {
    log_.info(fmt::format("goes on from {}; {} inputs applied again", format_rfc3339(caretaker_->world().now), again));
  } else {  // the journal's first input says when it all began
    const JournaledInput first{++last_number_, now(), JournaledInput::Kind::tick, {}, {}, false};
    caretaker_ = std::make_unique<Caretaker>(plan_, first.at);
    caretaker_->step(first);
    if (journal_) journal_->add(first);
  }
  snapshot_at_ = retention_at_ = now();
  tell(at_reload, false, nullptr);
  apply(JournaledInput::Kind::link_down);  // until the broker link is up no sensor falls silent
  apply(journal_ ? JournaledInput::Kind::journal_writable : JournaledInput::Kind::journal_unwritable);
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
  callbacks.dropped = [this](std::uint64_t messages) {
    log_.seldom(LogLevel::warning, "dropped",
                fmt::format("{} messages came faster than they can be taken, and were dropped", messages),
                read_clocks().steady);
  };
  link_ = std::make_unique<BrokerLink>(loop_, std::move(settings), std::move(callbacks), std::random_device{}());
  teller_->use(link_.get());
  link_->start();
}

int Service::run() {
  if (!open_journal()) return exit_journal_held;
  teller_ = std::make_unique<Teller>(plan_, journal_.get());
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
  apply(JournaledInput::Kind::link_down);  // the link begins anew: another broker, other topics, another password
  save_snapshot();
  teller_->use(nullptr);
  link_.reset();
  if (Result<Caretaker> restored = Caretaker::restore(plan, caretaker_->snapshot()); restored) {
    plan_ = plan;
    teller_->use(plan_);
    *caretaker_ = *std::move(restored);
    const bool has_told = !apply(JournaledInput::Kind::tick).nothing();
    save_snapshot();
    log_.info(has_told ? "reloaded" : "reloaded; nothing changed that anybody must know");
  } else {
    log_.error("the reload failed; the running site goes on: " + restored.error().text);
  }
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
  teller_->service("stopping");
  link_->stop(stop_limit);
  boost::asio::post(loop_, [this] { loop_.stop(); });  // after what the link still has to tell
}

int run_service(const ServiceOptions& options) {
  LoadedSite site = load_site(std::filesystem::path(options.site));
  if (!site.plan) {
    std::cerr << render_faults(site);
    return exit_site_not_valid;
  }
  if (!site.plan->broker.given) {
    std::cerr << options.site << ": error: it names no broker\n  write at least `broker: {host: localhost}`\n";
    return exit_site_not_valid;
  }
  return Service(options, std::make_shared<const Plan>(*std::move(site.plan))).run();
}

}  // namespace overwinter
