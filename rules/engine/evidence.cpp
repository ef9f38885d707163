#include "rules/engine/evidence.h"

#include "rules/quantity/age.h"
#include "rules/quantity/print.h"

namespace overwinter {

std::optional<Instant> stale_since(const World& world, std::uint32_t alarm) {
  const AlarmState& a = world.alarms[alarm];
  if (!a.active() || a.unknown_since == Instant{}) return std::nullopt;
  return a.unknown_since;
}

std::string source_of(const World& world, std::uint32_t alarm) {
  // A gauge that a person held counts, not the thermometer beside it: its own readings first.
  const AlarmSpec& spec = world.plan->alarms[alarm];
  const SlotState* newest = nullptr;
  bool newest_is_own = false;
  for (const std::uint32_t slot : spec.measured_slots) {
    const SlotState& s = world.board[slot];
    const bool own = world.plan->slots[slot].entity == spec.entity;
    if (s.at == Instant{} || (newest_is_own && !own)) continue;
    if (newest != nullptr && own == newest_is_own && s.at <= newest->at) continue;
    newest = &s;
    newest_is_own = own;
  }
  if (newest == nullptr) return {};
  // The words are of the time when they were made; a newer reading is not in them.
  const Plan& plan = *world.plan;
  const Instant told = world.alarms[alarm].raised;
  if (newest->at > told) return " (as of " + print_date_and_time(told, plan.units, plan.zone, world.now) + ")";
  if (!newest->by_hand) return " (sensor, " + age_words(world.now - newest->at) + ")";
  return " (by hand, " + print_date(newest->at, world.plan->units, world.plan->zone, world.now) + ")";
}

}  // namespace overwinter
