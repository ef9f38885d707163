#include "config/scalars.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <utility>

#include "config/later_names.h"
#include "rules/language/compile.h"
#include "rules/language/source.h"
#include "rules/limits.h"
#include "rules/quantity/digit.h"

namespace overwinter {
namespace {

constexpr double longest_duration = 100 * 365.25 * 86'400;  // s; a hundred years: beyond is a slip

// The text of a scalar, or a report that there is none.
const std::string* scalar_text(const YamlNode& node, std::string_view wanted, Report& report) {
  if (node.is_scalar()) return &node.text;
  if (node.is_null()) {
    report.error(node, fmt::format("{} is missing here", wanted));
  } else {
    report.error(node, fmt::format("{} is expected here, not a {}", wanted, node.is_map() ? "map" : "list"),
                 node.is_map() && node.begin > 0 ? "a text that starts with `{` stands in quotes" : "");
  }
  return nullptr;
}

// Whether the service itself says something there (docs/topics.md): a sensor would hear its own readings again, and
// never fall silent.
bool is_own_topic(std::string_view topic, std::string_view root) {
  if (!topic.starts_with(root) || !topic.substr(root.size()).starts_with('/')) return false;
  const std::string_view below = topic.substr(root.size() + 1);
  const std::string_view first = below.substr(0, below.find('/'));
  if (first == "gear" || first == "place") return std::ranges::count(below, '/') == 2;  // its id and a quantity
  constexpr std::string_view own[] = {"service", "watching_since", "last_gap", "alarm", "reminder", "notice", "answer"};
  return std::ranges::find(own, first) != std::end(own);
}

std::string list_words(std::span<const std::string_view> words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) text += i + 1 == words.size() ? " or " : ", ";
    text += fmt::format("`{}`", words[i]);
  }
  return text;
}

std::optional<std::chrono::milliseconds> parse_time_of_day(std::string_view text) {
  if (text.size() != 5 || text[2] != ':') return {};
  for (const std::size_t i : {0U, 1U, 3U, 4U}) {
    if (!is_digit(text[i])) return {};
  }
  const int hour = (text[0] - '0') * 10 + (text[1] - '0');
  const int minute = (text[3] - '0') * 10 + (text[4] - '0');
  if (hour > 23 || minute > 59) return {};
  return std::chrono::hours(hour) + std::chrono::minutes(minute);
}

// Gauges of another sort of pressure than the language's own check knows: at sea level nothing reads lower.
bool is_below_vacuum(double canonical, const Type& type) {
  return type.sort == Sort::gauge && canonical < -101'325.0 - 0.5;
}

// In braces YAML takes what follows a comma for a key without a value.
bool is_rest_of_text(const YamlNode& key, const YamlNode& value) {
  constexpr std::string_view of_keys = "abcdefghijklmnopqrstuvwxyz0123456789_";
  return value.is_null() && !key.quoted && key.text.find_first_not_of(of_keys) != std::string::npos;
}

}  // namespace

std::string suggestion(std::string_view wrong, std::span<const std::string_view> names) {
  constexpr std::size_t shortest_beginning = 4;
  const auto longer = std::ranges::find_if(names, [&](std::string_view name) { return name.starts_with(wrong); });
  if (wrong.size() >= shortest_beginning && longer != names.end()) return fmt::format("did you mean `{}`?", *longer);
  if (const auto near = nearest_word(wrong, names)) return fmt::format("did you mean `{}`?", *near);
  if (names.empty() || names.size() > 12) return {};
  return "it could be " + list_words(names);
}

std::vector<std::string_view> key_names(const Section& section) {
  std::vector<std::string_view> names;
  for (const Key& key : section.keys) names.push_back(key.name);
  return names;
}

bool check_map(const YamlNode& node, std::span<const std::string_view> known, std::string_view title, Report& report) {
  if (node.is_null()) return true;
  if (!node.is_map()) {
    report.error(node, fmt::format("{} is a map: `key: value` lines, or {{key: value, ...}}", title));
    return false;
  }
  for_each_pair(node, [&](const YamlNode& key, const YamlNode& value) {
    if (std::ranges::find(known, key.text) != known.end()) return;
    report.error(key, fmt::format("{} has no key {}", title, quote(key.text)),
                 is_rest_of_text(key, value) ? "in braces a comma ends a text: put the text before it in quotes"
                                             : suggestion(key.text, known));
  });
  return true;
}

