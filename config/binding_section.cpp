// Sensor bindings: where the readings of a measured quantity come from.
#include <fmt/format.h>

#include <algorithm>

#include "config/sections.h"
#include "rules/language/source.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

// Reads one binding, key by key.
class BindingReader {
 public:
  BindingReader(const YamlNode& map, const QuantitySpec& quantity, const KindSpec& kind, Range plausible, Draft& draft)
      : map_(map), quantity_(quantity), kind_(kind), plausible_(plausible), draft_(draft), report_(draft.report) {}

  Sensor read(const YamlNode& key) {
    is_number_ = quantity_.type.is_numeric();
    if (const YamlNode* topic = find(map_, "topic")) {
      sensor_.topic = read_topic(*topic, draft_.plan.topic_root, report_).value_or("");
    }
    if (const YamlNode* pointer = find(map_, "pointer")) {
      sensor_.has_pointer = true;
      sensor_.pointer = read_pointer(*pointer, report_).value_or("");
    }
    read_number_keys(key);
    read_words();
    read_silence();
    read_time();
    read_via();
    read_pressure_keys();
    sensor_.battery_pointer = read_cell("battery", sensor_.battery_unit);
    sensor_.link_pointer = read_cell("link", sensor_.link_unit);
    return sensor_;
  }

 private:
  // A key that only some quantities have.
  const YamlNode* only_if(bool fits, std::string_view key, std::string_view why) {
    const YamlNode* node = find(map_, key);
    if (!node || fits) return node;
    report_.error(*find_key(map_, key), fmt::format("`{}` {}", key, why), "remove it");
    return nullptr;
  }

  void read_number_keys(const YamlNode& key) {
    const std::string_view why = "is for numbers; this quantity has none";
    if (const YamlNode* unit = only_if(is_number_, "unit", why)) {
      sensor_.unit = read_unit(*unit, quantity_.type, report_).value_or(Unit{});
    } else if (is_number_ && !find(map_, "unit")) {
      std::string hint;
      for (const std::string_view u : usual_units(quantity_.type))
        hint += fmt::format("{}`{}`", hint.empty() ? "" : ", ", u);
      report_.error(key, fmt::format("the sensor of `{}` needs `unit`", quantity_.name), "it could be " + hint);
    }
    if (const YamlNode* node = only_if(is_number_, "scale", why)) {
      sensor_.scale = read_number(*node, report_).value_or(1);
      if (sensor_.scale == 0) report_.error(*node, "a scale of 0 makes every reading the same");
    }
    if (const YamlNode* node = only_if(is_number_, "offset", why))
      sensor_.offset = read_number(*node, report_).value_or(0);
    sensor_.plus_minus = quantity_.plus_minus;
    if (const YamlNode* node = only_if(is_number_, "plus_minus", why)) read_plus_minus(*node);
    sensor_.minimum = plausible_.minimum;
    sensor_.maximum = plausible_.maximum;
    if (const YamlNode* node = only_if(is_number_, "valid", why)) read_valid(*node);
  }

  void read_plus_minus(const YamlNode& node) {
    const Type type = quantity_.type.difference();
    sensor_.plus_minus = read_value(node, type, quantity_.shown, report_).value_or(0);
    if (sensor_.plus_minus < 0) report_.error(node, "an uncertainty below zero");
    const double widest = plausible_.maximum - plausible_.minimum;
    if (sensor_.plus_minus <= widest) return;
    report_.error(node, fmt::format("a sensor as unsure as this says nothing of `{}`", quantity_.name),
                  fmt::format("at most {}, all that it can plausibly read",
                              print_value(widest, type, quantity_.shown, DisplayUnits::metric, TimeZone{}, Instant{})));
  }

  void read_valid(const YamlNode& valid) {
    if (!check_section(valid, valid_section(), valid, report_)) return;
    const auto bound = [&](std::string_view name, double& into) {
      if (const YamlNode* node = find(valid, name)) {
        into = read_value(*node, quantity_.type, quantity_.shown, report_).value_or(into);
      }
    };
    bound("min", sensor_.minimum);
    bound("max", sensor_.maximum);
    if (sensor_.minimum >= sensor_.maximum) {
      report_.error(valid, "`min` is not below `max`: every reading would be rejected");
    }
  }

  void read_words() {
    const bool boolean = quantity_.type.sort == Sort::boolean;
    const std::string_view why = "is for quantities that are yes or no";
    if (const YamlNode* node = only_if(boolean, "yes_is", why)) {
      sensor_.yes = read_texts(*node, true, report_).value_or(std::vector<std::string>{});
    }
    if (const YamlNode* node = only_if(boolean, "no_is", why)) {
      sensor_.no = read_texts(*node, true, report_).value_or(std::vector<std::string>{});
      for (const std::string& word : sensor_.no) {
        if (std::ranges::find(sensor_.yes, word) == sensor_.yes.end()) continue;
        report_.error(*node, fmt::format("{} means yes and no", quote(word)));
      }
    }
  }

  void read_silence() {
    sensor_.stale_after = is_number_ ? limits::stale_after : Span::max();
    const YamlNode* node = find(map_, "stale_after");
    sensor_.missed = node != nullptr || !quantity_.while_running;
    if (!node) return;
    if (node->is_scalar() && node->text == "never") {
      sensor_.stale_after = Span::max();
    } else if (const auto span = read_duration(*node, report_)) {
      sensor_.stale_after = *span;
      if (*span < Span{1000}) report_.error(*node, "at least 1 s", "`never` says that it cannot fall silent");
    }
  }

