#include "daemon/status_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>

#include "daemon/json_parser.h"
#include "daemon/json_text.h"
#include "rules/gear/kind.h"
#include "rules/limits.h"
#include "rules/quantity/in_words.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

using simdjson::dom::element;

std::optional<double> number_of(const element& object, std::string_view key) {
  double number = 0;
  if (object[key].get_double().get(number) != simdjson::SUCCESS) return std::nullopt;
  return number;
}

std::optional<Instant> instant_of(const element& object, std::string_view key) {
  return parse_rfc3339(text_member(object, key));
}

std::vector<std::string> list_member(const element& object, std::string_view key) {
  std::vector<std::string> list;
  simdjson::dom::array items;
  if (object[key].get_array().get(items) != simdjson::SUCCESS) return list;
  for (const element& item : items) {
    std::string_view text;
    if (item.get_string().get(text) == simdjson::SUCCESS) list.emplace_back(text);
  }
  return list;
}

constexpr double year = 365.25 * 86400;  // s, the Julian one

// A date may lie years ahead, or be long past: "9.6 years overdue".
std::string shown_span(const Plan& plan, std::string_view name, double seconds) {
  const bool is_overdue = seconds < 0 && name.starts_with("time_until_");
  const double size = is_overdue ? -seconds : seconds;
  const std::string text = std::abs(size) < 2 * year ? print_value(size, Type::duration(), Shown::by_dimension,
                                                                   plan.units, plan.zone, Instant{})
                                                     : fmt::format("{:.1f} years", size / year);
  return text + (is_overdue ? " overdue" : "");
}

// "42.6 psi", as the service's other screens print it.
std::string shown(const Plan& plan, const Slot& slot, std::string_view name, double value) {
  const double canonical = to_canonical(value, display_unit(slot.type, slot.shown, plan.units).unit);
  if (slot.type.dimension == dimension::time) return shown_span(plan, name, canonical);
  return print_value(canonical, slot.type, slot.shown, plan.units, plan.zone, Instant{});
}

// Of measured quantities that a computed one needs: neither a sensor nor a person brings it, here or in its place.
bool has_no_source(const Plan& plan, std::uint32_t entity, std::string_view name) {
  const Entity& e = plan.entities[entity];
  const auto quantity = e.kind->quantity(name);
  if (!quantity || !e.kind->quantities[*quantity].measured) return false;
  if (plan.slots[e.quantity_slot(*quantity)].is_brought()) return false;
  const bool is_of_its_place = name == "temperature" && e.place != no_index && e.place != entity;
  return !is_of_its_place || has_no_source(plan, e.place, name);
}

// Where nothing is measured and nothing that is computed is known: what its kind would need for it and has no source.
std::string why_unwatched(const Plan& plan, const StatusEntity& found) {
  const Entity& e = plan.entities[found.entity];
  std::vector<std::string_view> missing;
  for (const StatusReading& r : found.readings) {
    if (r.measured || !r.value.empty()) return {};
    const auto quantity = e.kind->quantity(r.quantity);
    if (!quantity) continue;
    const QuantitySpec& spec = e.kind->quantities[*quantity];
    for (const auto* names : {&spec.needs, &spec.rests_on}) {
      for (const std::string_view name : *names) {
        if (has_no_source(plan, found.entity, name) && std::ranges::find(missing, name) == missing.end()) {
          missing.push_back(name);
        }
      }
    }
  }
  std::string text;
  for (const std::string_view name : missing)
    text += (text.empty() ? "no source for " : ", ") + in_words(std::string(name));
  return text;
}

std::string shown_value(const Plan& plan, const Slot& slot, std::string_view name, const element& object) {
  bool flag = false;
  if (object["value"].get_bool().get(flag) == simdjson::SUCCESS) return flag ? "yes" : "no";
  if (const auto number = number_of(object, "value")) {
    const std::string unit = text_member(object, "unit");
    const bool as_here = slot.type.is_numeric() && slot.type.sort != Sort::instant &&
                         unit == display_unit(slot.type, slot.shown, plan.units).symbol;
    if (as_here) return shown(plan, slot, name, *number);
    std::string text;
    append_json_number(text, *number);
    return text + (unit.empty() ? "" : " " + unit);
  }
  if (slot.type.sort == Sort::instant) {
    const auto at = instant_of(object, "value");
    return at ? print_date(*at, plan.units, plan.zone, *at) : std::string();
  }
  return in_words(text_member(object, "value"));
}

