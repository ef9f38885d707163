// record (a hand reading) and act (work that changes what to expect).
#include <algorithm>
#include <cmath>
#include <utility>

#include "rules/engine/act.h"
#include "rules/engine/command.h"
#include "rules/engine/entity_view.h"
#include "rules/engine/readings.h"
#include "rules/engine/shared_jump.h"
#include "rules/gear/place.h"
#include "rules/quantity/characters.h"
#include "rules/quantity/in_words.h"
#include "rules/quantity/print.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

struct TypedValue {
  double value = 0;
  std::string word;  // of booleans and words, for the event
};

std::string list(const std::vector<std::string_view>& words) {
  std::string text;
  for (const std::string_view w : words) text += (text.empty() ? "" : ", ") + std::string(w);
  return text;
}

std::optional<TypedValue> word_value(CommandCall& call, const std::string& text, const Type& type) {
  for (std::size_t i = 0; i < type.words.size(); ++i) {
    if (same_in_any_case(type.words[i], text)) return TypedValue{static_cast<double>(i), std::string(type.words[i])};
  }
  call.refuse("'value' must be one of: " + list({type.words.begin(), type.words.end()}));
  return std::nullopt;
}

std::optional<TypedValue> boolean_value(CommandCall& call, const CommandMember& member) {
  if (const bool* b = std::get_if<bool>(&member.value)) return TypedValue{*b ? 1.0 : 0.0, *b ? "true" : "false"};
  static const std::vector<std::string_view> yes = {"true", "yes", "on", "open", "up"};
  static const std::vector<std::string_view> no = {"false", "no", "off", "closed", "shut", "down"};
  if (const auto* text = std::get_if<std::string>(&member.value)) {
    const auto is_it = [text](std::string_view word) { return same_in_any_case(word, *text); };
    if (std::ranges::any_of(yes, is_it)) return TypedValue{1, "true"};
    if (std::ranges::any_of(no, is_it)) return TypedValue{0, "false"};
  }
  call.refuse("'" + member.key + "' must be yes or no; words for yes: " + list(yes) + "; for no: " + list(no));
  return std::nullopt;
}

// Numbers that people write without a unit: a specific gravity. Humidity and charge need their %.
bool is_plain(const Type& type, Shown shown) {
  return type.sort == Sort::number && type.dimension == dimension::none && shown == Shown::plain;
}

std::optional<TypedValue> read_value(CommandCall& call, const CommandMember& member, const Type& type, Shown shown) {
  if (type.sort == Sort::boolean) return boolean_value(call, member);
  const auto* text = std::get_if<std::string>(&member.value);
  if (type.sort == Sort::word) {
    if (text != nullptr) return word_value(call, *text, type);
    call.refuse("'" + member.key + "' must be a word");
    return std::nullopt;
  }
  const auto units = usual_units(type);
  if (text == nullptr) {
    const double* number = std::get_if<double>(&member.value);
    if (number != nullptr && is_plain(type, shown) && std::isfinite(*number)) return TypedValue{*number, {}};
    call.refuse("'" + member.key + "' needs its unit in the text, such as \"48.5 " +
                std::string(units.empty() ? "%" : units.front()) + "\"; it could be in " +
                list({units.begin(), units.end()}));
    return std::nullopt;
  }
  const Result<double> value = parse_value_of_type(*text, type, is_plain(type, shown), UnitContext::binding);
  if (!value) {
    call.refuse("'" + member.key + "': " + value.error().text +
                (value.error().hint.empty() ? "" : " (" + value.error().hint + ")"));
    return std::nullopt;
  }
  return TypedValue{*value, {}};
}

std::string shown(const CommandCall& call, std::uint32_t slot, double value) {
  const Slot& spec = call.world.plan->slots[slot];
  return print_value(value, spec.type, spec.shown, call.world.plan->units, call.world.plan->zone, call.world.now);
}

