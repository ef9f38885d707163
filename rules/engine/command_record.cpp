// record: what a person read.
#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "rules/engine/act.h"
#include "rules/engine/command.h"
#include "rules/engine/command_value.h"
#include "rules/engine/entity_view.h"
#include "rules/engine/readings.h"
#include "rules/gear/place.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/tire_pressure.h"
#include "rules/quantity/in_words.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

struct HandReading {
  std::uint32_t entity = no_index;
  std::uint8_t quantity = 0;  // of the entity's kind
  std::uint32_t slot = no_index;
  TypedValue said;
  Instant at{};
};

const QuantitySpec& spec_of(const CommandCall& call, const HandReading& reading) {
  return call.world.entity(reading.entity).kind->quantities[reading.quantity];
}

// The quantity that is named. nullopt: it is not measured on that gear, and the call is refused.
std::optional<std::uint8_t> measured_quantity(CommandCall& call, const Entity& e, const std::string& name) {
  const auto quantity = e.kind->quantity(name);
  if (quantity && e.kind->quantities[*quantity].measured) return quantity;
  std::vector<std::string_view> measured;
  for (const QuantitySpec& q : e.kind->quantities) {
    if (q.measured) measured.push_back(q.name);
  }
  call.refuse("'" + name + "' is not measured on " + e.name +
              (measured.empty() ? "; nothing is" : "; it has: " + listed(measured)));
  return std::nullopt;
}

// What the command says, in range. nullopt: the call is refused and says why.
std::optional<HandReading> read_hand_reading(CommandCall& call) {
  HandReading reading;
  reading.entity = call.entity();
  const std::string name = call.text("quantity", true);
  if (!call.refused.empty()) return std::nullopt;
  const Entity& e = call.world.entity(reading.entity);
  const auto quantity = measured_quantity(call, e, name);
  if (!quantity) return std::nullopt;
  reading.quantity = *quantity;
  reading.slot = e.quantity_slot(*quantity);
  const CommandMember* member = call.find("value");
  if (member == nullptr) {
    call.refuse("'value' is missing");
    return std::nullopt;
  }
  const QuantitySpec& spec = spec_of(call, reading);
  const Plan& plan = *call.world.plan;
  const std::uint32_t sensor = plan.slots[reading.slot].sensor;
  auto said =
      read_typed_value(call, *member, spec.type, spec.shown, sensor == no_index ? nullptr : &plan.sensors[sensor]);
  if (!said) return std::nullopt;
  reading.said = *std::move(said);
  const Range range = call.world.plan->plausible(reading.slot);
  if (spec.type.is_numeric() && !range.holds(reading.said.value)) {
    call.refuse(printed(call, reading.slot, reading.said.value) + " is out of range (" +
                printed(call, reading.slot, range.minimum) + " to " + printed(call, reading.slot, range.maximum) + ")");
    return std::nullopt;
  }
  reading.at = instant_of_reading(call.world, reading.entity, call.at);
  return reading;
}

