// The plan: a whole site as plain data, with every name resolved and every condition compiled. config/ fills it; the
// engine only reads it. Slots number all quantities and parameters of all entities: an entity's slots are contiguous,
// in the order kind quantities, watch quantities, parameters.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "rules/engine/event.h"
#include "rules/gear/kind.h"
#include "rules/gear/watch.h"
#include "rules/language/message_template.h"
#include "rules/language/program.h"
#include "rules/limits.h"
#include "rules/quantity/print.h"
#include "rules/quantity/time.h"

namespace overwinter {

inline constexpr std::uint32_t no_index = 0xFFFFFFFF;

// The id of the place that gear without a `place` stands in, when there is such gear: nothing is known there. No id of
// a site file can be the same.
inline constexpr std::string_view unplaced_id = "no place";

// A site, a place or a piece of gear. "A rule or event is always about one id."
struct Entity {
  std::string id;
  std::string name;
  const KindSpec* kind = nullptr;  // site_kind(), place_kind() or a kind of gear
  std::uint32_t place = no_index;  // index of the place's entity; a place's own index; the site: none
  std::uint32_t first_slot = 0;
  std::string was;                                             // former id, empty: none
  std::vector<std::vector<std::pair<double, double>>> tables;  // by parameter index

  std::uint32_t quantity_slot(std::uint8_t index) const { return first_slot + index; }
  std::uint32_t watch_slot(Watch watch) const { return first_watch_slot() + static_cast<std::uint8_t>(watch); }
  std::uint32_t parameter_slot(std::uint8_t index) const { return first_watch_slot() + watch_count + index; }

 private:
  std::uint32_t first_watch_slot() const { return first_slot + static_cast<std::uint32_t>(kind->quantities.size()); }
};

struct Slot {
  enum class Role : std::uint8_t { measured, computed, watch, parameter };
  std::uint32_t entity = 0;
  Role role = Role::computed;
  std::uint8_t index = 0;  // in kind->quantities, watch_quantities() or kind->parameters
  Type type;
  Shown shown = Shown::by_dimension;
  bool by_hand = false;             // the site says `by_hand`
  std::uint32_t sensor = no_index;  // bound sensor of a measured quantity
  std::optional<double> value;      // parameters: from the site file, else the default
  bool assumed = false;             // parameters: the kind's default

