#include "config/rests.h"

#include <algorithm>
#include <map>
#include <optional>
#include <span>
#include <utility>

#include "config/operands.h"
#include "rules/limits.h"

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

// Itself, or all that a computed quantity rests on. In plan order.
std::vector<std::uint32_t> measured_behind(const Plan& plan, std::uint32_t slot) {
  std::vector<std::uint32_t> behind = medians_behind(plan, slot);
  for (const std::uint32_t sampled : sampled_behind(plan, slot)) behind.push_back(sampled);
  std::ranges::sort(behind);
  return behind;
}

using Missing = std::set<Need>;

bool is_given(const Plan& plan, std::uint32_t slot) {
  return plan.slots[slot].role == Slot::Role::parameter ? plan.slots[slot].value.has_value() : has_source(plan, slot);
}

// A quantity or parameter that a kind's table names.
std::uint32_t slot_in_table(const Plan& plan, std::uint32_t entity, std::string_view name) {
  constexpr std::string_view outdoors = "outdoors.";
  if (!name.starts_with(outdoors)) return plan.find_slot(entity, name);
  return plan.outdoors == no_index ? no_index : plan.find_slot(plan.outdoors, name.substr(outdoors.size()));
}

std::optional<Need> one_missing_of(const Plan& plan, std::uint32_t entity, std::span<const std::string_view> names) {
  Need need;
  for (const std::string_view name : names) {
    const std::uint32_t slot = slot_in_table(plan, entity, name);
    if (slot == no_index) continue;
    if (is_given(plan, slot)) return std::nullopt;
    need.any_of.push_back(slot);
  }
  return need.any_of.empty() ? std::nullopt : std::optional(need);
}

Missing needed_and_missing(const Plan& plan, std::uint32_t slot) {
  const Slot& s = plan.slots[slot];
  const QuantitySpec& quantity = plan.entities[s.entity].kind->quantities[s.index];
  Missing missing;
  for (const std::string_view& name : quantity.needs) {
    if (slot_in_table(plan, s.entity, name) == slot) missing.insert(Need{{slot}, true});
    if (auto need = one_missing_of(plan, s.entity, std::span(&name, 1))) missing.insert(std::move(*need));
  }
  if (auto need = one_missing_of(plan, s.entity, quantity.needs_one_of)) missing.insert(std::move(*need));
  return missing;
}

// The measured slots that a reference to this one rests on. What a gauge would show now moves with what its model
// needs, read here or at its place, and not with the gauge.
struct RestsOn {
  std::vector<std::uint32_t> sampled;   // of which one reading makes a new value
  std::vector<std::uint32_t> measured;  // all
};
RestsOn rests_on(const Plan& plan, const Reference& reference) {
  const Slot& s = plan.slots[reference.slot];
  if (!is_of_now(reference.facet) || s.role != Slot::Role::measured) {
    return {sampled_behind(plan, reference.slot), measured_behind(plan, reference.slot)};
  }
  RestsOn found;
  for (const std::string_view name : plan.entities[s.entity].kind->quantities[s.index].needs) {
    std::uint32_t slot = slot_in_table(plan, s.entity, name);
    if (slot == no_index || plan.slots[slot].role != Slot::Role::measured) continue;
    if (!plan.slots[slot].is_brought()) slot = source_at_its_place(plan, slot);
    if (slot != no_index) found.sampled.push_back(slot);
  }
  found.measured = found.sampled;
  return found;
}

// What is missing behind this slot; empty: it can be known. A place's air needs all that a quantity rests on; a piece
// of gear names first what its quantity cannot do without, and needs any one of those whose medians it follows.
Missing missing_behind(const Plan& plan, std::uint32_t slot) {
  const Slot& s = plan.slots[slot];
  switch (s.role) {
    case Slot::Role::watch:
      return {};
    case Slot::Role::parameter:
    case Slot::Role::measured:
      return is_given(plan, slot) ? Missing{} : Missing{Need{{slot}}};
    case Slot::Role::computed:
      break;
  }
  Missing missing = needed_and_missing(plan, slot);
  const bool needs_all = plan.entities[s.entity].kind == &place_kind();
  for (const std::uint32_t behind : sampled_behind(plan, slot)) {
    if (!has_source(plan, behind)) missing.insert(Need{{behind}});
    if (!needs_all) break;
  }
  const std::vector<std::uint32_t> medians = medians_behind(plan, slot);
  const auto serves = [&plan](std::uint32_t behind) { return has_source(plan, behind); };
  if (!medians.empty() && std::ranges::none_of(medians, serves)) missing.insert(Need{{medians.front()}});
  return missing;
}

