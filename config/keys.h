// The keys of the site file and of rule files, section by section, as data: the one source for the loader's check of
// unknown keys, for the reference page and for the JSON Schema. The quantities, parameters and acts of each kind come
// from rules/gear/kind.h in the same way.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace overwinter {

// How a value is written.
enum class Form : std::uint8_t {
  text,
  id,            // [a-z][a-z0-9_]{0,39}
  boolean,       // true, false
  number,        // without unit
  port,          // 1..65535
  value,         // with a unit, or a bare number where the quantity has none
  length,        // "232 m"
  duration,      // "30 min"
  every,         // "30 d", "6 months"
  stale_after,   // a duration or `never`
  date,          // 2026-10-31
  time_of_day,   // "08:00"
  hours_of_day,  // "21:00-08:00"
  word,          // one of `words`
  weekday,
  file,
  topic,
  pointer,  // RFC 6901
  unit,
  condition,
  message,  // a text with {expressions}
  texts,    // a list of texts
  text_or_texts,
  files,       // a list
  quantities,  // a list of ID.QUANTITY
  names,       // a name or a list of them
  section,     // a map with the keys of `section`
  sections,    // a list of such maps
  named,       // a map of any names to `section`
  places,
  gear,  // a map of ids, by kind
  applies_to,
  with,           // a map of names to values
  with_of_gear,   // a map of ids to such maps
  reminder_date,  // a date, lay_up or return_to_service
};

struct Section;

struct Key {
  std::string_view name;
  Form form = Form::text;
  std::string_view otherwise;  // the default in words; "required": the key must be there
  std::string_view text;       // one sentence
  std::span<const std::string_view> words = {};
  const Section* section = nullptr;

  bool required() const { return otherwise == "required"; }
};

struct Section {
  std::string_view title;  // "a sensor binding": how faults call it
  std::string_view text;
  std::span<const Key> keys;
};

const Section& site_file_section();  // top level of the site file
const Section& site_section();
const Section& broker_section();
const Section& tls_section();
const Section& season_section();
const Section& journal_section();
const Section& digest_section();
const Section& notices_section();
const Section& self_description_section();
const Section& place_section();  // besides the quantities and parameters of the kind
const Section& gear_section();   // the same
const Section& binding_section();
const Section& valid_section();
const Section& sensor_cell_section();  // battery, link
const Section& rule_file_section();
const Section& rule_section();
const Section& reminder_section();

// In the order of the reference page.
std::vector<const Section*> all_sections();

}  // namespace overwinter
