// The life of an alarm, after ISA-18.2: one visible table, and the conditions and delays that drive it.
#pragma once

#include <string>
#include <string_view>

#include "rules/engine/world.h"

namespace overwinter {

enum class AlarmCause : std::uint8_t { raise, clear, acknowledge, forget, withdraw };

struct AlarmStep {
  AlarmLife next;
  bool tells;  // an event leaves
};
// state x cause -> state and whether it is told.
AlarmStep alarm_step(AlarmLife life, AlarmCause cause);

// Evaluates the conditions of every dirty alarm; suppressors first, events in plan order.
void settle_alarms(World& world);

// Commands. Empty: done; else why not.
std::string acknowledge_alarm(World& world, std::uint32_t alarm, const std::string& by);
// `reason`: why it ended by itself; none: a person ended it.
std::string unshelve_alarm(World& world, std::uint32_t alarm, const std::string& by, const std::string& reason);

// Hides it until then; a shelved alarm may be shelved anew.
void shelve_alarm(World& world, std::uint32_t alarm, Instant until, const std::string& by, const std::string& why);

// Ends an alarm for another reason than its condition: out_of_service, season, rule_removed, gear_removed.
void withdraw_alarm(World& world, std::uint32_t alarm, std::string_view reason);
// Alarms of a former plan that the present one does not have.
void tell_orphans(World& world);

std::uint32_t find_alarm(const Plan& plan, std::string_view rule, std::string_view gear);  // no_index: none

// What {detail} says in the messages of the watch rules: of what the rule asks about, and of nothing else.
std::string watch_detail(const World& world, std::uint32_t alarm);

}  // namespace overwinter