  bool is_brought() const { return sensor != no_index || by_hand; }  // of measured ones: by a sensor, or by a person
};

enum class PressureReads : std::uint8_t { vented, sealed, absolute };

// A bound sensor.
struct Sensor {
  std::uint32_t slot = 0;
  std::string topic;
  std::string pointer;  // RFC 6901; meaningful if has_pointer
  bool has_pointer = false;
  Unit unit{};  // of numbers
  double scale = 1, offset = 0;
  double plus_minus = 0;            // k = 2, canonical
  double minimum = 0, maximum = 0;  // canonical; outside is rejected
  Span stale_after{};               // Span::max(): never
  bool missed = true;               // its silence is told; else what it said only grows stale
  bool has_time_pointer = false;
  std::string time_pointer;
  std::optional<double> time_unit_seconds;  // nothing: RFC 3339 text
  std::vector<std::string> yes, no;         // words of a boolean, compared exactly; empty: the usual words in any case
  std::uint32_t via = no_index;             // entity of the gateway
  PressureReads reads = PressureReads::vented;
  double reference = 101325;  // Pa absolute, of a sealed gauge
  // the sensor's own cell and signal, shown only, in the unit that they come in; empty pointer: none
  std::string battery_pointer, link_pointer;
  std::string battery_unit, link_unit;
};

enum class SeasonScope : std::uint8_t { all_year, laid_up };

struct RuleSpec {
  std::string name;
  std::string was;
  Span on_delay{}, off_delay{};
  Priority priority = Priority::medium;
  SeasonScope season = SeasonScope::all_year;
  std::vector<std::string> suppressed_by;  // names of rules
  std::string consequence, response, why;
  std::optional<Span> respond_within;
  std::string file;  // where it is defined, for explain
  std::uint32_t line = 0;
};

// One rule on one entity.
struct AlarmSpec {
  std::uint32_t rule = 0;
  std::uint32_t entity = 0;
  Program raise;
  Program clear;  // empty: not raise
  MessageTemplate title, message;
  std::vector<std::uint32_t> suppressed_by;  // alarms on the same entity, its place, its gateway or the site
  std::vector<std::uint32_t> sampled_slots;  // bound, numeric, measured slots that raise rests on (through models)
  std::vector<Span> held_over;       // of each of these: the shortest held_for, if nothing else reads it, else 0
  std::vector<bool> counts_at_once;  // of each: not only held_for, mean and time_share read it
  std::vector<std::uint32_t> measured_slots;  // all measured slots that raise rests on, for evidence
};

struct Every {
  Span span{};              // min, h, d, weeks
  std::int32_t months = 0;  // months and years: calendar
  bool operator==(const Every&) const = default;
};

struct ReminderDef {
  std::string name;
  std::string was;
  std::optional<Every> every, first;
  std::optional<Instant> date;  // a fixed date (08:00 local of it)
  enum class Anchor : std::uint8_t { none, date, lay_up, return_to_service } anchor = Anchor::none;
  std::optional<Span> grace;  // nothing: the default by `every`
  Priority priority = Priority::low;
  SeasonScope season = SeasonScope::all_year;
  std::vector<std::string> steps, look;
  std::string safety, why;
  std::string file;
  std::uint32_t line = 0;
};

struct ReminderSpec {
  std::uint32_t def = 0;
  std::uint32_t entity = 0;
  Program due_when, done_when, good_day_when;  // empty: none
  MessageTemplate message;
};

struct DigestSpec {
  unsigned weekday = 0;  // C encoding, 0 = Sunday
  std::chrono::milliseconds at{18 * 3'600'000};
  bool enabled = true;
};

struct BrokerSpec {
  bool given = false;
  std::string host = "localhost";
  std::uint16_t port = 1883;
  std::string user, password_file;
  bool tls = false;
  std::string ca_file, certificate_file, key_file;
  bool mqtt_3_1_1 = false;
};

struct SelfDescription {
  enum class For : std::uint8_t { quantities, alarms, reminders } what = For::quantities;
  std::string topic, message;
};

struct Plan {
  std::uint64_t fingerprint = 0;  // of the texts it was made from: equal means the same plan
  std::string site_id, site_name, topic_root;
  TimeZone zone;
  double altitude = 0;  // m
  bool altitude_given = false;
  DisplayUnits units = DisplayUnits::metric;
  Instant lay_up{}, return_to_service{};  // start of the local day; Instant{}: not given
  BrokerSpec broker;
  DigestSpec digest;
  // Local times of day.
  std::chrono::milliseconds notices_at = std::chrono::hours(8);
  std::chrono::milliseconds quiet_from = std::chrono::hours(limits::quiet_from_hour);
  std::chrono::milliseconds quiet_to = std::chrono::hours(limits::quiet_until_hour);
  std::vector<std::uint32_t> publish;  // slots listed under publish:
  std::vector<SelfDescription> self_description;
  std::string journal_file;
  std::optional<Span> keep_raw, keep_hourly;

  std::vector<Entity> entities;  // the site first, then places (in file order), then gear (in file order)
  std::uint32_t outdoors = no_index;
  bool outdoors_given = false;  // by the site file; else it is there unknown
  std::vector<Slot> slots;
  std::vector<Sensor> sensors;
  std::vector<RuleSpec> rules;
  std::vector<AlarmSpec> alarms;  // rules in order of definition, then entities in order
  std::vector<ReminderDef> reminder_defs;
  std::vector<ReminderSpec> reminders;

  std::uint32_t find_entity(std::string_view id) const;  // no_index: none
  std::vector<std::string_view> ids() const;             // all that a person can name
  // What gear, a rule or a reminder is called now, of the name that it had before (`was`). Any other name stays.
  std::string present_gear(const std::string& id) const;
  // gear: as it is called now; of parts that a rule was split into, its own is meant. Empty: any.
  std::string present_rule(const std::string& name, std::string_view gear) const;
  std::string present_reminder(const std::string& name, std::string_view gear) const;
  bool is_nowhere(std::uint32_t entity) const;  // the place of what stands in none: never named, never told
  // Slot of a quantity, watch quantity or parameter by name; no_index: none.
  std::uint32_t find_slot(std::uint32_t entity, std::string_view name) const;
  std::string_view slot_name(std::uint32_t slot) const;
  // What a sensor of a measured number can tell of this gear, unless its binding says `valid`.
  Range plausible(std::uint32_t slot) const;
};

}  // namespace overwinter