bool check_section(const YamlNode& node, const Section& section, const YamlNode& at, Report& report) {
  const std::vector<std::string_view> names = key_names(section);
  if (!check_map(node, names, section.title, report)) return false;
  for (const Key& key : section.keys) {
    if (key.required() && !find(node, key.name)) {
      report.error(at, fmt::format("{} needs `{}`", section.title, key.name), std::string(key.text));
    }
  }
  return true;
}

std::optional<std::string> read_text(const YamlNode& node, Report& report) {
  const std::string* text = scalar_text(node, "a text", report);
  if (!text) return {};
  if (text->empty()) {
    report.error(node, "an empty text");
    return {};
  }
  return *text;
}

std::optional<bool> read_boolean(const YamlNode& node, Report& report) {
  const std::string* text = scalar_text(node, "`true` or `false`", report);
  if (!text) return {};
  if (*text == "true") return true;
  if (*text == "false") return false;
  report.error(node, fmt::format("{} is neither `true` nor `false`", quote(*text)), "write `true` or `false`");
  return {};
}

std::optional<double> read_number(const YamlNode& node, Report& report) {
  const std::string* text = scalar_text(node, "a number", report);
  if (!text) return {};
  double number = 0;
  const char* end = text->data() + text->size();
  const auto read = std::from_chars(text->data(), end, number);
  if (read.ec != std::errc{} || read.ptr != end || !std::isfinite(number)) {
    report.error(node, fmt::format("{} is no plain number", quote(*text)), "write it without a unit, as in `0.1`");
    return {};
  }
  return number;
}

std::optional<std::uint16_t> read_port(const YamlNode& node, Report& report) {
  const std::string* text = scalar_text(node, "a port", report);
  if (!text) return {};
  int number = 0;
  const char* end = text->data() + text->size();
  const auto read = std::from_chars(text->data(), end, number);
  if (read.ec != std::errc{} || read.ptr != end || number < 1 || number > 65535) {
    report.error(node, fmt::format("{} is no port", quote(*text)),
                 "a port is 1..65535; MQTT's own is 1883, with TLS 8883");
    return {};
  }
  return static_cast<std::uint16_t>(number);
}

std::optional<std::size_t> read_word(const YamlNode& node, std::span<const std::string_view> words, Report& report) {
  const std::string* text = scalar_text(node, "a word", report);
  if (!text) return {};
  const auto at = std::ranges::find(words, *text);
  if (at != words.end()) return static_cast<std::size_t>(at - words.begin());
  report.error(node, fmt::format("{} is none of its words", quote(*text)), suggestion(*text, words));
  return {};
}

const KindSpec* read_kind_name(const YamlNode& node, std::span<const std::string_view> names, Report& report) {
  if (node.is_scalar() && is_later_kind(node.text)) {
    report.error(node, fmt::format("gear of the kind {} is not in this version", quote(node.text)),
                 "it comes with a later one; until then leave it out");
    return nullptr;
  }
  const auto word = read_word(node, names, report);
  return word ? find_kind(names[*word]) : nullptr;
}

std::optional<std::vector<std::string>> read_texts(const YamlNode& node, bool one_is_enough, Report& report) {
  std::vector<std::string> texts;
  if (node.is_sequence()) {
    bool sound = true;
    for (const YamlNode& item : node.items) {
      if (auto text = read_text(item, report)) {
        texts.push_back(std::move(*text));
      } else {
        sound = false;
      }
    }
    return sound ? std::optional(texts) : std::nullopt;
  }
  if (one_is_enough) {
    auto text = read_text(node, report);
    if (!text) return {};
    texts.push_back(std::move(*text));
    return texts;
  }
  report.error(node, "a list is expected here", "write [one, two], or one `- item` a line");
  return {};
}

