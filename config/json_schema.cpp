// The JSON Schema of the site file. Written by hand as text, so that config needs no JSON library.
#include <fmt/format.h>

#include <vector>

#include "config/keys.h"
#include "config/reference.h"
#include "rules/gear/kind.h"

namespace overwinter {
namespace {

std::string json_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + '"';
}

std::string enumeration(std::span<const std::string_view> words) {
  std::string list;
  for (const std::string_view word : words) list += fmt::format("{}{}", list.empty() ? "" : ", ", json_text(word));
  return fmt::format("{{\"enum\": [{}]}}", list);
}

// YAML writes `1`, `true` and `2026-10-31` without quotes; an editor may take them for numbers, booleans or texts.
constexpr std::string_view any_scalar = R"({"type": ["string", "number", "boolean"]})";
constexpr std::string_view with_unit = R"({"type": "string", "pattern": "^-?[0-9]"})";
constexpr std::string_view id_pattern = "^[a-z][a-z0-9_]{0,39}$";

std::string object_of(const Section& section);

std::string array_of(std::string_view item) {
  return fmt::format("{{\"type\": [\"array\", \"null\"], \"items\": {}}}", item);
}

std::string map_of(std::string_view value) {
  return fmt::format(
      R"({{"type": ["object", "null"], "propertyNames": {{"pattern": "{}"}}, "additionalProperties": {}}})", id_pattern,
      value);
}

std::string schema_of(const Key& key) {
  if (!key.words.empty()) return enumeration(key.words);
  switch (key.form) {
    case Form::text:
    case Form::file:
    case Form::message:
    case Form::condition:
    case Form::value:
    case Form::unit:
      return std::string(any_scalar);
    case Form::id:
      return fmt::format(R"({{"type": "string", "pattern": "{}"}})", id_pattern);
    case Form::boolean:
      return R"({"type": "boolean"})";
    case Form::number:
      return R"({"type": "number"})";
    case Form::port:
      return R"({"type": "integer", "minimum": 1, "maximum": 65535})";
    case Form::length:
    case Form::duration:
    case Form::every:
      return std::string(with_unit);
    case Form::stale_after:
      return R"json({"type": "string", "pattern": "^([0-9]|never$)"})json";
    case Form::date:
      return R"({"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}"})";
    case Form::reminder_date:
      return R"json({"type": "string", "pattern": "^([0-9]{4}-[0-9]{2}-[0-9]{2}|lay_up$|return_to_service$)"})json";
    case Form::time_of_day:
      return R"({"type": "string", "pattern": "^[0-2][0-9]:[0-5][0-9]$"})";
    case Form::hours_of_day:
      return R"({"type": "string", "pattern": "^[0-2][0-9]:[0-5][0-9]-[0-2][0-9]:[0-5][0-9]$"})";
    case Form::word:
      return R"({"type": "string"})";
    case Form::weekday: {
      constexpr std::string_view days[] = {"sunday",   "monday", "tuesday", "wednesday",
                                           "thursday", "friday", "saturday"};
      return enumeration(days);
    }
    case Form::topic:
      return R"({"type": "string", "minLength": 1, "pattern": "^[^+#]*$"})";
    case Form::pointer:
      return R"json({"type": "string", "pattern": "^(/|$)"})json";
    case Form::texts:
    case Form::files:
      return array_of(any_scalar);
    case Form::quantities:
      return array_of(R"({"type": "string", "pattern": "^[a-z0-9_]+\\.[a-z0-9_]+$"})");
    case Form::text_or_texts:
    case Form::names:
      return fmt::format("{{\"anyOf\": [{}, {}]}}", any_scalar, array_of(any_scalar));
    case Form::section:
      return object_of(*key.section);
    case Form::sections:
      return array_of(object_of(*key.section));
    case Form::named:
      return key.section ? map_of(object_of(*key.section)) : map_of(R"({"type": "object"})");
    case Form::places:
      return map_of(R"({"$ref": "#/$defs/place"})");
    case Form::gear:
      return map_of(R"({"$ref": "#/$defs/gear"})");
    case Form::applies_to:
      return R"({"type": ["string", "object"]})";
    case Form::with:
      return map_of(any_scalar);
    case Form::with_of_gear:
      return map_of(map_of(any_scalar));
  }
  return "true";
}

std::string property(std::string_view name, std::string_view text, std::string_view schema) {
  std::string described(schema);
  if (described.starts_with("{") && !text.empty()) {
    described = fmt::format("{{\"description\": {}, {}", json_text(text), described.substr(1));
  }
  return fmt::format("{}: {}", json_text(name), described);
}

std::string joined(const std::vector<std::string>& parts) {
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "\n" : ",\n") + part;
  return text;
}

std::string object(const std::vector<std::string>& properties, const std::vector<std::string>& required) {
  std::string needs;
  for (const std::string& name : required) needs += fmt::format("{}{}", needs.empty() ? "" : ", ", name);
  return fmt::format(
      "{{\"type\": [\"object\"{}], \"additionalProperties\": false, \"required\": [{}], \"properties\": {{{}}}}}",
      required.empty() ? ", \"null\"" : "", needs, joined(properties));
}

std::string object_of(const Section& section) {
  std::vector<std::string> properties, required;
  for (const Key& key : section.keys) {
    properties.push_back(property(key.name, key.text, schema_of(key)));
    if (key.required()) required.push_back(json_text(key.name));
  }
  return object(properties, required);
}

std::string schema_of(const ParameterSpec& p) {
  if (p.form == ParameterSpec::Form::table)
    return fmt::format(R"({{"type": "array", "items": {}}})", array_of(any_scalar));
  if (p.whole) {
    return fmt::format(R"({{"type": "integer", "minimum": {:.0f}, "maximum": {:.0f}}})", p.minimum, p.maximum);
  }
  switch (p.type.sort) {
    case Sort::boolean:
      return R"({"type": "boolean"})";
    case Sort::word:
      return enumeration(p.type.words);
    case Sort::code:
      return R"({"type": "string"})";
    case Sort::instant:
      return R"({"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}"})";
    case Sort::number:
      return std::string(p.type.dimension == dimension::none ? any_scalar : with_unit);
    case Sort::temperature:
    case Sort::gauge:
    case Sort::absolute:
      return std::string(with_unit);
  }
  return "true";
}

// Quantities and parameters of a kind.
void add_kind(const KindSpec& kind, std::vector<std::string>& properties) {
  for (const QuantitySpec& q : kind.quantities) {
    if (q.measured) properties.push_back(property(q.name, q.text, R"({"$ref": "#/$defs/source"})"));
  }
  for (std::size_t i = 0; i < kind.parameters.size(); ++i) {
    const std::string_view name = kind.parameters[i].name;
    const std::size_t dot = name.find('.');
    if (dot == std::string_view::npos) {
      properties.push_back(property(name, kind.parameters[i].text, schema_of(kind.parameters[i])));
      continue;
    }
    const std::string group(name.substr(0, dot + 1));
    std::vector<std::string> inner;
    bool is_first = true;
    for (std::size_t k = 0; k < kind.parameters.size(); ++k) {
      const ParameterSpec& p = kind.parameters[k];
      if (!p.name.starts_with(group)) continue;
      is_first = is_first && k >= i;
      inner.push_back(property(p.name.substr(group.size()), p.text, schema_of(p)));
    }
    if (is_first) properties.push_back(property(name.substr(0, dot), "", object(inner, {})));
  }
}

std::string definition_of_place() {
  std::vector<std::string> properties;
  for (const Key& key : place_section().keys) properties.push_back(property(key.name, key.text, schema_of(key)));
  add_kind(place_kind(), properties);
  return object(properties, {});
}

// The key `kind` decides about the others.
std::string definition_of_gear() {
  std::vector<std::string> kinds, names;
  for (const KindSpec* kind : all_kinds()) {
    if (kind == &place_kind() || kind == &site_kind()) continue;
    std::vector<std::string> properties{
        property("kind", kind->text, fmt::format("{{\"const\": {}}}", json_text(kind->name)))};
    for (const Key& key : gear_section().keys) {
      if (key.name != "kind") properties.push_back(property(key.name, key.text, schema_of(key)));
    }
    add_kind(*kind, properties);
    kinds.push_back(fmt::format("{{\"if\": {{\"properties\": {{\"kind\": {{\"const\": {}}}}}}}, \"then\": {}}}",
                                json_text(kind->name), object(properties, {})));
    names.push_back(json_text(kind->name));
  }
  std::string list;
  for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
  return fmt::format(
      "{{\"type\": \"object\", \"required\": [\"kind\"], \"properties\": {{\"kind\": {{\"enum\": [{}]}}}}, \"allOf\": "
      "[{}]}}",
      list, joined(kinds));
}

}  // namespace

std::string json_schema() {
  const std::string site = object_of(site_file_section());
  const std::string source =
      fmt::format("{{\"anyOf\": [{{\"const\": \"by_hand\"}}, {}]}}", object_of(binding_section()));
  return fmt::format(
      "{{\"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n\"title\": \"Overwinter site file\",\n"
      "\"$defs\": {{\"source\": {},\n\"place\": {},\n\"gear\": {}}},\n{}\n",
      source, definition_of_place(), definition_of_gear(), site.substr(1));
}

}  // namespace overwinter
