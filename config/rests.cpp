#include "config/rests.h"

#include <algorithm>
#include <map>

namespace overwinter {
namespace {

// "default: its place's": the slot that stands behind this one of gear, where something brings that.
std::uint32_t source_at_its_place(const Plan& plan, std::uint32_t slot) {
  const Entity& entity = plan.entities[plan.slots[slot].entity];
  if (entity.kind == &place_kind()) return no_index;
  for (const InputSpec& input : entity.kind->inputs) {
    if (input.quantity != plan.slot_name(slot)) continue;
    const std::uint32_t place = input.whose == InputSpec::Whose::outdoors ? plan.outdoors : entity.place;
    if (place == no_index) continue;
    const std::uint32_t behind = plan.find_slot(place, input.quantity);
    if (behind != no_index && plan.slots[behind].is_brought()) return behind;
  }
  return no_index;
}

bool has_source(const Plan& plan, std::uint32_t slot) {
  return plan.slots[slot].is_brought() || source_at_its_place(plan, slot) != no_index;
}

// Own quantities of the slot's entity that its kind names in `list` of this one.
std::vector<std::uint32_t> named_behind(const Plan& plan, std::uint32_t slot,
                                        std::vector<std::string_view> QuantitySpec::*list) {
  std::vector<std::uint32_t> behind;
  const Slot& s = plan.slots[slot];
  if (s.role != Slot::Role::computed && s.role != Slot::Role::measured) return behind;
  const Entity& entity = plan.entities[s.entity];
  for (const std::string_view name : entity.kind->quantities[s.index].*list) {
    if (const auto index = entity.kind->quantity(name)) behind.push_back(entity.quantity_slot(*index));
  }
  return behind;
}

// The measured slots of which one reading makes a new value of this one.
std::vector<std::uint32_t> sampled_behind(const Plan& plan, std::uint32_t slot) {
  if (plan.slots[slot].role == Slot::Role::measured) return {slot};
  std::vector<std::uint32_t> sampled = named_behind(plan, slot, &QuantitySpec::rests_on);
  // What stands for a quantity that nothing brings is sampled where its place is.
  for (std::uint32_t& behind : sampled) {
    const Slot& s = plan.slots[behind];
    const QuantitySpec& own = plan.entities[s.entity].kind->quantities[s.index];
    const bool stands_for_it = !own.otherwise.empty() && own.otherwise == plan.slot_name(slot);
    if (!stands_for_it || plan.slots[behind].is_brought()) continue;
    if (const std::uint32_t there = source_at_its_place(plan, behind); there != no_index) behind = there;
  }
  return sampled;
}

std::vector<std::uint32_t> medians_behind(const Plan& plan, std::uint32_t slot) {
  return named_behind(plan, slot, &QuantitySpec::rests_on_medians_of);
}

std::set<std::uint32_t> needed_and_missing(const Plan& plan, std::uint32_t slot) {
  std::set<std::uint32_t> missing;
  for (const std::uint32_t needed : named_behind(plan, slot, &QuantitySpec::needs)) {
    if (!has_source(plan, needed)) missing.insert(needed);
  }
  return missing;
}

bool is_of_expected(Facet facet) {
  return facet == Facet::expected || facet == Facet::expected_plus_minus || facet == Facet::expected_now ||
         facet == Facet::expected_now_plus_minus || facet == Facet::deviation;
}

// Slots without a source behind this one; empty: it can be known. A place's air needs all that a quantity rests on; a
// piece of gear names first what its quantity cannot do without, and needs any one of those whose medians it follows.
std::set<std::uint32_t> missing_behind(const Plan& plan, std::uint32_t slot) {
  const Slot& s = plan.slots[slot];
  switch (s.role) {
    case Slot::Role::watch:
      return {};
    case Slot::Role::parameter:
      return s.value ? std::set<std::uint32_t>{} : std::set{slot};
    case Slot::Role::measured:
      return has_source(plan, slot) ? std::set<std::uint32_t>{} : std::set{slot};
    case Slot::Role::computed:
      break;
  }
  std::set<std::uint32_t> missing = needed_and_missing(plan, slot);
  const bool needs_all = plan.entities[s.entity].kind == &place_kind();
  for (const std::uint32_t behind : sampled_behind(plan, slot)) {
    if (!has_source(plan, behind)) missing.insert(behind);
    if (!needs_all) break;
  }
  const std::vector<std::uint32_t> medians = medians_behind(plan, slot);
  const auto serves = [&plan](std::uint32_t behind) { return has_source(plan, behind); };
  if (!medians.empty() && std::ranges::none_of(medians, serves)) missing.insert(medians.front());
  return missing;
}

// A cell of the walk over a program: what keeps it from being known.
using Missing = std::set<std::uint32_t>;

Missing all_of(const Missing& a, const Missing& b) {
  Missing both = a;
  both.insert(b.begin(), b.end());
  return both;
}

// One side is enough (`false and unknown` is false).
Missing either_of(const Missing& a, const Missing& b) { return a.empty() || b.empty() ? Missing{} : all_of(a, b); }

class Walk {
 public:
  Walk(const Plan& plan, const Program& program) : plan_(plan), program_(program) {}

  Missing run() {
    for (const Instruction& i : program_.code) step(i);
    return stack_.empty() ? Missing{} : stack_.back();
  }