bool check_name(const YamlNode& node, Report& report) {
  const std::string* text = scalar_text(node, "a name", report);
  if (!text) return false;
  const auto fits = [](char c) { return (c >= 'a' && c <= 'z') || is_digit(c) || c == '_'; };
  if (text->empty() || text->size() > limits::id_characters || !(text->front() >= 'a' && text->front() <= 'z') ||
      !std::ranges::all_of(*text, fits)) {
    report.error(node, fmt::format("{} is no name", quote(*text)),
                 fmt::format("it starts with a letter a-z and has up to {} of a-z, 0-9 and _", limits::id_characters));
    return false;
  }
  return true;
}

bool check_id(const YamlNode& node, Report& report) {
  if (!check_name(node, report)) return false;
  if (!is_reserved_word(node.text)) return true;
  report.error(node, fmt::format("`{}` is a word of the language", node.text), "choose another name");
  return false;
}

std::optional<double> read_value(const YamlNode& node, const Type& type, Shown shown, Report& report) {
  const std::string* text = scalar_text(node, describe(type), report);
  if (!text) return {};
  const bool bare_share = shown != Shown::percent;
  const Result<double> value = parse_value_of_type(*text, type, bare_share, UnitContext::binding);
  if (!value) {
    report.error(node, value.error().text, value.error().hint);
    return {};
  }
  if (is_below_vacuum(*value, type)) {
    report.error(node, fmt::format("{} is below vacuum", quote(*text)));
    return {};
  }
  return *value;
}

std::optional<Span> read_duration(const YamlNode& node, Report& report) {
  const auto seconds = read_value(node, Type::duration(), Shown::by_dimension, report);
  if (!seconds) return {};
  if (*seconds < 0 || *seconds > longest_duration) {
    report.error(node, *seconds < 0 ? "a duration below zero" : "a duration of more than a hundred years");
    return {};
  }
  return span_from_seconds(*seconds);
}

std::optional<Every> read_every(const YamlNode& node, Report& report, bool may_be_zero) {
  const std::string* text = scalar_text(node, "a duration", report);
  if (!text) return {};
  const std::string_view all = *text;
  double number = 0;
  const auto read = std::from_chars(all.data(), all.data() + all.size(), number);
  std::string_view unit = all.substr(static_cast<std::size_t>(read.ptr - all.data()));
  while (unit.starts_with(' ')) unit.remove_prefix(1);
  struct Word {
    std::string_view text;
    Span span;
    int months;
  };
  constexpr Word words[] = {{"min", one_minute, 0},   {"h", one_hour, 0},        {"d", one_day, 0},
                            {"week", 7 * one_day, 0}, {"weeks", 7 * one_day, 0}, {"month", {}, 1},
                            {"months", {}, 1},        {"year", {}, 12},          {"years", {}, 12}};
  const auto* word = std::ranges::find(words, unit, &Word::text);
  if (read.ec != std::errc{} || word == std::end(words) || !(may_be_zero ? number >= 0 : number > 0)) {
    report.error(node, fmt::format("{} is no interval", quote(*text)),
                 "write a number and min, h, d, weeks, months or years, as in `30 d`");
    return {};
  }
  if (word->months > 0) {
    const double months = number * word->months;
    if (months > 1200 || months != std::floor(months)) {
      report.error(node, fmt::format("{} is no whole number of months", quote(*text)),
                   "at most 1200; or write it in days");
      return {};
    }
    return Every{{}, static_cast<std::int32_t>(months)};
  }
  const double seconds = number * to_seconds(word->span);
  if (seconds > longest_duration || (seconds < 60 && seconds != 0)) {
    report.error(node, fmt::format("{} is too {}", quote(*text), seconds < 60 ? "short" : "long"),
                 "between 1 min and 100 years");
    return {};
  }
  return Every{span_from_seconds(seconds), 0};
}

std::optional<Instant> read_date(const YamlNode& node, const TimeZone& zone, Report& report,
                                 std::span<const std::string_view> words) {
  const std::string* text = scalar_text(node, "a date", report);
  if (!text) return {};
  if (const auto date = parse_date(*text)) return from_local(*date, {}, zone);
  if (const auto instant = parse_rfc3339(*text)) return *instant;
  std::string remedy = "write `2026-10-31`, or with a time and an offset `2026-10-31T18:00:00Z`";
  if (const auto near = nearest_word(*text, words)) {
    remedy = fmt::format("did you mean `{}`?", *near);
  } else if (!words.empty()) {
    remedy += fmt::format(", or {}", list_words(words));
  }
  report.error(node, fmt::format("{} is no date", quote(*text)), remedy);
  return {};
}

