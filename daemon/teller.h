// What leaves for the broker: notices and answers, which must arrive, and retained topics, which are levels and are
// said again whole on each connect. Without a connection what must arrive waits: in the journal, and in memory where
// the journal could not be written.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/journal.h"
#include "daemon/retained_state.h"
#include "rules/engine/plan.h"
#include "rules/engine/world.h"

namespace overwinter {

class Publisher;

class Teller {
 public:
  // journal: nullptr when there is none.
  Teller(std::shared_ptr<const Plan> plan, Journal* journal);

  // Another plan from the next connect on.
  void use_plan(std::shared_ptr<const Plan> plan);
  void use_link(Publisher* link) { link_ = link; }  // nullptr: none
  // A journal that could be opened late: it takes over what waits in memory.
  void move_into(Journal* journal);

  // --- What must arrive. It was committed before: its id is the journal's, 0 when it could not be written.
  void send(const OutboxEntry& entry);

  // --- Levels
  void publish_service(std::string_view state);  // "starting", "ready", "stopping"
  void changed() { is_changed_ = true; }
  // At once, ahead of the notice: who reads that finds the alarm's topic as it says.
  void publish_alarms(const World& world, Instant now);
  // After what was told: at once; of the entity of which a person told something also the quantities whose minute is
  // not over, for whoever said something looks whether it arrived. Otherwise at most once a second.
  enum class After : std::uint8_t { anything, what_was_told };
  void publish_changes(const World& world, Instant now, After after, std::uint32_t told_of = no_index);
  Instant next_deadline() const;  // never: nothing waits

  void connected(const World& world, Instant now);
  void disconnected() { under_way_.clear(); }

 private:
  void remember_from_journal();
  void send_what_is_left();
  void publish_gap(const World& world);
  void empty_obsolete();
  void publish(const std::vector<Publication>& publications);
  void remember(const std::vector<std::string>& topics);
  bool is_connected() const;

  std::shared_ptr<const Plan> plan_;
  Journal* journal_;
  Publisher* link_ = nullptr;
  RetainedState retained_;
  std::set<std::string> retained_ever_;  // topics that hold or held a retained message of ours
  std::set<std::uint64_t> under_way_;    // entries that the broker is about to have
  std::set<std::uint64_t> tried_;        // sent at least once since the program began, and not yet with the broker
  std::map<std::uint64_t, OutboxEntry> in_memory_;
  std::uint64_t last_in_memory_;
  std::map<std::uint64_t, std::uint64_t> journal_id_;  // of entries that were under way when the journal took them over
  Instant gap_until_{};                                // of the last gap, as said
  Instant changes_at_{};
  bool is_changed_ = false;
  bool was_ready_ = false;  // since the program began
};

}  // namespace overwinter
