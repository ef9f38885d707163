#include "config/reference.h"

#include <fmt/format.h>

#include "config/keys.h"
#include "config/reference_words.h"

namespace overwinter {
namespace {

constexpr std::string_view introduction = R"(# The site file and the rule files: every key

YAML 1.2, read strictly: no anchors or aliases, no tags, no duplicate or unknown keys, one document, at most 1 MiB, depth
32. A value carries its unit in its text: `52 psi`, `61 degF`, `30 min`, `85 Ah`. A bare number where a unit is needed is an
error. `overwinter validate` reports all problems together.

This page is made from the tables that the loader itself checks against. A place and each piece of gear also take the
quantities and parameters of their kind: [kinds.md](kinds.md). What conditions may call: [functions.md](functions.md). The
same page: `overwinter reference site`; a JSON Schema for editors: `overwinter reference schema`.

)";

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

}  // namespace

std::string site_page() {
  std::string page(introduction);
  for (const Section* section : all_sections()) add_section(page, *section);
  while (page.ends_with("\n\n")) page.pop_back();
  return page;
}

}  // namespace overwinter
