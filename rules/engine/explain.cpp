#include "rules/engine/explain.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "rules/engine/entity_view.h"
#include "rules/engine/sensor_itself.h"
#include "rules/gear/place_air.h"
#include "rules/language/evaluator.h"
#include "rules/quantity/age.h"

namespace overwinter {
namespace {

struct Printer {
  const World& world;
  std::uint32_t slot;

  const Slot& spec() const { return world.plan->slots[slot]; }
  std::string value(double v) const {
    return print_value(v, spec().type, spec().shown, world.plan->units, world.plan->zone, world.now);
  }
  std::string with_uncertainty(double v, double plus_minus) const {
    if (plus_minus <= 0 || !spec().type.is_numeric()) return value(v);
    return print_with_uncertainty(v, plus_minus, spec().type, spec().shown, world.plan->units);
  }
  std::string difference(double v) const {
    const std::string size = print_value(std::abs(v), spec().type.difference(), spec().shown, world.plan->units,
                                         world.plan->zone, world.now);
    return (v < 0 ? "-" : "+") + size;
  }
};

// "09:15 (20 min ago)"; of another day than the world's own: "Fri Dec 18 09:15 (26 h ago)".
std::string when_words(const World& world, Instant at) {
  const TimeZone& zone = world.plan->zone;
  std::string clock = print_date_and_time(at, world.plan->units, zone, world.now);
  if (local_day(at, zone) == local_day(world.now, zone)) clock.erase(0, clock.rfind(' ') + 1);
  return fmt::format("{} ({})", clock, age_words(world.now - at));
}

std::string source_words(const World& world, std::uint32_t slot) {
  const SlotState& s = world.board[slot];
  const Slot& spec = world.plan->slots[slot];
  if (spec.role == Slot::Role::computed) return "computed";
  if (!s.has_value) return {};
  const std::string when = when_words(world, s.at);
  const std::string source = source_of_reading(world, slot, s.by_hand);
  return source.empty() ? when : source + ", " + when;
}

std::string sensor_itself(const World& world, std::uint32_t slot) {
  const std::string words = sensor_itself_in_words(world, slot);
  if (words.empty()) return words;
  return words + ", " + when_words(world, sensor_itself_told(world, slot));
}

std::string judged(const SlotState& s) {
  if (!s.known() || !s.expected.known()) return {};
  const double beyond = s.value - s.expected.value;
  if (std::abs(beyond) <= std::max(s.expected.plus_minus, s.plus_minus)) return "as expected";
  return beyond < 0 ? "below what it should read" : "above what it should read";
}

// What the expected value rests on is what its model asks for at the instant of the reading; of a computed value, what
// its calculation asks for.
ExplainedNumbers explain_numbers(const World& world, std::uint32_t entity, std::uint8_t index) {
  const Entity& e = world.entity(entity);
  const QuantitySpec& quantity = e.kind->quantities[index];
  const SlotState& s = world.board[e.quantity_slot(index)];
  ExplainedNumbers out;
  out.type = quantity.type;
  out.measured = quantity.measured;
  out.has_expected = quantity.has_expected;
  if (s.has_value) {
    out.value = s.value;
    out.plus_minus = s.plus_minus;
    out.at = s.at;
    out.expected = s.expected;
    out.source = source_of_reading(world, e.quantity_slot(index), s.by_hand);
  }
  out.expected_now = expected_now(world, e.quantity_slot(index));
  if (world.models[entity] == nullptr) return out;
  const AskedInputs asked(world, entity, out.inputs);
  const Instant instant = s.has_value ? s.at : world.now;
  bool is_known = s.known();
  if (quantity.has_expected) {
    is_known = world.models[entity]->expected(asked, index, instant, s.by_hand).known();
  } else if (!quantity.measured) {
    Explanation lines;
    world.models[entity]->explain(asked, index, instant, lines);
  }
  for (const AskedInput& input : out.inputs) {
    if (!is_known && !input.known) out.missing.push_back(input.name);
  }
  std::erase_if(out.inputs, [](const AskedInput& input) { return !input.known; });
  return out;
}

// A verdict stands, and a reading that tells more of its instant may come after it: the calculation takes that too.
std::string since_judged(const Printer& print, const Expectation& judged, const Expectation& anew) {
  if (!judged.known() || !anew.known()) return {};
  const std::string then = print.with_uncertainty(judged.value, judged.plus_minus);
  if (then == print.with_uncertainty(anew.value, anew.plus_minus)) return {};
  return then + " was worked out when the reading came; this is with what was read since";
}

ExplainedQuantity explain_quantity(const World& world, std::uint32_t entity, std::uint8_t index) {
  const Entity& e = world.entity(entity);
  const QuantitySpec& quantity = e.kind->quantities[index];
  const std::uint32_t slot = e.quantity_slot(index);
  const SlotState& s = world.board[slot];
  const Printer print{world, slot};
  ExplainedQuantity out;
  out.numbers = explain_numbers(world, entity, index);
  out.name = quantity.name;
  out.source = source_words(world, slot);
  out.sensor_itself = sensor_itself(world, slot);
  out.value = s.has_value ? (quantity.measured ? print.value(s.value) : print.with_uncertainty(s.value, s.plus_minus))
                          : "unknown";
  if (!s.known() && s.because != nullptr) out.because = s.because;
  if (quantity.has_expected) {
    if (s.has_value && s.expected.known()) {
      out.expected = print.with_uncertainty(s.expected.value, s.expected.plus_minus);
      out.deviation = print.difference(s.value - s.expected.value);
      out.verdict = judged(s);
    } else if (s.has_value && s.expected.unknown_because != nullptr) {
      out.missing.emplace_back(s.expected.unknown_because);
    }
    const Expectation& now = out.numbers.expected_now;
    if (now.known()) out.expected_now = print.with_uncertainty(now.value, now.plus_minus);
  }
  if (world.models[entity] != nullptr) {
    const EntityView view = EntityView::to_ask(world, entity);
    Explanation lines;
    world.models[entity]->explain(view, index, s.has_value ? s.at : world.now, lines);
    out.calculation = std::move(lines.calculation);
    if (quantity.has_expected && s.has_value) {
      std::string line = since_judged(print, s.expected, world.models[entity]->expected(view, index, s.at, s.by_hand));
      if (!line.empty()) out.calculation.insert(out.calculation.begin(), std::move(line));
    }
    out.assumed = std::move(lines.assumed);
    for (std::string& line : lines.missing) out.missing.push_back(std::move(line));
  }
  // Said once is enough.
  std::vector<std::string> said{out.because, it_is_outdoors};
  std::erase_if(out.missing, [&](const std::string& line) {
    if (std::ranges::find(said, line) != said.end()) return true;
    said.push_back(line);
    return false;
  });
  return out;
}

// A default as it is usually written: 50 h, not 2.1 d.
std::string default_words(const Printer& print, double value) {
  const Slot& spec = print.spec();
  const bool number = spec.shown == Shown::plain && spec.type.sort == Sort::number;
  if (number && value == std::round(value)) return fmt::format("{:.0f}", value);
  const double hours = value / 3600;
  const bool duration = spec.type.is_numeric() && spec.type.dimension == dimension::time;
  if (duration && hours >= 1 && hours == std::round(hours) && hours != 24 * std::round(hours / 24)) {
    return fmt::format("{:.0f} h", hours);
  }
  return print.value(value);
}

std::vector<std::string> explain_acts(const World& world, std::uint32_t entity) {
  std::vector<std::string> out;
  const Entity& e = world.entity(entity);
  for (const ActSpec& act : e.kind->acts) {
    const auto dated = e.kind->parameter(act.dated);
    if (!dated) continue;
    const SlotState& date = world.board[e.parameter_slot(*dated)];
    if (!date.has_value) continue;
    const RecordedAct* told = told_act(world, entity, act);
    std::string who = "the site file says so";
    if (told != nullptr) who = told->by.empty() ? "told by command" : "told by " + told->by;
    out.push_back(std::string(act.name) + " " +
                  print_date(instant_from_seconds(date.value), world.plan->units, world.plan->zone, world.now) + " (" +
                  who + ")");
  }
  return out;
}

// Why the rule says nothing now: an input is unknown. Asked of copies: explaining changes nothing.
std::string undecided(const World& world, std::uint32_t index) {
  const Program& raise = world.plan->alarms[index].raise;
  std::vector<Window> windows = world.alarms[index].raise_windows;
  if (evaluate(raise, world.board, windows, world.now).known) return {};
  for (const Reference& reference : raise.references) {
    if (world.board.read(reference).known) continue;
    const Slot& slot = world.plan->slots[reference.slot];
    const SlotState& s = world.board[reference.slot];
    // What was read may have an expected value that is unknown, for a reason of its own.
    const bool now = is_of_now(reference.facet);
    const bool expected = now || s.known();
    const char* of_expected = now ? s.expected_now.unknown_because : s.expected.unknown_because;
    const char* because = expected ? of_expected : s.because;
    return fmt::format("{}{} {}{} is not known{}{}", expected ? "what " : "", world.entity(slot.entity).name,
                       world.plan->slot_name(reference.slot), expected ? " should read" : "",
                       because == nullptr ? "" : ": ", because == nullptr ? "" : because);
  }
  const char* reason = reason_of_no_value(raise, world.board, world.now);
  return reason == nullptr ? "too little is known" : reason;
}

}  // namespace

std::string_view state_name(const World& world, std::uint32_t index, Instant now) {
  if (world.entities[world.plan->alarms[index].entity].out_of_service()) return "out_of_service";
  const AlarmState& alarm = world.alarms[index];
  if (alarm.shelved_until > now) return "shelved";
  if (alarm.suppressed && alarm.active()) return "suppressed";
  switch (alarm.life) {
    case AlarmLife::normal:
      return "normal";
    case AlarmLife::unacknowledged:
      return "unacknowledged";
    case AlarmLife::acknowledged:
      return "acknowledged";
    case AlarmLife::cleared_unacknowledged:
      return "cleared_unacknowledged";
  }
  return "normal";
}

ExplainedEntity explain(const World& world, std::uint32_t entity) {
  const Entity& e = world.entity(entity);
  ExplainedEntity out;
  out.id = e.id;
  out.name = e.name;
  out.kind = e.kind->name;
  out.at = world.now;
  for (std::uint8_t q = 0; q < e.kind->quantities.size(); ++q) {
    const std::uint32_t slot = e.quantity_slot(q);
    const Slot& spec = world.plan->slots[slot];
    const bool has_source = spec.is_brought() || world.board[slot].has_value;
    if (e.kind->quantities[q].measured && !has_source) continue;
    const char* because = world.board[slot].because;
    if (because != nullptr && std::string_view(because) == it_is_outdoors) continue;  // what only an inside has
    out.quantities.push_back(explain_quantity(world, entity, q));
  }
  for (const std::uint32_t i : world.wiring.entity_alarms[entity]) {
    const AlarmSpec& alarm = world.plan->alarms[i];
    const RuleSpec& rule = world.plan->rules[alarm.rule];
    const std::string_view state = state_name(world, i, world.now);
    const AlarmState& a = world.alarms[i];
    out.alarms.push_back({rule.name, std::string(state), a.life == AlarmLife::normal ? "" : a.title, alarm.raise.source,
                          rule.file + ":" + std::to_string(rule.line), undecided(world, i), rule.why});
  }
  out.acts = explain_acts(world, entity);
  for (std::uint8_t p = 0; p < e.kind->parameters.size(); ++p) {
    const Slot& spec = world.plan->slots[e.parameter_slot(p)];
    if (!spec.assumed || !spec.value) continue;
    out.assumed.push_back(fmt::format("{} {} (default)", e.kind->parameters[p].name,
                                      default_words(Printer{world, e.parameter_slot(p)}, *spec.value)));
  }
  return out;
}

}  // namespace overwinter
