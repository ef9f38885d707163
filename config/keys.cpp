#include "config/keys.h"

namespace overwinter {
namespace {

using KeyWords = std::string_view[];

constexpr KeyWords display_units = {"metric", "us"};
constexpr KeyWords protocols = {"mqtt_5", "mqtt_3_1_1"};
constexpr KeyWords pressure_reads = {"vented", "sealed", "absolute"};
constexpr KeyWords describe_for = {"quantities", "alarms", "reminders"};

constexpr Key site_keys[] = {
    {"id", Form::id, "required", "The site's id; it shares one namespace with its places and gear."},
    {"name", Form::text, "the id with spaces", "What people call it."},
    {"local_time", Form::text, "required", "IANA time zone, as in America/Winnipeg."},
    {"altitude", Form::length, "sea level", "Height above sea level; it decides the standard pressure."},
    {"display_units", Form::word, "metric", "Units of messages and of topics.", display_units},
};
constexpr Section site{"site", "The installation.", site_keys};

constexpr Key tls_keys[] = {
    {"ca_file", Form::file, "the system's certificates", "Certificates that the broker's one must lead to."},
    {"certificate_file", Form::file, "none", "Our own certificate."},
    {"key_file", Form::file, "none", "The key of our own certificate."},
};
constexpr Section tls{"tls", "Encryption of the link to the broker.", tls_keys};

constexpr Key broker_keys[] = {
    {"host", Form::text, "localhost", "Host name or address of the MQTT broker."},
    {"port", Form::port, "1883, with tls 8883", "TCP port, 1..65535."},
    {"topic_root", Form::topic, "overwinter/<site id>", "All our topics stand under it."},
    {"user", Form::text, "none", "User name at the broker."},
    {"password_file", Form::file, "the systemd credential mqtt-password, if there is one",
     "A file whose first line is the password. No password stands in a site file."},
    {"tls", Form::section, "none", "Encryption; without it the link is plain.", {}, &tls},
    {"protocol", Form::word, "mqtt_5", "Version of MQTT.", protocols},
};
constexpr Section broker{"broker", "The MQTT broker; validate, explain and replay do without.", broker_keys};

constexpr Key season_keys[] = {
    {"lay_up", Form::date, "none", "The day on which it was laid up."},
    {"return_to_service", Form::date, "none", "The day on which it is to go out again; after lay_up."},
};
constexpr Section season{"season", "The lay-up's begin and end.", season_keys};

constexpr Key journal_keys[] = {
    {"file", Form::file, "<site id>.sqlite in the state directory", "The store of readings and events."},
    {"keep_raw", Form::duration, "30 d", "How long every reading is kept."},
    {"keep_hourly", Form::duration, "1825 d", "How long hourly values and events are kept."},
};
constexpr Section journal{"journal", "The store of readings and events.", journal_keys};

constexpr Key digest_keys[] = {
    {"enabled", Form::boolean, "true", "Whether there is a weekly digest."},
    {"day", Form::weekday, "sunday", "The day of the week."},
    {"at", Form::time_of_day, "18:00", "Local time."},
};
constexpr Section digest{"digest", "The weekly digest.", digest_keys};

constexpr Key notices_keys[] = {
    {"at", Form::time_of_day, "08:00", "Local time of the daily notice."},
    {"quiet", Form::hours_of_day, "21:00-08:00", "Below high nothing is pushed in these hours."},
};
constexpr Section notices{"notices", "When people are told.", notices_keys};

constexpr Key self_description_keys[] = {
    {"for", Form::word, "required", "What is described: one message for each.", describe_for},
    {"topic", Form::topic, "required", "Where it is published; may hold {placeholders}."},
    {"message", Form::text, "required", "The payload; may hold {placeholders}."},
};
constexpr Section self_description{"a self-description", "A retained message by which a hub finds our topics.",
                                   self_description_keys};

constexpr Key valid_keys[] = {
    {"min", Form::value, "by quantity", "The lowest value that is plausible."},
    {"max", Form::value, "by quantity", "The highest value that is plausible."},
};
constexpr Section valid{"valid", "What a sensor can read; outside is rejected.", valid_keys};

constexpr Key sensor_cell_keys[] = {
    {"pointer", Form::pointer, "required", "JSON Pointer to the value, in the same payload."},
    {"unit", Form::unit, "required", "What the number is in; it is shown as it comes. Of a signal also dBm and dB."},
};
constexpr Section sensor_cell{"battery or link", "The sensor's own cell or signal; shown only.", sensor_cell_keys};

constexpr Key binding_keys[] = {
    {"topic", Form::topic, "required", "Exact topic; + and # are errors. One topic may feed many sensors."},
    {"pointer", Form::pointer, "none", "JSON Pointer (RFC 6901) to the value; without it the payload is plain text."},
    {"unit", Form::unit, "required for numbers", "What the number is in."},
    {"scale", Form::number, "1", "Value x scale + offset, in `unit`, before conversion."},
    {"offset", Form::number, "0", "See scale."},
    {"plus_minus", Form::value, "by quantity", "The sensor's own uncertainty, k = 2."},
    {"valid", Form::section, "by quantity", "Outside is rejected.", {}, &valid},
    {"stale_after", Form::stale_after, "6 h for numbers, never for booleans and words",
     "After this long without a reading the quantity is unknown."},
    {"time_pointer", Form::pointer, "time of arrival", "JSON Pointer to the time inside the payload."},
    {"time_unit", Form::unit, "RFC 3339 text", "With it the time is a number since 1970 in this unit."},
    {"yes_is", Form::text_or_texts, "true, on, yes, 1, open, up in any case", "The words for yes, compared exactly."},
    {"no_is", Form::text_or_texts, "false, off, no, 0, closed, shut, down in any case",
     "The words for no, compared exactly."},
    {"via", Form::id, "none", "The gateway that the sensor comes through."},
    {"reads", Form::word, "vented", "A tire's pressure: true gauge, sealed gauge (against `reference`) or absolute.",
     pressure_reads},
    {"reference", Form::value, "101.325 kPa", "What a sealed gauge was sealed at, absolute."},
    {"battery", Form::section, "none", "The sensor's own cell.", {}, &sensor_cell},
    {"link", Form::section, "none", "The sensor's own signal.", {}, &sensor_cell},
};
constexpr Section binding{"a sensor binding", "Where the readings of one quantity come from.", binding_keys};

constexpr Key place_keys[] = {
    {"name", Form::text, "the id with spaces", "What people call it."},
    {"was", Form::id, "none", "Its former id; state is carried over."},
};
constexpr Section place{"a place", "Somewhere with air of its own. `outdoors` is the outdoor reference.", place_keys};

constexpr Key gear_keys[] = {
    {"kind", Form::word, "required", "What sort of gear it is; decides its quantities and parameters."},
    {"name", Form::text, "the id with spaces", "What people call it."},
    {"place", Form::id, "none", "Where it stands; without one nothing is known of the air around it."},
    {"was", Form::id, "none", "Its former id; state is carried over."},
};
constexpr Section gear{"a piece of gear", "What is laid up and watched.", gear_keys};

constexpr KeyWords priorities = {"critical", "high", "medium", "low"};
constexpr KeyWords seasons = {"laid_up", "all_year"};

constexpr Key rule_keys[] = {
    {"applies_to", Form::applies_to, "required",
     "{kind: K}, {gear: ID or list}, {place: ID}, places (every place except outdoors), sensors (every place and piece "
     "of "
     "gear with a sensor), everything (every place and piece of gear) or site."},
    {"where", Form::condition, "everything it applies to", "Decided at load time, from parameters."},
    {"raise_when", Form::condition, "required", "The condition that raises the alarm."},
    {"clear_when", Form::condition, "not raise_when", "The condition that clears it, unless raise_when is true too."},
    {"on_delay", Form::duration, "0 s", "How long raise_when must be true."},
    {"off_delay", Form::duration, "0 s", "How long clear_when must be true."},
    {"priority", Form::word, "medium", "How much it matters.", priorities},
    {"season", Form::word, "all_year", "laid_up: only then.", seasons},
    {"suppressed_by", Form::names, "none", "Rules whose active alarm explains this one."},
    {"title", Form::message, "the name, and the rule's name in words",
     "Up to 50 characters: the thing and the finding."},
    {"message", Form::message, "required", "What is measured and what was expected."},
    {"consequence", Form::text, "none", "What happens if it is left."},
    {"response", Form::text, "none", "What to do. Its first sentence stands in the notice, with the date."},
    {"respond_within", Form::duration, "none", "By when."},
    {"why", Form::text, "none", "Where the numbers come from."},
    {"with", Form::with, "none", "Numbers of its own, named, that adjust can change."},
    {"for", Form::with_of_gear, "none", "Other numbers for one id."},
    {"was", Form::id, "none", "Its former name; state is carried over."},
    {"enabled", Form::boolean, "true", "false: it raises nothing."},
};
constexpr Section rule{"a rule", "A condition that raises an alarm.", rule_keys};

constexpr Key reminder_keys[] = {
    {"applies_to", Form::applies_to, "site", "As of a rule."},
    {"where", Form::condition, "everything it applies to", "Decided at load time, from parameters."},
    {"every", Form::every, "one of every, date, due_when is required", "How often: min, h, d, weeks, months, years."},
    {"date", Form::reminder_date, "see every", "Once: a date, lay_up or return_to_service."},
    {"due_when", Form::condition, "see every", "Due when this turns true."},
    {"first", Form::every, "as every", "How long after lay-up it is first due; `0 d`: on its day."},
    {"grace", Form::duration, "a fifth of every, 1 d to 14 d", "How long after it is due it is overdue."},
    {"done_when", Form::condition, "by command only", "Evidence that it was done."},
    {"good_day_when", Form::condition, "any day", "A day that suits."},
    {"priority", Form::word, "low", "How much it matters.", priorities},
    {"season", Form::word, "all_year", "laid_up: only then.", seasons},
    {"message", Form::message, "required", "What to do."},
    {"steps", Form::texts, "none", "How, in order."},
    {"look", Form::texts, "none", "Things to look at; each is answered ok, not ok, or with a note."},
    {"safety", Form::text, "none", "What can hurt."},
    {"why", Form::text, "none", "Where the numbers come from."},
    {"with", Form::with, "none", "Numbers of its own, named, that adjust can change."},
    {"for", Form::with_of_gear, "none", "Other numbers for one id."},
    {"was", Form::id, "none", "Its former name; state is carried over."},
    {"enabled", Form::boolean, "true", "false: it asks for nothing."},
};
constexpr Section reminder{"a reminder", "Recurring or conditional work that a person does.", reminder_keys};

constexpr Key rule_file_keys[] = {
    {"include", Form::files, "none", "Files whose maps are merged into this one."},
    {"rules",
     Form::named,
     "none",
     "Rules by name; a later definition of the same name replaces key by key.",
     {},
     &rule},
    {"reminders", Form::named, "none", "Reminders by name; likewise.", {}, &reminder},
    {"adjust", Form::named, "none", "Changes of rules and reminders that stand already, key by key."},
};
constexpr Section rule_file{"a rule file", "Named under rules_from.", rule_file_keys};

constexpr Key site_file_keys[] = {
    {"include", Form::files, "none", "Files whose maps are merged into this one; a key that stands twice is an error."},
    {"site", Form::section, "required", "The installation.", {}, &site},
    {"broker", Form::section, "none", "The MQTT broker.", {}, &broker},
    {"season", Form::section, "none", "The lay-up's begin and end.", {}, &season},
    {"places", Form::places, "none", "Places by id."},
    {"gear", Form::gear, "none", "Gear by id."},
    {"rules_from", Form::files, "[standard]", "Rule files, applied in order; `standard` are the rules that ship."},
    {"adjust", Form::named, "none", "Changes of rules and reminders, after all of rules_from."},
    {"notices", Form::section, "08:00, quiet 21:00-08:00", "When people are told.", {}, &notices},
    {"digest", Form::section, "sunday 18:00", "The weekly digest.", {}, &digest},
    {"publish", Form::quantities, "none", "More quantities to publish: a list of ID.QUANTITY."},
    {"self_description", Form::sections, "none", "Messages by which a hub finds our topics.", {}, &self_description},
    {"journal", Form::section, "in the state directory", "The store of readings and events.", {}, &journal},
};
constexpr Section site_file{"the site file", "One installation: YAML 1.2, read strictly.", site_file_keys};

}  // namespace

const Section& site_file_section() { return site_file; }
const Section& site_section() { return site; }
const Section& broker_section() { return broker; }
const Section& tls_section() { return tls; }
const Section& season_section() { return season; }
const Section& journal_section() { return journal; }
const Section& digest_section() { return digest; }
const Section& notices_section() { return notices; }
const Section& self_description_section() { return self_description; }
const Section& place_section() { return place; }
const Section& gear_section() { return gear; }
const Section& binding_section() { return binding; }
const Section& valid_section() { return valid; }
const Section& sensor_cell_section() { return sensor_cell; }
const Section& rule_file_section() { return rule_file; }
const Section& rule_section() { return rule; }
const Section& reminder_section() { return reminder; }

std::vector<const Section*> all_sections() {
  return {&site_file, &site,        &broker,  &tls,    &season,           &place,   &gear,      &binding,
          &valid,     &sensor_cell, &notices, &digest, &self_description, &journal, &rule_file, &rule,
          &reminder};
}

}  // namespace overwinter
