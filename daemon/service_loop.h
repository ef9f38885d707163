// The service's own class, for service.cpp (running: time, inputs, outputs, upkeep), service_start.cpp (start, reload
// and end), service_journal.cpp (the state out of the journal) and service_trouble.cpp (what it says of itself).
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <csignal>
#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/broker_link.h"
#include "daemon/caretaker.h"
#include "daemon/journal.h"
#include "daemon/refused_anew.h"
#include "daemon/rival.h"
#include "daemon/service.h"
#include "daemon/service_notices.h"
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
  static constexpr Span between_journal_attempts = std::chrono::seconds(10);
  static std::string environment(const char* name);  // empty: it has none

  // --- start
  void start_link();
  std::string client_id() const { return "overwinter-" + plan_->site_id; }
  // --- the journal, and the state out of it
  bool open_journal();
  void open_late_journal();
  Told say_whether_journaled();
  void keep(const JournaledInput& input);  // in the journal, else in memory
  struct Restored {
    std::unique_ptr<Caretaker> caretaker;  // nullptr: no snapshot will do
    std::uint64_t number = 0;              // of the last input in it
  };
  Restored newest_snapshot(std::optional<Instant> at_most);
  bool each_input_after(std::uint64_t number, const std::function<void(const JournaledInput&)>& take);
  // The input once more in a state that is made anew, also a command under the topic_root of another site file.
  Told apply_again(Caretaker& anew, const JournaledInput& input) const;
  void recover();
  void set_time_back(Instant at);
  // --- what it says of itself
  void tell_of_itself(const std::optional<Notice>& notice);
  void tell_moved_aside();
  void tell_part_unread();
  void tell_refused_anew(const RefusedAnew& refused);
  void on_subscribed(const std::vector<std::string>& refused);
  void look_at_the_clock();
  void tell_of_rival(bool is_certain);
  void look_for_rival();
  void tell_left_early(Instant newest);  // of the readings for which the journal has no room
  void tell_room_again();
  // --- time
  Instant now();
  void arm_deadline();
  void on_deadline();
  // --- inputs
  void on_message(BrokerMessage message);
  void on_clock(const BrokerMessage& message);
  Told apply_at(Instant at, JournaledInput::Kind kind, std::string topic = {}, std::string payload = {},
                bool retained = false, const BrokerMessage* asked = nullptr);
  Told apply(JournaledInput::Kind kind, std::string topic = {}, std::string payload = {}, bool retained = false,
             const BrokerMessage* asked = nullptr);  // asked: whom to answer
  bool is_ours(std::string_view topic) const;
  void tell(const Told& told, bool is_command, const BrokerMessage* asked);
  void log(const Event& event);
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

  std::unique_ptr<Journal> journal_;  // nullptr: it could not be opened yet
  bool journal_is_sound_ = true;
  std::string journal_trouble_;  // why it could not be opened
  std::string moved_aside_;      // a damaged one: what a person should hear of it
  Span journal_tried_at_{};
  // Since the start, while there is no journal.
  struct Unwritten {
    JournaledInput input;
    std::vector<Event> told;
  };
  std::deque<Unwritten> unwritten_;
  std::size_t unwritten_bytes_ = 0;  // of topics and payloads
  ServiceNotices of_itself_;
  std::unique_ptr<Caretaker> caretaker_;
  std::unique_ptr<Teller> teller_;
  RivalWatch rival_;
  std::unique_ptr<BrokerLink> link_;  // its last callbacks find the rest still standing
  std::optional<TrustedClock> clock_;
  std::optional<Instant> told_time_;     // of the clock topic
  std::optional<Instant> set_back_to_;   // trusted time turned out to lie behind what was told
  Instant looked_at_{};                  // at the clock, and it said so
  std::optional<Instant> gap_from_;      // it was not awake, or time was set forward, since then
  std::optional<Span> untrusted_since_;  // the wall clock, by the steady one
  std::uint64_t last_number_ = 0, snapshot_number_ = 0, bytes_since_snapshot_ = 0;
  Instant snapshot_at_{}, thinned_at_{};  // the latter: when what is too old began to leave the journal
  bool is_thinning_ = false, is_full_ = false;
  std::optional<Instant> left_early_at_;
  std::string status_;
  int exit_code_ = exit_stopped;
  bool batch_armed_ = false, is_armed_ = false;
};

}  // namespace overwinter
