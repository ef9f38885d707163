#include "rules/engine/single_reading.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "rules/engine/shared_jump.h"
#include "rules/language/evaluator.h"

namespace overwinter {
namespace {

// A window that holds a single reading of the slot: held_for, mean and the like turn true between two messages.
bool is_alone_in_window(const World& world, std::uint32_t index, std::uint32_t slot) {
  const auto& histories = world.plan->alarms[index].raise.histories;
  return std::any_of(histories.begin(), histories.end(), [&](const HistoryCall& call) {
    return std::find(call.slots.begin(), call.slots.end(), slot) != call.slots.end() &&
           world.series[slot].before.at < world.now - call.window;
  });
}

// Its newest reading is the first, or a leap from the one before that nothing has confirmed yet.
bool is_alone_in_its_leap(const World& world, std::uint32_t slot) {
  const SeriesState& series = world.series[slot];
  if (!series.sensor.present) return false;
  if (!series.before.present) return true;
  return std::abs(series.sensor.value - series.before.value) > world.board[slot].plus_minus;
}

// The reading before is no older than the sensor may be silent.
bool has_reading_before(const World& world, std::uint32_t slot) {
  const SeriesState& series = world.series[slot];
  const Span stale_after = world.plan->sensors[world.plan->slots[slot].sensor].stale_after;
  return series.before.present && series.sensor.at - series.before.at <= stale_after;
}

bool is_of_a_model(const World& world, Reference reference) {
  return needs_expected(reference.facet) || world.plan->slots[reference.slot].role == Slot::Role::computed;
}

// What a condition reads, but for the newest readings of some sensors: the ones before in their place, or nothing. What
// a model makes of a reading cannot be taken back, and is unknown.
class WithoutNewest final : public Readings {
 public:
  WithoutNewest(const World& world, const std::vector<std::uint32_t>& taken_back)
      : world_(world), taken_back_(taken_back) {}
  Cell read(Reference reference) const override {
    if (is_of_a_model(world_, reference)) return {};
    if (std::ranges::find(taken_back_, reference.slot) == taken_back_.end()) return world_.board.read(reference);
    if (!world_.board[reference.slot].has_value || !has_reading_before(world_, reference.slot)) return {};
    if (reference.facet != Facet::value) return world_.board.read(reference);
    return Cell::of(world_.series[reference.slot].before.value);
  }
  Instant arrived(std::uint32_t slot) const override { return world_.board.arrived(slot); }