std::optional<std::chrono::milliseconds> read_time_of_day(const YamlNode& node, Report& report) {
  const std::string* text = scalar_text(node, "a time of day", report);
  if (!text) return {};
  const auto time = parse_time_of_day(*text);
  if (!time)
    report.error(node, fmt::format("{} is no time of day", quote(*text)), "write \"08:00\", from 00:00 to 23:59");
  return time;
}

std::optional<std::pair<std::chrono::milliseconds, std::chrono::milliseconds>> read_hours(const YamlNode& node,
                                                                                          Report& report) {
  const std::string* text = scalar_text(node, "hours of the day", report);
  if (!text) return {};
  const std::string_view all = *text;
  const auto from = parse_time_of_day(all.substr(0, std::min<std::size_t>(5, all.size())));
  const auto to = all.size() == 11 && all[5] == '-' ? parse_time_of_day(all.substr(6)) : std::nullopt;
  if (!from || !to) {
    report.error(node, fmt::format("{} are no hours of the day", quote(*text)), "write \"21:00-08:00\"");
    return {};
  }
  return std::pair(*from, *to);
}

std::optional<Unit> read_unit(const YamlNode& node, const Type& type, Report& report) {
  const std::string* text = scalar_text(node, "a unit", report);
  if (!text) return {};
  const Result<Unit> unit = parse_unit(*text, UnitContext::binding);
  if (!unit) {
    report.error(node, unit.error().text, unit.error().hint);
    return {};
  }
  if (!unit_fits(*unit, type)) {
    report.error(node, fmt::format("{} is no unit of {}", quote(*text), describe(type)),
                 "it could be " + list_words(usual_units(type)));
    return {};
  }
  return *unit;
}

std::optional<std::string> read_pointer(const YamlNode& node, Report& report) {
  const std::string* text = scalar_text(node, "a JSON Pointer", report);
  if (!text) return {};
  bool sound = text->empty() || text->front() == '/';
  for (std::size_t i = 0; i < text->size(); ++i) {
    if ((*text)[i] == '~' && (i + 1 >= text->size() || ((*text)[i + 1] != '0' && (*text)[i + 1] != '1'))) sound = false;
  }
  if (!sound) {
    report.error(node, fmt::format("{} is no JSON Pointer (RFC 6901)", quote(*text)),
                 text->starts_with('/') ? "`~` is written `~0` and `/` in a name `~1`"
                                        : fmt::format("it starts with `/`: `/{}`", *text));
    return {};
  }
  return *text;
}

std::optional<std::string> read_topic(const YamlNode& node, std::string_view root, Report& report) {
  const std::string* text = scalar_text(node, "a topic", report);
  if (!text) return {};
  constexpr std::size_t longest = 65'535;  // MQTT 5.0, 1.5.4
  if (text->empty()) {
    report.error(node, "an empty topic");
  } else if (text->size() > longest) {
    report.error(node, "a topic of more than 65535 bytes");
  } else if (text->find_first_of("+#") != std::string::npos) {
    report.error(node, fmt::format("{} holds `+` or `#`", quote(*text)), "name one exact topic for each sensor");
  } else if (std::ranges::any_of(*text, [](char c) { return static_cast<unsigned char>(c) < 0x20; })) {
    report.error(node, "a topic with a control character");
  } else if (text->starts_with("$share/")) {  // MQTT 5.0, 4.8.2: each message goes to one of those who share
    report.error(node, fmt::format("{} is a shared subscription, and no topic", quote(*text)),
                 "name the topic that the sensor publishes on");
  } else if (!root.empty() && text->starts_with(fmt::format("{}/do/", root))) {
    report.error(node, fmt::format("{} is for commands", quote(*text)),
                 fmt::format("bind a topic outside of {}/do/", root));
  } else if (!root.empty() && is_own_topic(*text, root)) {
    report.error(node, fmt::format("on {} the service itself speaks", quote(*text)),
                 "name the topic that the sensor publishes on");
  } else {
    return *text;
  }
  return {};
}

}  // namespace overwinter