  void read_time() {
    if (const YamlNode* node = find(map_, "time_pointer")) {
      sensor_.has_time_pointer = true;
      sensor_.time_pointer = read_pointer(*node, report_).value_or("");
      if (!sensor_.has_pointer) {
        report_.error(*find_key(map_, "time_pointer"), "`time_pointer` without `pointer`: plain text holds no time",
                      "name the value's place in the payload: pointer: /value");
      }
    }
    const YamlNode* unit = only_if(sensor_.has_time_pointer, "time_unit", "without `time_pointer`");
    if (!unit) return;
    if (unit->is_scalar() && unit->text == "ms") {  // what many clocks count in; no unit of the table
      sensor_.time_unit_seconds = 0.001;
    } else if (const auto read = read_unit(*unit, Type::duration(), report_)) {
      sensor_.time_unit_seconds = read->scale;
    }
  }

  void read_via() {
    const YamlNode* node = find(map_, "via");
    if (!node) return;
    const auto id = read_text(*node, report_);
    if (!id || draft_.is_broken(*id)) return;
    const std::uint32_t entity = draft_.plan.find_entity(*id);
    std::vector<std::string_view> gateways;
    for (const Entity& e : draft_.plan.entities) {
      if (e.kind->name == "gateway") gateways.push_back(e.id);
    }
    if (entity == no_index) {
      report_.error(*node, fmt::format("there is no gear {}", quote(*id)), suggestion(*id, gateways));
    } else if (draft_.plan.entities[entity].kind->name != "gateway") {
      report_.error(*node, fmt::format("{} is no gateway", quote(*id)), suggestion(*id, gateways));
    } else {
      sensor_.via = entity;
    }
  }

  void read_pressure_keys() {
    const bool tire_pressure = kind_.name == "tire" && quantity_.name == "pressure";
    if (const YamlNode* node = only_if(tire_pressure, "reads", "is for the pressure of a tire")) {
      constexpr std::string_view words[] = {"vented", "sealed", "absolute"};
      sensor_.reads = static_cast<PressureReads>(read_word(*node, words, report_).value_or(0));
    }
    const bool sealed = sensor_.reads == PressureReads::sealed;
    if (const YamlNode* node = only_if(sealed, "reference", "is for a sensor that `reads: sealed`")) {
      sensor_.reference = read_value(*node, Type::absolute(), Shown::by_dimension, report_).value_or(sensor_.reference);
      if (sensor_.reference < 50e3 || sensor_.reference > 120e3) {
        report_.error(*node, "no gauge is sealed at such a pressure", "between 50 kPa and 120 kPa, absolute");
      }
    }
  }

  // Numbers that are shown as they come, so a unit that cannot be converted will do.
  std::string read_cell(std::string_view key, std::string& unit) {
    const YamlNode* node = find(map_, key);
    if (!node || !check_section(*node, sensor_cell_section(), *node, report_)) return {};
    if (!sensor_.has_pointer) {
      report_.error(*find_key(map_, key), fmt::format("`{}` without `pointer`: plain text holds nothing else", key),
                    "name the value's place in the payload: pointer: /value");
    }
    if (const YamlNode* text = find(*node, "unit"); text && text->is_scalar()) {
      const Result<Unit> read = parse_unit(text->text, UnitContext::binding);
      if (read || text->text == "dBm" || text->text == "dB") {
        unit = text->text;
      } else {
        report_.error(*text, read.error().text, read.error().hint);
      }
    }
    const YamlNode* pointer = find(*node, "pointer");
    return pointer ? read_pointer(*pointer, report_).value_or("") : "";
  }

  const YamlNode& map_;
  const QuantitySpec& quantity_;
  const KindSpec& kind_;
  Range plausible_;
  Draft& draft_;
  Report& report_;
  Sensor sensor_;
  bool is_number_ = false;
};

}  // namespace

void read_bindings(const YamlNode& map, std::uint32_t index, Draft& draft) {
  Plan& plan = draft.plan;
  const KindSpec& kind = *plan.entities[index].kind;
  for (std::size_t i = 0; i < kind.quantities.size(); ++i) {
    const QuantitySpec& quantity = kind.quantities[i];
    const YamlNode* node = quantity.measured ? find(map, quantity.name) : nullptr;
    if (!node) continue;
    const YamlNode& key = *find_key(map, quantity.name);
    const std::uint32_t slot_index = plan.entities[index].quantity_slot(static_cast<std::uint8_t>(i));
    Slot& slot = plan.slots[slot_index];
    if (node->is_scalar() && node->text == "by_hand") {
      slot.by_hand = true;
      continue;
    }
    if (!node->is_map()) {
      draft.report.error(*node, fmt::format("`{}` is neither a sensor binding nor `by_hand`", quantity.name),
                         "write {topic: ..., unit: ...}, or by_hand");
      continue;
    }
    if (!check_section(*node, binding_section(), key, draft.report)) continue;
    Sensor sensor = BindingReader(*node, quantity, kind, plan.plausible(slot_index), draft).read(key);
    sensor.slot = slot_index;
    slot.sensor = static_cast<std::uint32_t>(plan.sensors.size());
    plan.sensors.push_back(std::move(sensor));
  }
}

}  // namespace overwinter