 private:
  const World& world_;
  const std::vector<std::uint32_t>& taken_back_;
};

// Neither a model nor a function of history makes something of the reading that cannot be taken back.
bool reads_what_is_measured_alone(const World& world, const Program& program) {
  return program.histories.empty() && std::ranges::none_of(program.references, [&](const Reference& reference) {
           return is_of_a_model(world, reference);
         });
}

bool holds_without(const World& world, std::uint32_t index, const std::vector<std::uint32_t>& newest) {
  const Program& raise = world.plan->alarms[index].raise;
  const WithoutNewest readings(world, newest);
  const Cell before = reads_what_is_measured_alone(world, raise)
                          ? evaluate(raise, readings, {}, world.now)
                          : evaluate_whatever_is_unknown(raise, readings, world.now);
  return before.known && before.value != 0;
}

// Another input made the condition true. What came with the reading in one message is taken back with it.
bool holds_without_newest(const World& world, std::uint32_t index, std::uint32_t slot) {
  std::vector<std::uint32_t> taken_back{slot};
  for (const std::uint32_t other : world.plan->alarms[index].sampled_slots) {
    const SlotState& s = world.board[other];
    if (other != slot && world.board.fresh(other) && s.has_value && !s.by_hand) taken_back.push_back(other);
  }
  return holds_without(world, index, taken_back);
}

// A window has its readings to the end, also where its sensor fell silent since.
bool is_kept_in_window(HistoryFunction function) {
  return function != HistoryFunction::held_for && function != HistoryFunction::change;
}

// It was read once more; or its sensor fell silent and what holds now rests on it no more, unless a window keeps it.
bool is_awaited_no_more(const World& world, std::uint32_t index, std::uint32_t slot) {
  if (world.board[slot].has_value) return world.board.fresh(slot);
  const auto& histories = world.plan->alarms[index].raise.histories;
  return std::ranges::none_of(histories, [&](const HistoryCall& call) {
    return is_kept_in_window(call.function) && std::ranges::find(call.slots, slot) != call.slots.end();
  });
}

// Nothing but held_for reads it: what each reading in its window agreed on is no matter of the newest one.
bool rests_on_single_reading(const World& world, std::uint32_t index, std::uint32_t sampled) {
  const std::uint32_t slot = world.plan->alarms[index].sampled_slots[sampled];
  const Span held_over = world.plan->alarms[index].held_over[sampled];
  if (holds_without_newest(world, index, slot)) return false;
  if (held_over > Span{}) return world.series[slot].before.at < world.now - held_over;
  if (reads_what_is_measured_alone(world, world.plan->alarms[index].raise)) return true;
  // To a mean, what was read this instant adds nothing yet; what arrives late does.
  const bool counts = world.plan->alarms[index].counts_at_once[sampled] || world.series[slot].sensor.at < world.now;
  return (counts && world.board.fresh(slot)) || is_alone_in_window(world, index, slot) ||
         is_alone_in_its_leap(world, slot);
}

// What raises it rests on the word of a model that has seen several readings agree, and on nothing else that is
// sampled.
bool rests_on_confirmed_words(const World& world, std::uint32_t index) {
  const Plan& plan = *world.plan;
  return std::ranges::all_of(plan.alarms[index].raise.references, [&](const Reference& reference) {
    const Slot& slot = plan.slots[reference.slot];
    if (slot.role == Slot::Role::parameter || slot.role == Slot::Role::watch) return true;
    const QuantitySpec& quantity = plan.entities[slot.entity].kind->quantities[slot.index];
    if (slot.role == Slot::Role::computed && quantity.rests_on.empty()) return true;
    return std::ranges::find(quantity.confirmed, world.board[reference.slot].value) != quantity.confirmed.end();
  });
}

}  // namespace

void follow_waits(World& world, std::uint32_t index, Delay& delay, bool begins) {
  const auto& sampled = world.plan->alarms[index].sampled_slots;
  if (begins) {
    const bool confirmed = rests_on_confirmed_words(world, index);
    for (std::uint32_t i = 0; i < sampled.size(); ++i) {
      const SlotState& s = world.board[sampled[i]];
      // A person has looked; or the sensor fell silent, and silence is no packet.
      if (s.by_hand || !s.has_value || !rests_on_single_reading(world, index, i)) continue;
      if (!confirmed) delay.waits.push_back(i);
      if (const Instant held = held_since(world, sampled[i]); held != Instant{}) {
        delay.began = delay.resumed = std::min(delay.began, held);
      }
    }
    return;
  }
  std::erase_if(delay.waits,
                [&](std::uint32_t i) { return i >= sampled.size() || is_awaited_no_more(world, index, sampled[i]); });
}

bool rests_on_awaited(const World& world, std::uint32_t index, const Delay& delay) {
  if (delay.waits.empty()) return false;
  std::vector<std::uint32_t> awaited;
  for (const std::uint32_t i : delay.waits) awaited.push_back(world.plan->alarms[index].sampled_slots[i]);
  return !holds_without(world, index, awaited);
}

void wait_for_each(const World& world, std::uint32_t index, Delay& delay) {
  const auto& sampled = world.plan->alarms[index].sampled_slots;
  delay.waits.clear();
  for (std::uint32_t i = 0; i < sampled.size(); ++i) {
    if (!world.board[sampled[i]].by_hand) delay.waits.push_back(i);
  }
}

}  // namespace overwinter
