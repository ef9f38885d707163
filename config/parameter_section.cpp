// The parameters of a place or a piece of gear, from the table of its kind. A name with a dot is a key inside a map.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "config/sections.h"
#include "rules/language/source.h"
#include "rules/physics/tire_age.h"
#include "rules/quantity/code.h"

namespace overwinter {
namespace {

std::string shown_value(double canonical, const ParameterSpec& spec) {
  if (spec.whole) return fmt::format("{:.0f}", canonical);
  return print_value(canonical, spec.type, spec.shown, DisplayUnits::metric, TimeZone{}, Instant{});
}

// A date code. Three digits are one from before 2000: the tire's report says what that means.
std::optional<double> read_date_code(const YamlNode& node, Draft& draft) {
  const auto code = read_text(node, draft.report);
  if (!code) return {};
  const bool before_2000 = code->size() == 3 && code->find_first_not_of("0123456789") == std::string::npos;
  const auto week = date_code_week(*code);
  if (!week && !before_2000) {
    draft.report.error(node, fmt::format("{} is no date code", quote(*code)), week.error().reason);
    return {};
  }
  return number_of_code(*code);
}

// One value of a type, as its canonical number.
std::optional<double> read_typed(const YamlNode& node, const ParameterSpec& spec, Draft& draft) {
  switch (spec.type.sort) {
    case Sort::boolean:
      if (const auto flag = read_boolean(node, draft.report)) return *flag ? 1.0 : 0.0;
      return {};
    case Sort::word:
      if (const auto word = read_word(node, spec.type.words, draft.report)) return static_cast<double>(*word);
      return {};
    case Sort::instant:
      if (const auto date = read_date(node, draft.plan.zone, draft.report)) return to_seconds(*date);
      return {};
    case Sort::code:
      return read_date_code(node, draft);
    case Sort::number:
    case Sort::temperature:
    case Sort::gauge:
    case Sort::absolute:
      break;
  }
  const auto value = read_value(node, spec.type, spec.shown, draft.report);
  if (!value) return {};
  if (spec.whole && *value != std::floor(*value)) {
    draft.report.error(node, fmt::format("{} is no whole number", quote(node.text)),
                       fmt::format("a whole number from {:.0f} to {:.0f}", spec.minimum, spec.maximum));
    return {};
  }
  if (*value >= spec.minimum && *value <= spec.maximum) return value;
  const bool low = *value < spec.minimum;
  draft.report.error(node, fmt::format("{} is too {}", quote(node.text), low ? "low" : "high"),
                     low ? fmt::format("at least {}", shown_value(spec.minimum, spec))
                         : fmt::format("at most {}", shown_value(spec.maximum, spec)));
  return {};
}

// [[11.7 V, 0 %], [12.7 V, 100 %]]: values of the parameter's type, rising, each with a share.
std::vector<std::pair<double, double>> read_table(const YamlNode& node, const ParameterSpec& spec, Draft& draft) {
  std::vector<std::pair<double, double>> table;
  if (!node.is_sequence() || node.items.size() < 2) {
    draft.report.error(node, "a table is a list of at least two pairs", "write [[11.7 V, 0 %], [12.7 V, 100 %]]");
    return table;
  }
  for (const YamlNode& row : node.items) {
    if (!row.is_sequence() || row.items.size() != 2) {
      draft.report.error(row, "a row of the table is a pair", "write [11.7 V, 0 %]");
      return {};
    }
    const auto value = read_typed(row.items[0], spec, draft);
    const auto share = read_value(row.items[1], Type::share(), Shown::percent, draft.report);
    if (!value || !share) return {};
    if (!table.empty() && (*value <= table.back().first || *share < table.back().second)) {
      draft.report.error(row, "this row is not above the one before", "rows rise in both columns");
      return {};
    }
    table.emplace_back(*value, *share);
  }
  return table;
}

void read_parameter(const YamlNode& node, std::uint8_t index, Entity& entity, Draft& draft) {
  const ParameterSpec& spec = entity.kind->parameters[index];
  Slot& slot = draft.plan.slots[entity.parameter_slot(index)];
  switch (spec.form) {
    case ParameterSpec::Form::table:
      entity.tables[index] = read_table(node, spec, draft);
      slot.assumed = false;
      return;
    case ParameterSpec::Form::scalar:
      if (const auto value = read_typed(node, spec, draft)) {
        slot.value = value;
        slot.assumed = false;
      }
      return;
  }
}

// Two values of which one is the other's limit.
void check_order(const YamlNode& map, const Entity& entity, Draft& draft) {
  for (std::uint8_t i = 0; i < entity.kind->parameters.size(); ++i) {
    const ParameterSpec& spec = entity.kind->parameters[i];
    const YamlNode* node = find(map, spec.name);
    const auto limit = entity.kind->parameter(spec.not_below);
    if (!node || !limit) continue;
    const auto& value = draft.plan.slots[entity.parameter_slot(i)].value;
    const auto& least = draft.plan.slots[entity.parameter_slot(*limit)].value;
    if (!value || !least || *value >= *least) continue;
    draft.report.error(*node, fmt::format("{} is below {}", quote(spec.name), quote(spec.not_below)),
                       "correct one, or exchange the two");
  }
}

}  // namespace

void read_parameters(const YamlNode& map, std::uint32_t index, Draft& draft) {
  Entity& entity = draft.plan.entities[index];
  const auto& parameters = entity.kind->parameters;
  std::vector<std::string_view> groups_done;
  for (std::size_t i = 0; i < parameters.size(); ++i) {
    const std::string_view name = parameters[i].name;
    const std::size_t dot = name.find('.');
    const std::string_view group = name.substr(0, dot);
    const YamlNode* node = find(map, group);
    if (!node) continue;
    if (dot == std::string_view::npos) {
      read_parameter(*node, static_cast<std::uint8_t>(i), entity, draft);
      continue;
    }
    if (std::ranges::find(groups_done, group) == groups_done.end()) {
      groups_done.push_back(group);
      std::vector<std::string_view> known;
      for (const ParameterSpec& p : parameters) {
        if (p.name.starts_with(group) && p.name.substr(group.size()).starts_with('.')) {
          known.push_back(p.name.substr(group.size() + 1));
        }
      }
      if (!node->is_map()) {
        draft.report.error(*node, fmt::format("`{}` is a map", group),
                           fmt::format("write {}: {{{}: ...}}", group, known[0]));
        continue;
      }
      check_map(*node, known, quote(group), draft.report);
    }
    if (const YamlNode* value = find(*node, name.substr(dot + 1))) {
      read_parameter(*value, static_cast<std::uint8_t>(i), entity, draft);
    }
  }
  check_order(map, entity, draft);
}

}  // namespace overwinter
