#include <fmt/format.h>

#include <boost/asio/post.hpp>
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <random>
#include <utility>

#include "config/site_file.h"
#include "daemon/first_moments.h"
#include "daemon/journal_place.h"
#include "daemon/password.h"
#include "daemon/printable.h"
#include "daemon/readiness.h"
#include "daemon/service_loop.h"
#include "daemon/site_counts.h"
#include "daemon/tls_files.h"
#include "rules/engine/world.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;

constexpr Span will_delay = 30s;
constexpr Span stop_limit = 3s;

LoadedSite load_site_of_service(const std::string& file) {
  LoadedSite site = load_site(std::filesystem::path(file));
  require_broker(site);
  return site;
}

// For a phone: where the first fault stands and what it is, without the line itself.
std::string first_fault(const std::string& faults) { return faults.substr(0, faults.find('\n')); }

}  // namespace

std::string Service::environment(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): nobody sets it
  return value == nullptr ? std::string() : std::string(value);
}

// --------------------------------------------------------------------------------------------------------------- start

void Service::start_link() {
  const Result<std::string> password = read_password(plan_->broker, environment("CREDENTIALS_DIRECTORY"));
  if (!password) log_.error(password.error().text + "; " + password.error().hint);
  if (const Result<void> files = check_tls_files(plan_->broker); !files) {
    log_.error(files.error().text + "; " + files.error().hint);
  }
  BrokerSettings settings;
  settings.spec = plan_->broker;
  settings.client_id = client_id();
  settings.password = password.value_or(std::string());
  settings.commands = plan_->topic_root + "/do/";
  settings.keeps_session = options_.clock_topic.empty();
  settings.will_topic = plan_->topic_root + "/service";
  settings.will_payload = "lost";
  settings.will_delay = will_delay;
  BrokerLink::Callbacks callbacks;
  callbacks.connected = [this] { on_connected(); };
  callbacks.lost = [this](const std::string& why) { on_lost(why); };
  callbacks.taken_over = [this] { tell_of_rival(true); };
  callbacks.message = [this](BrokerMessage message) { on_message(std::move(message)); };
  callbacks.subscribed = [this](const std::vector<std::string>& refused) { on_subscribed(refused); };
  callbacks.not_taken = [this](const std::string& topic, const std::string& why) {
    log_.seldom(LogLevel::error, "not taken",
                fmt::format("the broker does not take what is published on {}: {}; see its access list", topic, why),
                read_clocks().steady);
  };
  callbacks.dropped = [this](std::uint64_t messages) {
    log_.seldom(LogLevel::warning, "dropped",
                fmt::format("{} messages came faster than they can be taken, and were dropped", messages),
                read_clocks().steady);
  };
  link_ = std::make_unique<BrokerLink>(loop_, std::move(settings), std::move(callbacks), std::random_device{}());
  teller_->use_link(link_.get());
  link_->start();
}

int Service::run() {
  end_first_moments();
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
  journal_tried_at_ = {};
  open_late_journal();
  LoadedSite site = load_site_of_service(options_.site);
  if (!site.plan) {
    const std::string faults = render_faults(site);
    log_.error("the new site file is not valid; the running one goes on\n" + faults);
    tell_of_itself(of_itself_.begins(*plan_, now(), "site_file", "The new site file is not valid",
                                     "The one before goes on. " + first_fault(faults)));
    tell_ready(status_);
    return;
  }
  const auto plan = std::make_shared<const Plan>(*std::move(site.plan));
  const std::string folder = environment("STATE_DIRECTORY"), place = journal_place(options_.journal, *plan_, folder);
  if (const std::string other = journal_place(options_.journal, *plan, folder); other != place) {
    log_.warning(fmt::format("the journal stays {} until the service starts again; then it is {}", place, other));
  }
  apply(JournaledInput::Kind::link_down);  // the link begins anew: another broker, other topics, another password
  save_snapshot();
  const bool moves = plan->broker.host != plan_->broker.host || plan->broker.port != plan_->broker.port;
  if (moves) teller_->publish_service("stopping");  // or the broker that it leaves would call it ready for ever
  teller_->use_link(nullptr);
  link_.reset();
  if (Result<Caretaker> restored = Caretaker::restore(plan, caretaker_->snapshot()); restored) {
    plan_ = plan;
    teller_->use_plan(plan_);
    *caretaker_ = *std::move(restored);
    if (!journal_) say_whether_journaled();
    apply(JournaledInput::Kind::tick);
    save_snapshot();
    tell_of_itself(of_itself_.is_over(*plan_, now(), "site_file", "The new site file is taken up."));
    log_.info("reloaded: " + in_words(count_site(*plan_)));
  } else {
    log_.error("the reload failed; the running site goes on: " + restored.error().text);
  }
  start_link();
  on_deadline();  // the disk, the clock: whoever mended something need not wait
  tell_ready(status_);
}

void Service::stop() {
  tell_stopping();
  log_.tell_left_out(Span::max());
  log_.info("stopping");
  deadline_.cancel();
  batch_.cancel();
  alive_.cancel();
  if (caretaker_) save_snapshot();
  teller_->publish_service("stopping");
  link_->stop(stop_limit);
  boost::asio::post(loop_, [this] {  // after what the link still has to tell
    flush_batch();
    loop_.stop();
  });
}

int run_service(const ServiceOptions& options) {
  LoadedSite site = load_site_of_service(options.site);
  if (!site.plan) {
    std::cerr << printable_lines(render_faults(site));
    return exit_site_not_valid;
  }
  return Service(options, std::make_shared<const Plan>(*std::move(site.plan))).run();
}

}  // namespace overwinter