struct Expected {
  double value = 0, plus_minus = 0;
};
std::optional<Expected> expected_of(const element& object) {
  element expected;
  if (object["expected"].get(expected) != simdjson::SUCCESS) return std::nullopt;
  const auto value = number_of(expected, "value"), plus_minus = number_of(expected, "plus_minus");
  if (!value || !plus_minus) return std::nullopt;
  return Expected{*value, *plus_minus};
}

std::string shown_expected(const Plan& plan, const Slot& slot, const Expected& expected) {
  const Unit point = display_unit(slot.type, slot.shown, plan.units).unit;
  const Unit step = display_unit(slot.type.difference(), slot.shown, plan.units).unit;
  return print_with_uncertainty(to_canonical(expected.value, point), to_canonical(expected.plus_minus, step), slot.type,
                                slot.shown, plan.units);
}

std::string verdict_of(const element& object, const std::optional<Expected>& expected) {
  const std::string quality = text_member(object, "quality");
  if (quality == "uncertain") return "uncertain";
  const auto value = number_of(object, "value");
  if (quality == "bad") return object["value"].is_null() ? "no reading" : "too old or bad";
  if (!value || !expected) return "";
  if (std::abs(*value - expected->value) <= expected->plus_minus) return "fine";
  return *value < expected->value ? "lower" : "higher";
}

class Reader {
 public:
  Reader(const Plan& plan, const std::map<std::string, std::string>& topics)
      : plan_(plan), topics_(topics), parser_(limits::payload_bytes, limits::json_depth) {}

  Status read() {
    status_.service = payload("service");
    status_.watching_since = parse_rfc3339(payload("watching_since"));
    read_last_gap();
    read_alarms();
    read_out_of_service();
    read_reminders();
    for (std::uint32_t e = 0; e < plan_.entities.size(); ++e) {
      if (!plan_.is_nowhere(e)) read_entity(e);
    }
    return std::move(status_);
  }

 private:
  std::string payload(const std::string& topic) const {
    const auto found = topics_.find(plan_.topic_root + "/" + topic);
    return found == topics_.end() ? std::string() : found->second;
  }
  // The object that stands under the topic; false: none.
  bool object_at(const std::string& topic, element& root) {
    const std::string text = payload(topic);
    if (text.empty()) return false;
    if (parser_.parse(text, root) == nullptr && root.is_object()) return true;
    ++status_.unreadable;
    return false;
  }

  void read_last_gap() {
    element root;
    if (!object_at("last_gap", root)) return;
    const auto from = instant_of(root, "from"), until = instant_of(root, "until");
    if (from && until) status_.last_gap = {*from, *until};
  }

  void read_alarms() {
    for (const AlarmSpec& spec : plan_.alarms) {
      const std::string &rule = plan_.rules[spec.rule].name, &gear = plan_.entities[spec.entity].id;
      element root;
      if (!object_at("alarm/" + rule + "/" + gear, root)) continue;
      StatusAlarm alarm;
      alarm.rule = rule;
      alarm.gear = gear;
      alarm.state = text_member(root, "state");
      alarm.title = text_member(root, "title");
      alarm.message = text_member(root, "message");
      alarm.response = text_member(root, "response");
      alarm.priority = plan_.rules[spec.rule].priority;
      for (const Priority p : {Priority::low, Priority::medium, Priority::high, Priority::critical}) {
        if (name_of(p) == text_member(root, "priority")) alarm.priority = p;
      }
      alarm.since = instant_of(root, "since");
      alarm.respond_by = instant_of(root, "respond_by");
      alarm.shelved_until = instant_of(root, "shelved_until");
      alarm.stale = text_member(root, "evidence") == "stale";
      alarm.payload = simdjson::minify(root);
      status_.alarms.push_back(std::move(alarm));
    }
    std::ranges::stable_sort(status_.alarms, {}, [](const StatusAlarm& a) {
      return std::tuple(!a.active(), -static_cast<int>(a.priority), a.since.value_or(never));
    });
  }

