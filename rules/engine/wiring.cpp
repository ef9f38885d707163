#include "rules/engine/wiring.h"

#include <algorithm>
#include <map>
#include <numeric>
#include <string_view>
#include <tuple>

namespace overwinter {

using Pairs = std::vector<std::pair<std::uint32_t, std::uint32_t>>;

Rows::Rows(std::size_t row_count, const Pairs& pairs) : begin_(row_count + 1, 0) {
  Pairs sorted = pairs;
  std::sort(sorted.begin(), sorted.end());
  sorted.erase(std::unique(sorted.begin(), sorted.end()), sorted.end());
  values_.reserve(sorted.size());
  for (const auto& [row, value] : sorted) {
    ++begin_[row + 1];
    values_.push_back(value);
  }
  for (std::size_t i = 1; i < begin_.size(); ++i) begin_[i] += begin_[i - 1];
}

namespace {

// Its air does not move with the outdoors.
bool stands_heated(const Plan& plan, std::uint32_t entity) {
  const std::uint32_t place = plan.entities[entity].place;
  if (place == no_index || plan.entities[place].kind == nullptr) return false;
  const auto heated = plan.entities[place].kind->parameter("heated");
  return heated && plan.slots[plan.entities[place].parameter_slot(*heated)].value.value_or(0) != 0;
}

std::uint32_t size_of(const auto& container) { return static_cast<std::uint32_t>(container.size()); }

void add_references(Pairs& pairs, const Program& program, std::uint32_t user) {
  for (const Reference& r : program.references) pairs.emplace_back(r.slot, user);
}

// Templates are rendered when needed; only those with functions of history must be fed all the time.
void add_history_references(Pairs& pairs, const MessageTemplate& message, std::uint32_t user) {
  for (const MessageTemplate::Part& part : message.parts) {
    if (!part.program.histories.empty()) add_references(pairs, part.program, user);
  }
}

bool has_history(const MessageTemplate& message) { return message.history_count() > 0; }

Rows wire_models(const Plan& plan) {
  Pairs pairs;
  for (std::uint32_t e = 0; e < size_of(plan.entities); ++e) {
    const Entity& entity = plan.entities[e];
    if (entity.kind->make_model == nullptr) continue;
    for (std::uint8_t q = 0; q < entity.kind->quantities.size(); ++q) {
      if (entity.kind->quantities[q].measured) pairs.emplace_back(entity.quantity_slot(q), e);
    }
    for (std::uint8_t p = 0; p < entity.kind->parameters.size(); ++p) pairs.emplace_back(entity.parameter_slot(p), e);
    for (const InputSpec& input : entity.kind->inputs) {
      const std::uint32_t owner = input.whose == InputSpec::Whose::outdoors ? plan.outdoors : entity.place;
      if (owner == no_index) continue;
      const auto quantity = plan.entities[owner].kind->quantity(input.quantity);
      if (quantity && owner != e) pairs.emplace_back(plan.entities[owner].quantity_slot(*quantity), e);
    }
  }
  return Rows(plan.slots.size(), pairs);
}

Rows wire_alarms(const Plan& plan, std::vector<std::uint32_t>& timed) {
  Pairs pairs;
  for (std::uint32_t i = 0; i < size_of(plan.alarms); ++i) {
    const AlarmSpec& alarm = plan.alarms[i];
    add_references(pairs, alarm.raise, i);
    add_references(pairs, alarm.clear, i);
    add_history_references(pairs, alarm.title, i);
    add_history_references(pairs, alarm.message, i);
    if (alarm.raise.depends_on_time || alarm.clear.depends_on_time || has_history(alarm.title) ||
        has_history(alarm.message)) {
      timed.push_back(i);
    }
  }
  return Rows(plan.slots.size(), pairs);
}

Rows wire_waiting_alarms(const Plan& plan) {
  Pairs pairs;
  for (std::uint32_t i = 0; i < size_of(plan.alarms); ++i) {
    for (const std::uint32_t slot : plan.alarms[i].sampled_slots) pairs.emplace_back(slot, i);
  }
  return Rows(plan.slots.size(), pairs);
}

Rows wire_reminders(const Plan& plan, std::vector<std::uint32_t>& timed) {
  Pairs pairs;
  for (std::uint32_t i = 0; i < size_of(plan.reminders); ++i) {
    const ReminderSpec& reminder = plan.reminders[i];
    bool depends_on_time = has_history(reminder.message);
    for (const Program* program : {&reminder.due_when, &reminder.done_when, &reminder.good_day_when}) {
      const bool counts_when_due = program == &reminder.good_day_when && program->histories.empty();
      if (!counts_when_due) add_references(pairs, *program, i);
      depends_on_time = depends_on_time || program->depends_on_time;
    }
    add_history_references(pairs, reminder.message, i);
    if (depends_on_time) timed.push_back(i);
  }
  return Rows(plan.slots.size(), pairs);
}

Rows wire_good_days(const Plan& plan) {
  Pairs pairs;
  for (std::uint32_t i = 0; i < size_of(plan.reminders); ++i) add_references(pairs, plan.reminders[i].good_day_when, i);
  return Rows(plan.slots.size(), pairs);
}

Rows wire_judged(const Plan& plan) {
  Pairs pairs;
  for (std::uint32_t e = 0; e < size_of(plan.entities); ++e) {
    const Entity& entity = plan.entities[e];
    if (entity.kind == &place_kind() || entity.kind->make_model == nullptr) continue;
    for (std::uint8_t q = 0; q < entity.kind->quantities.size(); ++q) {
      if (entity.kind->quantities[q].has_expected) pairs.emplace_back(e, entity.quantity_slot(q));
    }
  }
  return Rows(plan.entities.size(), pairs);
}

// Of the others it is reckoned when somebody asks.
Rows wire_expected_now(const Plan& plan) {
  Pairs pairs;
  const auto add = [&](const Program& program) {
    for (const Reference& r : program.references) {
      if (!is_of_now(r.facet)) continue;
      pairs.emplace_back(plan.slots[r.slot].entity, plan.slots[r.slot].index);
    }
  };
  const auto add_message = [&](const MessageTemplate& message) {
    for (const MessageTemplate::Part& part : message.parts) add(part.program);
  };
  for (const AlarmSpec& alarm : plan.alarms) {
    add(alarm.raise);
    add(alarm.clear);
    add_message(alarm.title);
    add_message(alarm.message);
  }
  for (const ReminderSpec& reminder : plan.reminders) {
    add(reminder.due_when);
    add(reminder.done_when);
    add(reminder.good_day_when);
    add_message(reminder.message);
  }
  return Rows(plan.entities.size(), pairs);
}

// 0 where nothing suppresses it, else one more than the deepest of its suppressors. The site file has no circles of
// suppression; a plan that had one would still be wired.
std::vector<std::uint32_t> suppression_depths(const Plan& plan) {
  std::vector<std::uint32_t> depths(plan.alarms.size(), 0);
  bool deeper = true;
  for (std::size_t round = 0; deeper && round < plan.alarms.size(); ++round) {
    deeper = false;
    for (std::uint32_t i = 0; i < size_of(plan.alarms); ++i) {
      for (const std::uint32_t by : plan.alarms[i].suppressed_by) {
        if (depths[i] > depths[by]) continue;
        depths[i] = depths[by] + 1;
        deeper = true;
      }
    }
  }
  return depths;
}

std::vector<std::uint32_t> turns(const Plan& plan) {
  const std::vector<std::uint32_t> depths = suppression_depths(plan);
  std::vector<std::uint32_t> order(plan.alarms.size());
  std::iota(order.begin(), order.end(), 0);
  std::ranges::stable_sort(order, {}, [&](std::uint32_t alarm) { return depths[alarm]; });
  std::vector<std::uint32_t> turn(order.size());
  for (std::uint32_t i = 0; i < size_of(order); ++i) turn[order[i]] = i;
  return turn;
}

}  // namespace

Wiring::Wiring(const Plan& plan) {
  models = wire_models(plan);
  alarms = wire_alarms(plan, timed_alarms);
  waiting_alarms = wire_waiting_alarms(plan);
  reminders = wire_reminders(plan, timed_reminders);
  good_days = wire_good_days(plan);
  is_read.resize(plan.slots.size());
  for (std::uint32_t slot = 0; slot < is_read.size(); ++slot) {
    const Rows* readers[] = {&models, &alarms, &waiting_alarms, &reminders, &good_days};
    const bool is = std::ranges::any_of(readers, [slot](const Rows* rows) { return !(*rows)[slot].empty(); });
    is_read[slot] = is ? 1 : 0;
  }
  judged = wire_judged(plan);
  expected_now = wire_expected_now(plan);

  Pairs suppress, via, own_sensors, own_alarms, own_reminders;
  for (std::uint32_t i = 0; i < size_of(plan.alarms); ++i) {
    own_alarms.emplace_back(plan.alarms[i].entity, i);
    for (const std::uint32_t other : plan.alarms[i].suppressed_by) suppress.emplace_back(other, i);
    if (plan.rules[plan.alarms[i].rule].season == SeasonScope::laid_up) seasonal_alarms.push_back(i);
  }
  for (std::uint32_t i = 0; i < size_of(plan.reminders); ++i) own_reminders.emplace_back(plan.reminders[i].entity, i);

  std::map<std::tuple<std::string_view, std::uint32_t, std::uint8_t>, std::vector<std::uint32_t>> groups;
  for (std::uint32_t i = 0; i < size_of(plan.sensors); ++i) {
    const Sensor& sensor = plan.sensors[i];
    const Slot& slot = plan.slots[sensor.slot];
    const Entity& entity = plan.entities[slot.entity];
    if (sensor.via != no_index) via.emplace_back(sensor.via, i);
    own_sensors.emplace_back(slot.entity, i);
    if (entity.kind != &place_kind() && entity.kind->quantities[slot.index].has_expected) {
      groups[{entity.kind->name, entity.place, slot.index}].push_back(i);
    }
  }
  same_outdoors.assign(plan.sensors.size(), no_index);
  for (std::uint32_t i = 0; i < size_of(plan.sensors); ++i) {
    const Slot& slot = plan.slots[plan.sensors[i].slot];
    if (plan.outdoors == no_index || slot.entity == plan.outdoors || stands_heated(plan, slot.entity)) continue;
    const std::uint32_t other = plan.find_slot(plan.outdoors, plan.slot_name(plan.sensors[i].slot));
    const bool serves =
        other != no_index && plan.slots[other].sensor != no_index && plan.slots[other].type == slot.type;
    if (!serves) continue;
    same_outdoors[i] = other;
    if (slot.type.sort == Sort::temperature) in_the_weather.push_back(plan.sensors[i].slot);
  }
  jump_group_of.assign(plan.sensors.size(), no_index);
  for (auto& [key, members] : groups) {
    if (members.size() < 2) continue;
    for (const std::uint32_t sensor : members) jump_group_of[sensor] = size_of(jump_groups);
    jump_groups.push_back(std::move(members));
  }

  suppresses = Rows(plan.alarms.size(), suppress);
  settled_as = turns(plan);
  gateway_sensors = Rows(plan.entities.size(), via);
  entity_sensors = Rows(plan.entities.size(), own_sensors);
  entity_alarms = Rows(plan.entities.size(), own_alarms);
  entity_reminders = Rows(plan.entities.size(), own_reminders);
}

}  // namespace overwinter