// What must be brought before something can be; nothing: it never can, whatever is brought.
using Lacking = std::optional<Missing>;

Lacking all_of(const Lacking& a, const Lacking& b) {
  if (!a || !b) return std::nullopt;
  Missing both = *a;
  both.insert(b->begin(), b->end());
  return both;
}

// One side is enough (`false and unknown` is false).
Lacking either_of(const Lacking& a, const Lacking& b) {
  if (!a || !b) return a ? a : b;
  return a->empty() || b->empty() ? Missing{} : all_of(a, b);
}

// A cell of the walk over a program: the answers that it can have. A number that is known may be zero or not.
struct Answers {
  Lacking yes = Missing{}, no = Missing{};
  bool may_be_unknown = true;

  Lacking known() const { return either_of(yes, no); }
  static Answers number(const Lacking& known, bool may_be_unknown = true) { return {known, known, may_be_unknown}; }
  static Answers of(double constant) {
    const Lacking can = Missing{};
    return constant != 0 ? Answers{can, std::nullopt, false} : Answers{std::nullopt, can, false};
  }
};

Answers both(const Answers& a, const Answers& b) {
  return Answers::number(all_of(a.known(), b.known()), a.may_be_unknown || b.may_be_unknown);
}

Answers logical_and(const Answers& a, const Answers& b) {
  return {all_of(a.yes, b.yes), either_of(a.no, b.no), a.may_be_unknown || b.may_be_unknown};
}

Answers logical_not(const Answers& a) { return {a.no, a.yes, a.may_be_unknown}; }

Answers logical_or(const Answers& a, const Answers& b) {
  return logical_not(logical_and(logical_not(a), logical_not(b)));
}

Answers select(const Answers& condition, const Answers& then, const Answers& otherwise) {
  return {either_of(all_of(condition.yes, then.yes), all_of(condition.no, otherwise.yes)),
          either_of(all_of(condition.yes, then.no), all_of(condition.no, otherwise.no)),
          condition.may_be_unknown || then.may_be_unknown || otherwise.may_be_unknown};
}

Answers first_known(std::span<const Answers> of) {
  Answers first{std::nullopt, std::nullopt, true};
  for (const Answers& next : of) {
    first = {either_of(first.yes, next.yes), either_of(first.no, next.no), next.may_be_unknown};
    if (!next.may_be_unknown) break;
  }
  return first;
}

// Of a function of history: one reading of x is enough; held_for is false until its time is over.
Answers over_time(HistoryFunction function, const Answers& x) {
  if (function == HistoryFunction::held_for) return {x.yes, x.known(), x.may_be_unknown};
  return Answers::number(x.known());
}

class Walk {
 public:
  Walk(const Plan& plan, const Program& program) : plan_(plan), program_(program) {}

  Answers run() {
    for (const Instruction& i : program_.code) {
      if (i.brings_constant) stack_.push_back(Answers::of(program_.constants[i.index]));
      const std::size_t count = i.count + (i.brings_constant ? 1U : 0U);
      if (count > stack_.size()) return {};  // no checked program comes here
      const std::span operands = std::span(stack_).last(count);
      Answers answers = answer(i, operands);
      stack_.resize(stack_.size() - count);
      stack_.push_back(std::move(answers));
    }
    return stack_.empty() ? Answers{} : stack_.back();
  }

 private:
  Answers behind(const Reference& reference) const {
    const Slot& slot = plan_.slots[reference.slot];
    Missing missing = missing_behind(plan_, reference.slot);
    if (needs_expected(reference.facet) && slot.role == Slot::Role::measured) {
      missing.merge(needed_and_missing(plan_, reference.slot));
    }
    return Answers::number(missing, slot.role != Slot::Role::parameter || !slot.value);
  }