  void read_out_of_service() {
    for (std::uint32_t e = 0; e < plan_.entities.size(); ++e) {
      const auto said = std::ranges::find_if(status_.alarms, [&](const StatusAlarm& alarm) {
        return alarm.out_of_service() && alarm.gear == plan_.entities[e].id;
      });
      if (said != status_.alarms.end()) status_.out_of_service.push_back({e, said->since});
    }
  }

  void read_reminders() {
    for (const ReminderSpec& spec : plan_.reminders) {
      const std::string &name = plan_.reminder_defs[spec.def].name, &gear = plan_.entities[spec.entity].id;
      element root;
      if (!object_at("reminder/" + name + "/" + gear, root)) continue;
      status_.reminders.push_back({name, gear, text_member(root, "state"), text_member(root, "message"),
                                   text_member(root, "safety"), list_member(root, "steps"), list_member(root, "look"),
                                   instant_of(root, "due"), simdjson::minify(root)});
    }
    std::ranges::stable_sort(status_.reminders, {}, [](const StatusReminder& r) {
      const int order = r.state == "overdue" ? 0 : r.state == "due" ? 1 : 2;
      return std::tuple(order, r.due.value_or(never));
    });
  }

  void read_entity(std::uint32_t index) {
    const Entity& entity = plan_.entities[index];
    const std::string folder = (entity.kind == &place_kind() ? "place/" : "gear/") + entity.id + "/";
    StatusEntity found;
    found.entity = index;
    for (std::uint32_t slot = 0; slot < plan_.slots.size(); ++slot) {
      if (plan_.slots[slot].entity != index) continue;
      element root;
      const std::string name(plan_.slot_name(slot));
      if (object_at(folder + name, root)) found.readings.push_back(reading(slot, name, root));
    }
    judge(found);
    found.unwatched = why_unwatched(plan_, found);
    found.has_alarm = std::ranges::any_of(
        status_.alarms, [&](const StatusAlarm& alarm) { return alarm.active() && alarm.gear == entity.id; });
    found.out_of_service =
        std::ranges::find(status_.out_of_service, index, &StatusOutOfService::entity) != status_.out_of_service.end();
    if (!found.readings.empty()) status_.entities.push_back(std::move(found));
  }

  StatusReading reading(std::uint32_t slot, const std::string& name, const element& root) const {
    const Slot& spec = plan_.slots[slot];
    const auto expected = expected_of(root);
    StatusReading r;
    r.quantity = name;
    r.value = shown_value(plan_, spec, name, root);
    if (expected) r.expected = shown_expected(plan_, spec, *expected);
    r.verdict = verdict_of(root, expected);
    r.at = instant_of(root, "at");
    r.payload = simdjson::minify(root);
    r.measured = spec.role == Slot::Role::measured;
    return r;
  }

  // What the gear's own model says of what it expects goes before a comparison of two numbers: "cold", "leaking". None
  // says that a reading is too high.
  static void judge(StatusEntity& entity) {
    const auto own = std::ranges::find(entity.readings, "verdict", &StatusReading::quantity);
    if (own == entity.readings.end() || own->value.empty() || own->value == "unknown") return;
    for (StatusReading& r : entity.readings) {
      const bool compared =
          r.verdict == "fine" || r.verdict == "lower" || (r.verdict == "higher" && own->value != "fine");
      if (r.measured && !r.expected.empty() && compared) r.verdict = own->value;
    }
  }

  const Plan& plan_;
  const std::map<std::string, std::string>& topics_;
  JsonParser parser_;
  Status status_;
};

}  // namespace

bool Status::needs_attention() const {
  return std::ranges::any_of(
      alarms, [](const StatusAlarm& alarm) { return alarm.active() && alarm.priority >= Priority::medium; });
}

Status read_status(const std::map<std::string, std::string>& topics, const Plan& plan) {
  return Reader(plan, topics).read();
}

}  // namespace overwinter