// " at 38 °F": the temperature that the reading is judged at, where one is known.
std::string temperature_words(const CommandCall& call, std::uint32_t slot, Instant at) {
  const Plan& plan = *call.world.plan;
  const Entity& entity = plan.entities[plan.slots[slot].entity];
  const EntityView view(call.world, plan.slots[slot].entity);
  Sample t;
  if (const auto own = entity.kind->quantity("temperature")) t = view.at(Surroundings::Whose::own, *own, at);
  if (!t.known && entity.kind != &place_kind()) {
    t = view.at(Surroundings::Whose::place, index_of(PlaceQuantity::temperature), at);
  }
  if (!t.known) return {};
  return " at " + print_value(t.value, Type::temperature(), Shown::by_dimension, plan.units, plan.zone, call.world.now);
}

std::string default_verdict(const Sample& reading, const Expectation& expected) {
  const double beyond = std::abs(reading.value - expected.value);
  const double tolerance = std::max(expected.plus_minus, reading.plus_minus);
  if (beyond <= tolerance) return "fine";
  return reading.value < expected.value ? "lower than it should read" : "higher than it should read";
}

// What its sensor said at the time of a hand reading; unknown: it has none, or none that was fresh then.
std::optional<double> sensor_then(const CommandCall& call, std::uint32_t slot) {
  const SlotState& s = call.world.board[slot];
  if (call.at == call.world.now) return s.known() && !s.by_hand ? std::optional(s.value) : std::nullopt;
  if (call.world.plan->slots[slot].sensor == no_index || !call.world.plan->slots[slot].type.is_numeric()) return {};
  const Sample then = sample_at(call.world, slot, call.at);
  return then.known && !then.by_hand ? std::optional(then.value) : std::nullopt;
}

// What a person's instrument would show where the sensor says this: a sealed gauge does not feel the air outside.
double as_by_hand(const CommandCall& call, std::uint32_t slot, double said) {
  const Slot& spec = call.world.plan->slots[slot];
  const EntityView view(call.world, spec.entity);
  double reference = 0;
  if (spec.role != Slot::Role::measured || !view.sensor_is_sealed_gauge(spec.index, reference)) return said;
  return said + reference - view.station_pressure_at(call.at).value;
}

// The difference to a sensor that is fresh: told, never corrected in silence.
std::string sensor_difference(const CommandCall& call, std::uint32_t slot, double value) {
  const auto said = sensor_then(call, slot);
  if (!said) return {};
  const Slot& spec = call.world.plan->slots[slot];
  const std::string sensor = shown(call, slot, *said);
  if (!spec.type.is_numeric()) return value == *said ? std::string() : " The sensor says " + sensor + ".";
  const double by_hand = as_by_hand(call, slot, *said);
  const double difference = value - by_hand;
  const std::string comparable = shown(call, slot, by_hand);
  const std::string says = " The sensor says " + (comparable == sensor ? "" : sensor + ", by a true gauge ");
  if (comparable == shown(call, slot, value)) return says + "the same.";
  return says + comparable + ", " +
         print_value(std::abs(difference), spec.type.difference(), spec.shown, call.world.plan->units,
                     call.world.plan->zone, call.world.now) +
         (difference < 0 ? " more." : " less.");
}

// "48.5 psi is fine: 49.0 ± 1.6 psi expected at 38 °F.", "12.61 V is fine: about 98 % charged; 12.62 ± 0.17 V
// expected.", or why nobody can say what it should read.
std::string judged_answer(const CommandCall& call, std::uint32_t slot, const std::string& value,
                          const std::string& verdict, const Expectation& expected) {
  const Slot& spec = call.world.plan->slots[slot];
  if (expected.known()) {
    const char* between = verdict.find(':') == std::string::npos ? ": " : "; ";
    return value + " is " + verdict + between +
           print_with_uncertainty(expected.value, expected.plus_minus, spec.type, spec.shown, call.world.plan->units) +
           " expected" + temperature_words(call, slot, call.at) + ".";
  }
  const std::string found = value + (verdict.empty() ? " noted" : " is " + verdict);
  const bool said =  // the gear has told why already
      verdict.starts_with("not judged") || verdict.find(expected.unknown_because) != std::string::npos;
  return found + (said ? "." : std::string("; what it should read is unknown: ") + expected.unknown_because + ".");
}

}  // namespace