 private:
  Missing behind(const Reference& reference) const {
    const Missing missing = missing_behind(plan_, reference.slot);
    if (!is_of_expected(reference.facet) || plan_.slots[reference.slot].role != Slot::Role::measured) return missing;
    return all_of(missing, needed_and_missing(plan_, reference.slot));
  }

  Missing pop() {
    if (stack_.empty()) return {};
    Missing top = std::move(stack_.back());
    stack_.pop_back();
    return top;
  }

  void fold(std::size_t count, Missing (*join)(const Missing&, const Missing&)) {
    Missing joined = pop();
    for (std::size_t k = 1; k < count; ++k) joined = join(joined, pop());
    stack_.push_back(std::move(joined));
  }

  void step(const Instruction& i) {
    switch (i.op) {
      case Op::constant:
      case Op::now:
        stack_.emplace_back();
        return;
      case Op::reference:
        stack_.push_back(behind(program_.references[i.index]));
        return;
      case Op::negate:
      case Op::logical_not:
      case Op::absolute_value:
      case Op::translate:
      case Op::history:
        return;
      case Op::add:
      case Op::subtract:
      case Op::multiply:
      case Op::divide:
      case Op::less:
      case Op::less_equal:
      case Op::greater:
      case Op::greater_equal:
      case Op::equal:
      case Op::not_equal:
        fold(2, all_of);
        return;
      case Op::logical_and:
      case Op::logical_or:
        fold(2, either_of);
        return;
      case Op::select: {
        const Missing otherwise = pop(), then = pop(), condition = pop();
        stack_.push_back(all_of(condition, either_of(then, otherwise)));
        return;
      }
      case Op::minimum:
      case Op::maximum:
        fold(i.count, all_of);
        return;
      case Op::known:
        pop();
        stack_.emplace_back();
        return;
      case Op::first_known:
        fold(i.count, either_of);
        return;
      case Op::call:
        if (i.count == 0) {
          stack_.emplace_back();
        } else {
          fold(i.count, all_of);
        }
        return;
    }
  }

  const Plan& plan_;
  const Program& program_;
  std::vector<Missing> stack_;
};

// By instruction: the shortest held_for that it lies under, 0: none.
std::vector<Span> held_over(const Program& program) {
  std::vector<Span> over(program.code.size());
  std::vector<std::size_t> begins;  // of what stands on the stack: where its code begins
  for (std::size_t at = 0; at < program.code.size(); ++at) {
    const Instruction& i = program.code[at];
    if (i.count > begins.size()) return std::vector<Span>(program.code.size());  // no checked program comes here
    const std::size_t begin = i.count == 0 ? at : begins[begins.size() - i.count];
    begins.resize(begins.size() - i.count);
    begins.push_back(begin);
    if (i.op != Op::history || program.histories[i.index].function != HistoryFunction::held_for) continue;
    const Span window = program.histories[i.index].window;
    for (std::size_t k = begin; k < at; ++k) over[k] = over[k] == Span{} ? window : std::min(over[k], window);
  }
  return over;
}

}  // namespace

std::vector<std::uint32_t> measured_behind(const Plan& plan, std::uint32_t slot) {
  std::vector<std::uint32_t> behind = medians_behind(plan, slot);
  for (const std::uint32_t sampled : sampled_behind(plan, slot)) behind.push_back(sampled);
  std::ranges::sort(behind);
  return behind;
}

void fill_slots(const Plan& plan, AlarmSpec& alarm) {
  std::set<std::uint32_t> measured;
  std::map<std::uint32_t, Span> sampled;  // and the shortest held_for that it is read under, 0: not always under one
  const std::vector<Span> over = held_over(alarm.raise);
  for (std::size_t at = 0; at < alarm.raise.code.size(); ++at) {
    if (alarm.raise.code[at].op != Op::reference) continue;
    const Reference& reference = alarm.raise.references[alarm.raise.code[at].index];
    for (const std::uint32_t slot : measured_behind(plan, reference.slot)) measured.insert(slot);
    for (const std::uint32_t slot : sampled_behind(plan, reference.slot)) {
      Span& shortest = sampled.try_emplace(slot, over[at]).first->second;
      shortest = std::min(shortest, over[at]);
    }
  }
  alarm.measured_slots.assign(measured.begin(), measured.end());
  for (const auto& [slot, shortest] : sampled) {
    if (plan.slots[slot].sensor == no_index || !plan.slots[slot].type.is_numeric()) continue;
    alarm.sampled_slots.push_back(slot);
    alarm.held_over.push_back(shortest);
  }
}

void fill_stale_after(const Plan& plan, Program& program) {
  for (HistoryCall& call : program.histories) {
    Span longest{};
    for (const std::uint32_t slot : call.slots) {
      for (const std::uint32_t behind : measured_behind(plan, slot)) {
        const std::uint32_t sensor = plan.slots[behind].sensor;
        if (sensor != no_index) {
          longest = std::max(longest, plan.sensors[sensor].stale_after);
        } else if (plan.slots[behind].by_hand) {
          longest = Span::max();
        }
      }
    }
    call.stale_after = longest == Span{} ? usual_stale_after : longest;
  }
}

std::set<std::uint32_t> never_known_because(const Plan& plan, const Program& program) {
  return Walk(plan, program).run();
}

}  // namespace overwinter
