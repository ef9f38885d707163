#include "config/reference.h"

#include <fmt/format.h>

#include "config/keys.h"
#include "rules/gear/kind.h"
#include "rules/quantity/print.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

constexpr std::string_view introduction = R"(# The site file and the rule files: every key

YAML 1.2, read strictly: no anchors or aliases, no tags, no duplicate or unknown keys, one document, at most 1 MiB, depth
32. A value carries its unit in its text: `52 psi`, `61 degF`, `30 min`, `85 Ah`. A bare number where a unit is needed is an
error. `overwinter validate` reports all problems together.

This page is made from the tables that the loader itself checks against.

)";

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '|' || c == '<' || c == '>') out += '\\';
    out += c;
  }
  return out;
}

std::string_view form_in_words(Form form) {
  switch (form) {
    case Form::text:
      return "text";
    case Form::id:
      return "id";
    case Form::boolean:
      return "`true` or `false`";
    case Form::number:
      return "number";
    case Form::port:
      return "1..65535";
    case Form::value:
      return "value with unit";
    case Form::length:
      return "length, `232 m`";
    case Form::duration:
      return "duration, `30 min`";
    case Form::every:
      return "interval, `30 d`";
    case Form::stale_after:
      return "duration or `never`";
    case Form::date:
      return "date, `2026-10-31`";
    case Form::time_of_day:
      return "time, `\"08:00\"`";
    case Form::hours_of_day:
      return "hours, `\"21:00-08:00\"`";
    case Form::word:
      return "word";
    case Form::weekday:
      return "`sunday` .. `saturday`";
    case Form::file:
      return "file";
    case Form::topic:
      return "topic";
    case Form::pointer:
      return "JSON Pointer";
    case Form::unit:
      return "unit";
    case Form::condition:
      return "condition";
    case Form::message:
      return "text with {expressions}";
    case Form::texts:
      return "list of texts";
    case Form::text_or_texts:
      return "text or list of texts";
    case Form::files:
      return "list of files";
    case Form::quantities:
      return "list of ID.QUANTITY";
    case Form::names:
      return "name or list of names";
    case Form::section:
      return "map";
    case Form::sections:
      return "list of maps";
    case Form::named:
      return "map of names";
    case Form::places:
    case Form::gear:
      return "map of ids";
    case Form::applies_to:
      return "see the text";
    case Form::with:
      return "map of names to values";
    case Form::with_of_gear:
      return "map of ids to such maps";
    case Form::reminder_date:
      return "date, `lay_up` or `return_to_service`";
  }
  return {};
}

std::string list_of(std::span<const std::string_view> words) {
  std::string text;
  for (const std::string_view word : words) text += fmt::format("{}`{}`", text.empty() ? "" : ", ", word);
  return text;
}

void add_section(std::string& page, const Section& section) {
  page += fmt::format("## {}\n\n{}\n\n| key | value | default | |\n| --- | --- | --- | --- |\n", section.title,
                      section.text);
  for (const Key& key : section.keys) {
    const std::string value = key.words.empty() ? std::string(form_in_words(key.form)) : list_of(key.words);
    page +=
        fmt::format("| `{}` | {} | {} | {} |\n", key.name, escaped(value), escaped(key.otherwise), escaped(key.text));
  }
  page += '\n';
}

// "pressure, psi, kPa, bar"; words as a list.
std::string type_in_words(const Type& type) {
  if (type.sort == Sort::word) return list_of(type.words);
  if (type.sort == Sort::boolean) return "`true` or `false`";
  if (type.sort == Sort::instant) return "date";
  const auto units = usual_units(type);
  return units.empty() ? describe(type) : fmt::format("{}: {}", describe(type), list_of(units));
}

std::string shown(double canonical, const Type& type, Shown how) {
  return print_value(canonical, type, how, DisplayUnits::metric, TimeZone{}, Instant{});
}

std::string default_of(const ParameterSpec& p) {
  if (!p.otherwise) return "none";
  if (p.type.sort == Sort::word) return fmt::format("`{}`", p.type.words[static_cast<std::size_t>(*p.otherwise)]);
  if (p.type.sort == Sort::boolean) return *p.otherwise != 0 ? "`true`" : "`false`";
  return shown(*p.otherwise, p.type, p.shown);
}

void add_quantities(std::string& page, const KindSpec& kind) {
  bool first = true;
  for (const QuantitySpec& q : kind.quantities) {
    if (!q.measured) continue;
    if (first) page += "| measured | value | a usual sensor, k = 2 | plausible | |\n| --- | --- | --- | --- | --- |\n";
    first = false;
    const bool number = q.type.is_numeric();
    page += fmt::format("| `{}` | {} | {} | {} | {}{} |\n", q.name, type_in_words(q.type),
                        number ? "± " + shown(q.plus_minus, q.type.difference(), q.shown) : "",
                        number ? shown(q.minimum, q.type, q.shown) + " .. " + shown(q.maximum, q.type, q.shown) : "",
                        escaped(q.text), q.has_expected ? " A model says what it ought to be." : "");
  }
  if (!first) page += '\n';
  first = true;
  for (const QuantitySpec& q : kind.quantities) {
    if (q.measured) continue;
    if (first) page += "| computed | value | |\n| --- | --- | --- |\n";
    first = false;
    page += fmt::format("| `{}` | {} | {} |\n", q.name, type_in_words(q.type), escaped(q.text));
  }
  if (!first) page += '\n';
}

std::string parameter_form(const ParameterSpec& p) {
  switch (p.form) {
    case ParameterSpec::Form::text:
      return "text in quotes";
    case ParameterSpec::Form::table:
      return "list of pairs: " + type_in_words(p.type) + ", and a share";
    case ParameterSpec::Form::scalar:
      return type_in_words(p.type);
  }
  return {};
}

void add_parameters(std::string& page, const KindSpec& kind) {
  if (kind.parameters.empty()) return;
  page += "| parameter | value | default | |\n| --- | --- | --- | --- |\n";
  for (const ParameterSpec& p : kind.parameters) {
    page += fmt::format("| `{}` | {} | {} | {} |\n", p.name, parameter_form(p), default_of(p), escaped(p.text));
  }
  page += '\n';
}

void add_acts(std::string& page, const KindSpec& kind) {
  if (kind.acts.empty()) return;
  page += "| act | values |\n| --- | --- |\n";
  for (const ActSpec& act : kind.acts) {
    std::string values;
    for (const ActValueSpec& value : act.values) {
      values +=
          fmt::format("{}`{}`{}", values.empty() ? "" : ", ", value.name, value.required ? "" : " (may be left out)");
    }
    page += fmt::format("| `{}` | {} |\n", act.name, values);
  }
  page += '\n';
}

}  // namespace

std::string reference_page() {
  std::string page(introduction);
  for (const Section* section : all_sections()) add_section(page, *section);
  page +=
      "# Kinds\n\nA measured quantity is a key with a sensor binding, or `by_hand`. A parameter with a dot is a key "
      "inside a "
      "map: `filled.pressure` is written `filled: {pressure: 52 psi}`. Computed quantities are for conditions and "
      "messages; "
      "they are never given.\n\n";
  for (const KindSpec* kind : all_kinds()) {
    page += fmt::format("## {}\n\n{}\n\n", kind->name, kind->text);
    add_quantities(page, *kind);
    add_parameters(page, *kind);
    add_acts(page, *kind);
  }
  while (page.ends_with("\n\n")) page.pop_back();
  return page;
}

}  // namespace overwinter