void run_record(CommandCall& call) {
  const std::uint32_t entity = call.entity();
  const std::string name = call.text("quantity", true);
  if (!call.refused.empty()) return;
  World& world = call.world;
  const Entity& e = world.entity(entity);
  const auto quantity = e.kind->quantity(name);
  if (!quantity || !e.kind->quantities[*quantity].measured) {
    std::vector<std::string_view> measured;
    for (const QuantitySpec& q : e.kind->quantities) {
      if (q.measured) measured.push_back(q.name);
    }
    return call.refuse("'" + name + "' is not measured on " + e.name +
                       (measured.empty() ? "; nothing is" : "; it has: " + list(measured)));
  }
  const CommandMember* member = call.find("value");
  if (member == nullptr) return call.refuse("'value' is missing");
  const QuantitySpec& spec = e.kind->quantities[*quantity];
  const auto typed = read_value(call, *member, spec.type, spec.shown);
  if (!typed) return;
  const std::uint32_t slot = e.quantity_slot(*quantity);
  if (const Range range = world.plan->plausible(slot); spec.type.is_numeric() && !range.holds(typed->value)) {
    return call.refuse(shown(call, slot, typed->value) + " is out of range (" + shown(call, slot, range.minimum) +
                       " to " + shown(call, slot, range.maximum) + ")");
  }
  const Instant at = instant_of_reading(world, entity, call.at);
  const LastReading& hand = world.series[slot].hand;
  if (hand.present && hand.at == at && hand.value == typed->value) {
    call.answer = as_sentence(e.name + ", " + in_words(name) + ": this reading is on record already.");
    return;
  }
  const Sample reading{typed->value, spec.plus_minus, at, true, true};
  const std::string beside = sensor_difference(call, slot, typed->value);
  const EntityView view(world, entity);
  Expectation expected{0, 0, "no model says what it should read"};
  std::string verdict;
  accept_hand_reading(world, slot, typed->value, at);  // first: a person's reading may tell that a battery rests
  if (spec.has_expected && world.models[entity] != nullptr) {
    expected = world.models[entity]->expected(view, *quantity, at, true);
    verdict = world.models[entity]->verdict_in_words(view, *quantity, reading, expected);
    if (verdict.empty() && expected.known()) verdict = default_verdict(reading, expected);
  }
  Event event;
  event.kind = EventKind::hand_reading;
  event.gear = e.id;
  event.quantity = name;
  if (typed->word.empty()) {
    event.value = typed->value;
    event.unit = canonical_unit(spec.type);
  }
  event.word = typed->word;
  if (expected.known()) {
    event.expected = expected.value;
    event.plus_minus = expected.plus_minus;
  }
  event.by = call.by;
  event.last_at = call.at == world.now ? std::nullopt : std::optional<Instant>(call.at);
  event.reason = verdict.empty() ? "noted" : verdict;
  world.emit(EventGroup::command, entity, std::move(event));

  std::string value = typed->word.empty() ? shown(call, slot, typed->value) : in_words(typed->word);
  if (spec.type.sort == Sort::boolean) value = typed->value != 0 ? "yes" : "no";
  call.answer = spec.has_expected ? judged_answer(call, slot, value, verdict, expected)
                                  : as_sentence(e.name + ", " + in_words(name) + ": " + value + ". Noted.");
  call.answer += beside;
  world.read_by_hand = entity;
}

void tell_what_still_stands(World& world) {
  const std::uint32_t entity = std::exchange(world.read_by_hand, no_index);
  if (entity == no_index || world.out.answers.empty()) return;
  std::string& answer = world.out.answers.back().answer;
  for (const std::uint32_t i : world.wiring.entity_alarms[entity]) {
    const AlarmState& alarm = world.alarms[i];
    if (alarm.active() && alarm.raised < world.now) answer += " The alarm \"" + alarm.title + "\" still stands.";
  }
  if (!world.out.answers.back().id.empty()) world.answered.back().answer = answer;
}