bool is_on_record(const World& world, const HandReading& reading) {
  const LastReading& last = world.series[reading.slot].hand;
  return last.present && last.at == reading.at && last.value == reading.said.value;
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

struct Judgment {
  Expectation expected{0, 0, "no model says what it should read"};
  std::string verdict;
};

// Of a reading that was accepted: a person's reading may tell that a battery rests.
Judgment judge(const CommandCall& call, const HandReading& reading) {
  Judgment judgment;
  const QuantitySpec& spec = spec_of(call, reading);
  const Model* model = call.world.models[reading.entity].get();
  if (model == nullptr) return judgment;
  const EntityView view(call.world, reading.entity);
  const Sample sample{reading.said.value, spec.plus_minus, reading.at, true, true};
  if (spec.has_expected) judgment.expected = model->expected(view, reading.quantity, reading.at, true);
  judgment.verdict = model->verdict_in_words(view, reading.quantity, sample, judgment.expected);
  if (judgment.verdict.empty() && judgment.expected.known()) {
    judgment.verdict = default_verdict(sample, judgment.expected);
  }
  return judgment;
}

void tell_hand_reading(CommandCall& call, const HandReading& reading, const Judgment& judgment) {
  const QuantitySpec& spec = spec_of(call, reading);
  Event event;
  event.kind = EventKind::hand_reading;
  event.gear = call.world.entity(reading.entity).id;
  event.quantity = spec.name;
  if (reading.said.word.empty()) {
    event.value = reading.said.value;
    event.unit = canonical_unit(spec.type);
  }
  event.word = reading.said.word;
  if (judgment.expected.known()) {
    event.expected = judgment.expected.value;
    event.plus_minus = judgment.expected.plus_minus;
  }
  event.by = call.by;
  event.last_at = call.at == call.world.now ? std::nullopt : std::optional<Instant>(call.at);
  event.reason = judgment.verdict.empty() ? "noted" : judgment.verdict;
  call.world.emit(EventGroup::command, reading.entity, std::move(event));
}

// What its sensor said at the time of a hand reading; unknown: it has none, or none that was fresh then.
std::optional<double> sensor_then(const CommandCall& call, std::uint32_t slot) {
  const SlotState& s = call.world.board[slot];
  if (call.at == call.world.now) return s.known() && !s.by_hand ? std::optional(s.value) : std::nullopt;
  if (call.world.plan->slots[slot].sensor == no_index || !call.world.plan->slots[slot].type.is_numeric()) return {};
  const Sample then = sample_at(call.world, slot, call.at);
  return then.known && !then.by_hand ? std::optional(then.value) : std::nullopt;
}

// What a person's instrument would show where the sensor says this.
double as_by_hand(const CommandCall& call, std::uint32_t slot, double said) {
  const Slot& spec = call.world.plan->slots[slot];
  const EntityView view(call.world, spec.entity);
  const auto reference = spec.role == Slot::Role::measured ? view.sealed_reference(spec.index) : std::nullopt;
  if (!reference) return said;
  return true_gauge(GaugePressure(said), *reference, AbsolutePressure(view.station_pressure_at(call.at).value)).value;
}

// The difference to a sensor that is fresh: told, never corrected in silence.
std::string sensor_difference(const CommandCall& call, std::uint32_t slot, double value) {
  const auto said = sensor_then(call, slot);
  if (!said) return {};
  const Slot& spec = call.world.plan->slots[slot];
  const std::string sensor = printed(call, slot, *said);
  if (!spec.type.is_numeric()) return value == *said ? std::string() : " The sensor says " + sensor + ".";
  const double by_hand = as_by_hand(call, slot, *said);
  const double difference = value - by_hand;
  const std::string comparable = printed(call, slot, by_hand);
  const std::string says = " The sensor says " + (comparable == sensor ? "" : sensor + ", by a true gauge ");
  if (comparable == printed(call, slot, value)) return says + "the same.";
  return says + comparable + ", " +
         print_value(std::abs(difference), spec.type.difference(), spec.shown, call.world.plan->units,
                     call.world.plan->zone, call.world.now) +
         (difference < 0 ? " more." : " less.");
}

// What its sensor said then lies within the errors of both.
bool agrees_with_sensor(const CommandCall& call, const HandReading& reading) {
  const auto said = sensor_then(call, reading.slot);
  if (!said) return false;
  const double difference = reading.said.value - as_by_hand(call, reading.slot, *said);
  return std::abs(difference) <=
         in_quadrature(plus_minus_of(call.world, reading.slot, true), plus_minus_of(call.world, reading.slot, false));
}

// "48.5 psi is fine: 49.0 ± 1.6 psi expected at 38 °F.", "12.61 V is fine: about 98 % charged; 12.62 ± 0.17 V
// expected.", or why nobody can say what it should read.
std::string judged_answer(const CommandCall& call, std::uint32_t slot, const std::string& value,
                          const Judgment& judgment) {
  const auto& [expected, verdict] = judgment;
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

std::string answer_to(const CommandCall& call, const HandReading& reading, const Judgment& judgment) {
  const QuantitySpec& spec = spec_of(call, reading);
  const TypedValue& said = reading.said;
  std::string value = said.word.empty() ? printed(call, reading.slot, said.value) : in_words(said.word);
  if (spec.type.sort == Sort::boolean) value = said.value != 0 ? "yes" : "no";
  if (spec.has_expected) return judged_answer(call, reading.slot, value, judgment);
  const std::string found = judgment.verdict.empty() ? ". Noted." : " is " + judgment.verdict + ".";
  return as_sentence(call.world.entity(reading.entity).name + ", " + in_words(std::string(spec.name)) + ": " + value +
                     found);
}

}  // namespace

void run_record(CommandCall& call) {
  const auto reading = read_hand_reading(call);
  if (!reading) return;
  World& world = call.world;
  if (is_on_record(world, *reading)) {
    call.answer =
        as_sentence(world.entity(reading->entity).name + ", " + in_words(std::string(spec_of(call, *reading).name)) +
                    ": this reading is on record already.");
    return;
  }
  const std::string beside = sensor_difference(call, reading->slot, reading->said.value);  // while it is the newest
  const bool agrees = agrees_with_sensor(call, *reading);
  accept_hand_reading(world, reading->slot, reading->said.value, reading->at);
  const Judgment judgment = judge(call, *reading);
  tell_hand_reading(call, *reading, judgment);
  call.answer = answer_to(call, *reading, judgment) + beside;
  world.read_by_hand = reading->entity;
  if (!agrees || world.series[reading->slot].hand.at != reading->at) return;
  world.gauged = reading->slot;
  for (const std::uint32_t alarm : world.wiring.entity_alarms[reading->entity]) world.mark_alarm(alarm);
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

}  // namespace overwinter