  Answers answer(const Instruction& i, std::span<const Answers> operands) const {
    switch (i.op) {
      case Op::constant:
        return Answers::of(program_.constants[i.index]);
      case Op::now:
        return Answers::number(Missing{}, false);
      case Op::reference:
        return behind(program_.references[i.index]);
      case Op::negate:
      case Op::absolute_value:
      case Op::translate:
        return Answers::number(operands[0].known(), operands[0].may_be_unknown);
      case Op::history:
        return over_time(program_.histories[i.index].function, operands[0]);
      case Op::logical_not:
        return logical_not(operands[0]);
      case Op::logical_and:
        return logical_and(operands[0], operands[1]);
      case Op::logical_or:
        return logical_or(operands[0], operands[1]);
      case Op::select:
        return select(operands[0], operands[1], operands[2]);
      case Op::known:
        return {operands[0].known(), operands[0].may_be_unknown ? Lacking(Missing{}) : std::nullopt, false};
      case Op::first_known:
        return first_known(operands);
      case Op::add:
      case Op::subtract:
      case Op::multiply:
      case Op::less:
      case Op::less_equal:
      case Op::greater:
      case Op::greater_equal:
      case Op::equal:
      case Op::not_equal:
      case Op::minimum:
      case Op::maximum:
        return of_all(operands);
      case Op::divide:
      case Op::call: {
        Answers answers = of_all(operands);
        answers.may_be_unknown = true;  // by zero, outside of its range
        return answers;
      }
    }
    return {};
  }

  static Answers of_all(std::span<const Answers> operands) {
    Answers all = Answers::number(Missing{}, false);
    for (const Answers& operand : operands) all = both(all, operand);
    return all;
  }

  const Plan& plan_;
  const Program& program_;
  std::vector<Answers> stack_;
};

}  // namespace

void fill_slots(const Plan& plan, AlarmSpec& alarm) {
  std::set<std::uint32_t> measured;
  struct Read {
    Span held{};  // the shortest held_for that it is read under, 0: not always under one
    bool at_once = false;
  };
  std::map<std::uint32_t, Read> sampled;
  const std::vector<Under> under = lies_under(alarm.raise);
  for (std::size_t at = 0; at < alarm.raise.code.size(); ++at) {
    if (alarm.raise.code[at].op != Op::reference) continue;
    const Reference& reference = alarm.raise.references[alarm.raise.code[at].index];
    const RestsOn rests = rests_on(plan, reference);
    measured.insert(rests.measured.begin(), rests.measured.end());
    for (const std::uint32_t slot : rests.sampled) {
      Read& read = sampled.try_emplace(slot, Read{under[at].held, false}).first->second;
      read.held = std::min(read.held, under[at].held);
      read.at_once = read.at_once || !under[at].over_time;
    }
  }
  alarm.measured_slots.assign(measured.begin(), measured.end());
  for (const auto& [slot, read] : sampled) {
    if (plan.slots[slot].sensor == no_index || !plan.slots[slot].type.is_numeric()) continue;
    alarm.sampled_slots.push_back(slot);
    alarm.held_over.push_back(read.held);
    alarm.counts_at_once.push_back(read.at_once);
  }
}

void fill_stale_after(const Plan& plan, Program& program) {
  const std::vector<std::size_t> begins = begins_of(program);
  for (std::size_t at = 0; at < begins.size(); ++at) {
    if (program.code[at].op != Op::history) continue;
    HistoryCall& call = program.histories[program.code[at].index];
    Span longest{};
    bool stands = false;  // what somebody reads, and a boolean, are never stale
    for (std::size_t k = begins[at]; k < at; ++k) {
      if (program.code[k].op != Op::reference) continue;
      for (const std::uint32_t behind : rests_on(plan, program.references[program.code[k].index]).measured) {
        const std::uint32_t sensor = plan.slots[behind].sensor;
        const Span stale = sensor != no_index ? plan.sensors[sensor].stale_after : Span::max();
        if (!plan.slots[behind].is_brought()) continue;
        if (stale == Span::max()) {
          stands = true;
        } else {
          longest = std::max(longest, stale);
        }
      }
    }
    call.stale_after = longest > Span{} ? longest : stands ? Span::max() : limits::stale_after;
  }
}

std::optional<Need> says_nothing_without(const Plan& plan, std::uint32_t parameter) {
  const Slot& s = plan.slots[parameter];
  if (s.assumed || !s.value || *s.value == 0) return std::nullopt;  // no load needs no capacity
  return one_missing_of(plan, s.entity, plan.entities[s.entity].kind->parameters[s.index].needs_one_of);
}

std::set<Need> never_true_because(const Plan& plan, const Program& program) {
  return Walk(plan, program).run().yes.value_or(Missing{});
}

}  // namespace overwinter