namespace {

// The act's own values, into `act`; what is told of them: ", pressure 50.0 psi". Refused: the call says why.
std::string take_act_values(CommandCall& call, const Entity& e, const ActSpec& spec, RecordedAct& act) {
  std::string told;
  for (const CommandMember& member : call.message.members) {
    const std::string& key = member.key;
    if (key == "id" || key == "at" || key == "by" || key == "note" || key == "gear" || key == "act") continue;
    const auto value = std::ranges::find(spec.values, key, &ActValueSpec::name);
    if (value == spec.values.end()) {
      std::vector<std::string_view> names;
      for (const ActValueSpec& v : spec.values) names.push_back(v.name);
      call.refuse("unknown key '" + key + "' for the act '" + std::string(spec.name) + "'; it takes " +
                  (names.empty() ? "no values" : list(names)));
      return {};
    }
    const auto parameter = e.kind->parameter(value->parameter);
    if (!parameter) {
      call.refuse("unknown key '" + key + "'");
      return {};
    }
    const ParameterSpec& p = e.kind->parameters[*parameter];
    const std::uint32_t slot = e.parameter_slot(*parameter);
    const auto typed = read_value(call, member, p.type, p.shown);
    if (!typed) return {};
    if (typed->value < p.minimum || typed->value > p.maximum) {
      call.refuse("'" + key + "' is out of range (" + shown(call, slot, p.minimum) + " to " +
                  shown(call, slot, p.maximum) + ")");
      return {};
    }
    act.values.emplace_back(std::string(value->parameter), typed->value);
    told += ", " + key + " " + (typed->word.empty() ? shown(call, slot, typed->value) : typed->word);
  }
  for (const ActValueSpec& v : spec.values) {
    if (v.required && call.find(v.name) == nullptr) call.refuse("'" + std::string(v.name) + "' is missing");
  }
  return told;
}

}  // namespace

void run_act(CommandCall& call) {
  const std::uint32_t entity = call.entity();
  const std::string name = call.text("act", true);
  if (!call.refused.empty()) return;
  World& world = call.world;
  const Entity& e = world.entity(entity);
  const auto& acts = e.kind->acts;
  const auto spec = std::find_if(acts.begin(), acts.end(), [&](const ActSpec& a) { return a.name == name; });
  if (spec == acts.end()) {
    std::vector<std::string_view> names;
    for (const ActSpec& a : acts) names.push_back(a.name);
    return call.refuse("'" + name + "' is no act of " + e.name +
                       (names.empty() ? "; it has none" : "; it has: " + list(names)));
  }
  RecordedAct act{instant_of_act(world, entity, call.at), {}, call.by};
  const std::string told = take_act_values(call, e, *spec, act);
  if (!call.refused.empty()) return;
  // The newest counts, of the acts told and the site file's own; an older one is kept as told and changes nothing.
  RecordedAct& newest = world.entities[entity].acts[name];
  bool counts = newest.at <= act.at;
  const std::vector<Expectation> before = expectations(world, entity);
  if (counts) {
    newest = act;
    counts = apply_act(world, entity, *spec, act);
  }
  std::string caution;
  if (counts && world.models[entity] != nullptr) {
    EntityView view(world, entity);
    const auto which = static_cast<std::uint8_t>(spec - acts.begin());
    world.models[entity]->act(view, which, act.at);
    caution = world.models[entity]->caution_in_words(view, which);
    if (!caution.empty()) caution.insert(0, 1, ' ');
    expect_anew(world, entity, before);
    world.mark_entity(entity);
    world.acted_on = entity;
    for (const std::uint32_t alarm : world.wiring.entity_alarms[entity]) world.mark_alarm(alarm);
  }
  if (counts) confirm_by_act(world, entity);
  const std::string event_text = as_sentence(e.name + ": " + std::string(spec->done) + told + ".") + caution;
  Event event;
  event.kind = EventKind::act;
  event.gear = e.id;
  event.by = call.by;
  event.title = name;
  event.message = event_text;
  if (call.at != world.now) event.last_at = call.at;
  world.emit(EventGroup::command, entity, std::move(event));
  call.answer = event_text + (counts ? " Noted." : " Noted; a later one is on record and counts.");
}

}  // namespace overwinter
