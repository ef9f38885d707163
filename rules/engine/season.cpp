#include "rules/engine/season.h"

#include <algorithm>

#include "rules/engine/silence.h"

namespace overwinter {

Instant season_begins(const World& world) {
  const SeasonState& told = world.season;
  if (!told.lay_up || (told.returned && world.plan->lay_up > *told.returned)) return world.plan->lay_up;
  return *told.lay_up;
}

bool out_of_season(const World& world, const RuleSpec& rule) {
  return rule.season == SeasonScope::laid_up && !world.season.laid_up;
}

void settle_season(World& world) {
  const Instant begin = season_begins(world);
  const bool back = world.season.returned && world.now >= *world.season.returned && *world.season.returned >= begin;
  const bool laid_up = world.now >= begin && !back;
  Instant next = never;
  if (begin > world.now) next = begin;
  if (world.season.returned && *world.season.returned > world.now) next = std::min(next, *world.season.returned);
  world.timers.arm(world.season_timer(), next);
  if (laid_up == world.season.laid_up) return;
  world.season.laid_up = laid_up;
  for (const std::uint32_t alarm : world.wiring.seasonal_alarms) {
    world.mark_alarm(alarm);
    explain_silence_anew(world, world.plan->alarms[alarm].entity);
  }
  for (std::uint32_t i = 0; i < world.reminders.size(); ++i) world.mark_reminder(i);
}

}  // namespace overwinter
