// The service's own class, for service.cpp (running: time, inputs, outputs, upkeep) and service_start.cpp (start,
// reload and end).
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <csignal>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/broker_link.h"
#include "daemon/caretaker.h"
#include "daemon/journal.h"
#include "daemon/service.h"
#include "daemon/teller.h"
#include "daemon/trusted_clock.h"

namespace overwinter {

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
  struct Restored {
    std::unique_ptr<Caretaker> caretaker;  // nullptr: no snapshot will do
    std::uint64_t number = 0;              // of the last input in it
  };
  Restored newest_snapshot(std::optional<Instant> at_most);
  void start_link();
  // --- time
  Instant now();
  void set_time_back(Instant at);
  void arm_deadline();
  void on_deadline();
  // --- inputs
  void on_message(BrokerMessage message);
  void on_clock(const BrokerMessage& message);
  Told apply(JournaledInput::Kind kind, std::string topic = {}, std::string payload = {}, bool retained = false,
             const BrokerMessage* asked = nullptr);  // asked: whom to answer
  void tell(const Told& told, bool is_command, const BrokerMessage* asked);
  void commit(const std::vector<Event>& events, std::vector<OutboxEntry>& outbox, bool synced);
  // --- outputs
  void on_connected();
  void on_lost(const std::string& why);
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
  std::unique_ptr<Teller> teller_;
  std::unique_ptr<BrokerLink> link_;  // its last callbacks find the rest still standing
  std::optional<TrustedClock> clock_;
  std::optional<Instant> told_time_;    // of the clock topic
  std::optional<Instant> set_back_to_;  // trusted time turned out to lie behind what was told
  std::uint64_t last_number_ = 0, snapshot_number_ = 0;
  Instant snapshot_at_{}, retention_at_{};
  std::optional<Instant> armed_for_;  // what the deadline's timer waits for
  std::string status_;
  int exit_code_ = exit_stopped;
  bool batch_armed_ = false;
};

}  // namespace overwinter
