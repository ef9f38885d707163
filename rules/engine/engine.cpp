#include "rules/engine/engine.h"

#include <algorithm>

#include "rules/engine/command.h"
#include "rules/engine/readings.h"
#include "rules/engine/settle.h"
#include "rules/engine/snapshot.h"
#include "rules/engine/world.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

void apply(World& world, const SensorMessage& message) { accept_message(world, message); }
void apply(World& world, const CommandMessage& message) { execute(world, message); }
void apply(World&, const Tick&) {}

// A fresh stale_after for every sensor from the moment the link came up.
void apply(World& world, const LinkChanged& link) {
  if (world.link_up == link.up) return;
  world.link_up = link.up;
  if (link.up && world.now - world.link_since >= limits::gap_worth_telling) world.gap = {world.link_since, world.now};
  world.link_since = world.now;
  for (std::uint32_t s = 0; s < world.plan->sensors.size(); ++s) arm_sensor(world, s);
  for (std::uint32_t e = 0; e < world.models.size(); ++e) {
    if (world.models[e] != nullptr && world.models[e]->follows_the_link()) world.mark_entity(e);
  }
}

void apply(World& world, const JournalChanged& journal) {
  world.journal_writable = journal.writable;
  world.journal_trouble = journal.why;
  world.set_watch(0, Watch::journal_is_unwritable, !journal.writable);
}

}  // namespace

Engine::Engine(std::unique_ptr<World> world) : world_(std::move(world)) {}

Engine::Engine(std::shared_ptr<const Plan> plan, Instant start)
    : world_(std::make_unique<World>(std::move(plan), start)) {
  start_world(*world_);
}

Engine::~Engine() = default;
Engine::Engine(Engine&&) noexcept = default;
Engine& Engine::operator=(Engine&&) noexcept = default;

const Output& Engine::step(const Input& input) {
  World& world = *world_;
  world.out.clear();
  if (input.at < world.now) ++world.clamped;
  const Instant at = std::max(input.at, world.now);
  // Who speaks at the instant of a deadline spoke in time, and so does the next message of that instant. A tick says
  // that the instant is over.
  advance(world, std::holds_alternative<Tick>(input.what) ? at : at - Span(1));
  begin_pass(world, at);
  take_up_reload(world);
  std::visit([&](const auto& what) { apply(world, what); }, input.what);
  settle(world);
  tell_what_still_stands(world);
  return world.out;
}

Instant Engine::next_deadline() const { return world_->timers.next(); }
Instant Engine::now() const { return world_->now; }
std::string Engine::snapshot() const { return take_snapshot(*world_); }

Result<Engine> Engine::restore(std::shared_ptr<const Plan> plan, std::string_view bytes) {
  Result<std::unique_ptr<World>> world = restore_world(std::move(plan), bytes);
  if (!world) return tl::unexpected<Fault>(world.error());
  return Engine(std::move(*world));
}

}  // namespace overwinter
