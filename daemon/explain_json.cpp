#include "daemon/explain_json.h"

#include <cmath>

#include "daemon/json_text.h"
#include "rules/quantity/code.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

void add_text(JsonObject& object, std::string_view key, const std::string& text) {
  if (!text.empty()) object.text(key, text);
}

// `value`, `unit` and `plus_minus`; a word, a code, a boolean and an instant stand without a unit.
void add_value(JsonObject& object, double value, double plus_minus, const Type& type) {
  if (type.sort == Sort::boolean) return object.boolean("value", value != 0);
  if (type.sort == Sort::instant) return object.instant("value", instant_from_seconds(value));
  if (type.sort == Sort::code) return object.text("value", digits_of_code(value));
  if (type.sort == Sort::word) {
    const auto index = static_cast<std::size_t>(std::max(value, 0.0));
    return object.text("value", index < type.words.size() ? type.words[index] : std::string_view("unknown"));
  }
  if (!std::isfinite(value)) return;
  object.number("value", value);
  object.text("unit", canonical_unit(type));
  if (plus_minus > 0 && std::isfinite(plus_minus)) object.number("plus_minus", plus_minus);
}

void append_value(std::string& out, JsonObject& object, std::string_view key, double value, double plus_minus,
                  const Type& type) {
  object.key(key);
  JsonObject inner(out);
  add_value(inner, value, plus_minus, type);
  inner.end();
}

void append_input(std::string& out, const AskedInput& input) {
  JsonObject object(out);
  object.text("name", input.name);
  add_value(object, input.value, input.plus_minus, input.type);
  if (input.lag > Span{}) append_value(out, object, "lag", to_seconds(input.lag), 0, Type::duration());
  if (input.at != Instant{}) object.instant("at", input.at);
  add_text(object, "source", input.source);
  object.end();
}

void append_inputs(std::string& out, JsonObject& object, std::string_view key, const std::vector<AskedInput>& inputs,
                   bool assumed) {
  bool first = true;
  for (const AskedInput& input : inputs) {
    if (input.assumed != assumed) continue;
    if (first) object.key(key);
    out += first ? '[' : ',';
    first = false;
    append_input(out, input);
  }
  if (!first) out += ']';
}

void append_expectation(std::string& out, JsonObject& object, std::string_view key, const Expectation& expected,
                        const Type& type) {
  if (expected.known()) append_value(out, object, key, expected.value, expected.plus_minus, type);
}

void append_numbers(std::string& out, JsonObject& parent, const ExplainedNumbers& numbers) {
  parent.key("numbers");
  JsonObject object(out);
  if (numbers.value) {
    object.key(numbers.measured ? "measured" : "computed");
    JsonObject value(out);
    add_value(value, *numbers.value, numbers.plus_minus, numbers.type);
    if (numbers.at != Instant{}) value.instant("at", numbers.at);
    if (numbers.measured) add_text(value, "source", numbers.source);
    value.end();
  }
  if (numbers.has_expected) {
    if (numbers.value) append_expectation(out, object, "expected", numbers.expected, numbers.type);
    if (numbers.value && numbers.expected.known()) {
      const double deviation = *numbers.value - numbers.expected.value;
      append_value(out, object, "deviation", deviation, 0, numbers.type.difference());
    }
    append_expectation(out, object, "expected_now", numbers.expected_now, numbers.type);
  }
  append_inputs(out, object, "inputs", numbers.inputs, false);
  append_inputs(out, object, "assumed", numbers.inputs, true);
  object.texts("missing", numbers.missing);
  object.end();
}

void append_json(std::string& out, const ExplainedQuantity& quantity) {
  JsonObject object(out);
  object.text("name", quantity.name);
  object.text("value", quantity.value);
  add_text(object, "source", quantity.source);
  add_text(object, "sensor_itself", quantity.sensor_itself);
  add_text(object, "because", quantity.because);
  add_text(object, "expected", quantity.expected);
  add_text(object, "deviation", quantity.deviation);
  add_text(object, "expected_now", quantity.expected_now);
  add_text(object, "verdict", quantity.verdict);
  object.texts("calculation", quantity.calculation);
  object.texts("assumed", quantity.assumed);
  object.texts("missing", quantity.missing);
  append_numbers(out, object, quantity.numbers);
  object.end();
}

void append_json(std::string& out, const ExplainedAlarm& alarm) {
  JsonObject object(out);
  object.text("rule", alarm.rule);
  object.text("state", alarm.state);
  add_text(object, "title", alarm.title);
  add_text(object, "condition", alarm.condition);
  add_text(object, "where", alarm.where);
  add_text(object, "undecided", alarm.undecided);
  add_text(object, "why", alarm.why);
  object.end();
}

}  // namespace

std::string explain_json(const ExplainedEntity& entity) {
  std::string out;
  JsonObject object(out);
  object.instant("at", entity.at);
  object.text("gear", entity.id);
  object.text("name", entity.name);
  object.text("kind", entity.kind);
  object.list("quantities", entity.quantities, [](std::string& one, const auto& item) { append_json(one, item); });
  object.list("alarms", entity.alarms, [](std::string& one, const auto& item) { append_json(one, item); });
  object.texts("acts", entity.acts);
  object.texts("assumed", entity.assumed);
  object.end();
  return out + '\n';
}

}  // namespace overwinter
