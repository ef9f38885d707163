#include "daemon/binding_guess.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>

#include "rules/gear/kind.h"
#include "rules/quantity/characters.h"
#include "rules/quantity/digit.h"
#include "rules/quantity/unit.h"
#include "rules/quantity/yes_or_no.h"

namespace overwinter {
namespace {

using NameWords = std::vector<std::string>;

bool is_upper(char c) { return c >= 'A' && c <= 'Z'; }
bool is_lower(char c) { return c >= 'a' && c <= 'z'; }

bool has(const NameWords& words, std::initializer_list<std::string_view> any) {
  return std::ranges::any_of(words, [&](const std::string& word) { return std::ranges::find(any, word) != any.end(); });
}

// A word of a name that says the unit.
struct UnitWord {
  std::string_view word, unit;
};
constexpr std::array unit_words{
    UnitWord{"c", "degC"},      UnitWord{"celsius", "degC"},    UnitWord{"degc", "degC"}, UnitWord{"f", "degF"},
    UnitWord{"degf", "degF"},   UnitWord{"fahrenheit", "degF"}, UnitWord{"kpa", "kPa"},   UnitWord{"hpa", "hPa"},
    UnitWord{"mbar", "mbar"},   UnitWord{"psi", "psi"},         UnitWord{"bar", "bar"},   UnitWord{"inhg", "inHg"},
    UnitWord{"pa", "Pa"},       UnitWord{"mv", "mV"},           UnitWord{"v", "V"},       UnitWord{"volt", "V"},
    UnitWord{"volts", "V"},     UnitWord{"ma", "mA"},           UnitWord{"a", "A"},       UnitWord{"amps", "A"},
    UnitWord{"amperes", "A"},   UnitWord{"percent", "%"},       UnitWord{"pct", "%"},     UnitWord{"rh", "%"},
    UnitWord{"w", "W"},         UnitWord{"watts", "W"},         UnitWord{"kw", "kW"},     UnitWord{"cm", "cm"},
    UnitWord{"inches", "inch"}, UnitWord{"mm", "mm"},           UnitWord{"dbm", "dBm"},
};

// The unit among these that the name says; empty: it says none of them.
std::string named_unit(const NameWords& name, std::initializer_list<std::string_view> possible) {
  for (const UnitWord& row : unit_words) {
    if (has(name, {row.word}) && std::ranges::find(possible, row.unit) != possible.end()) return std::string(row.unit);
  }
  return {};
}

GuessedBinding number(std::string kind, std::string quantity, const std::string& named, std::string_view by_size,
                      std::string remark = {}) {
  return {std::move(kind),  std::move(quantity), named.empty() ? std::string(by_size) : named, !named.empty(), "", "",
          std::move(remark)};
}

bool names_a_tire(const NameWords& words) {
  return has(words, {"tire", "tires", "tyre", "tyres", "wheel", "wheels", "tpms"});
}

bool is_tire_pressure(const NameWords& all, const std::string& unit, const HeardMember& m) {
  if (names_a_tire(all)) return true;
  if (unit == "psi") return m.low > -5 && m.high < 150;
  if (unit == "bar") return m.high > 1.3 && m.high < 10;
  return unit == "kPa" && m.high > 130 && m.high < 1000;
}

GuessedBinding pressure(const NameWords& all, const NameWords& name, const HeardMember& m) {
  const std::string unit = named_unit(name, {"kPa", "hPa", "mbar", "psi", "bar", "inHg", "Pa"});
  if (is_tire_pressure(all, unit, m)) {
    const std::string_view by_size = m.high > 130 ? "kPa" : m.high > 10 ? "psi" : "bar";
    return number("tire", "pressure", unit, by_size,
                  "a sensor without a vent needs reads: sealed; one against vacuum reads: absolute");
  }
  const std::string_view by_size = m.high > 50e3 ? "Pa" : m.high > 500 ? "hPa" : m.high > 50 ? "kPa" : "inHg";
  const bool reduced = has(all, {"sea", "msl", "slp", "qnh"});
  return number("place", reduced ? "sea_level_pressure" : "station_pressure", unit, by_size,
                reduced ? "" : "sea_level_pressure if it comes from a weather service");
}

// The temperature of what else stands in the payload.
GuessedBinding temperature(std::string_view topic, const NameWords& all, const NameWords& name, const HeardMember& m,
                           const std::vector<HeardMember>& others) {
  const std::string unit = named_unit(name, {"degC", "degF"});
  const std::string_view by_size = m.high > 45 ? "degF" : "degC";
  if (has(all, {"oil"})) return number("generator", "oil_temperature", unit, by_size);
  for (const HeardMember& other : others) {
    if (&other == &m || other.is != HeardMember::Is::number) continue;
    const NameWords beside = words_of_name(other.pointer);
    const bool of_same_branch =
        other.pointer.substr(0, other.pointer.rfind('/')) == m.pointer.substr(0, m.pointer.rfind('/'));
    if (!of_same_branch || has(beside, {"temperature", "temp", "c", "f"})) continue;
    const GuessedBinding guess = guess_binding(topic, other, {});
    if (guess.kind == "tire" || (guess.kind == "lead_acid_battery" && guess.quantity == "voltage")) {
      return number(guess.kind, "temperature", unit, by_size);
    }
  }
  return number(names_a_tire(all) ? "tire" : "place", "temperature", unit, by_size);
}

GuessedBinding voltage(const NameWords& name, const HeardMember& m) {
  std::string unit = named_unit(name, {"mV", "V"});
  if (unit.empty() && m.low > 1000) unit = "mV";
  const double volts = unit == "mV" ? m.high / 1000 : m.high;
  if (volts > 8 && volts <= 32) return number("lead_acid_battery", "voltage", unit, "V");
  return volts > 0 && volts < 5 ? number("sensor", "battery", unit, "V") : GuessedBinding{};
}

// `all`: the words of topic and member; `name`: of the member, or of the topic's last level where it is a plain text.
GuessedBinding guess_number(std::string_view topic, const NameWords& all, const NameWords& name, const HeardMember& m,
                            const std::vector<HeardMember>& others) {
  if (has(name,
          {"dew", "dewpoint", "frost", "setpoint", "target", "trend", "feels", "index", "min", "max", "offset"})) {
    return {};  // computed by others, wished for, or of another time
  }
  if (has(name, {"rssi", "snr", "dbm"})) return number("sensor", "link", m.high < 0 ? "dBm" : "dB", "dBm");
  if (has(name, {"volt", "volts", "voltage", "mv", "v"})) return voltage(name, m);
  if (has(name, {"battery", "batt"}) && !has(name, {"temperature", "temp", "current", "amps"})) {
    if (m.low >= 8 && m.high <= 16 && m.low != m.high) return voltage(name, m);
    // Hardly ever a percentage: the volts of a cell (common practice, no source).
    const bool is_cell = m.low >= 1.2 && m.high <= 4.3 && m.low != std::floor(m.low);
    if (is_cell) return number("sensor", "battery", "", "V");
    return m.low >= 0 && m.high <= 100 ? number("sensor", "battery", "", "%") : GuessedBinding{};
  }
  if (has(name, {"humidity", "humid", "hum", "rh"})) {
    const bool is_share = m.high <= 1 && m.high > 0;
    return number("place", "humidity", is_share ? "" : named_unit(name, {"%"}), is_share ? "1" : "%");
  }
  if (has(name, {"snow"})) return number("place", "snow_depth", named_unit(name, {"cm", "mm", "inch"}), "cm");
  if (has(name, {"irradiance", "solar", "radiation", "pyranometer"})) {
    return number("place", "irradiance", "", "W/m^2");
  }
  if (has(name, {"pressure", "press", "baro", "barometer", "hpa", "kpa", "psi", "inhg", "mbar", "slp", "qnh"})) {
    return pressure(all, name, m);
  }
  if (has(name, {"temperature", "temp", "celsius", "fahrenheit", "degc", "degf", "c", "f"})) {
    return temperature(topic, all, name, m, others);
  }
  if (has(name, {"current", "amps", "amperes", "ma"}) && has(all, {"battery", "batt", "shunt"})) {
    return number("lead_acid_battery", "current", named_unit(name, {"A", "mA"}), "A", "positive is into the battery");
  }
  if (has(name, {"power", "watts", "load", "w", "kw"}) && has(all, {"generator", "genset"})) {
    return number("generator", "load", named_unit(name, {"W", "kW"}), "W");
  }
  return {};
}

// Pairs beyond the usual words of a binding.
constexpr std::array<std::array<std::string_view, 2>, 5> pairs{{{"online", "offline"},
                                                                {"running", "stopped"},
                                                                {"connected", "disconnected"},
                                                                {"active", "inactive"},
                                                                {"alive", "dead"}}};

std::string lower(std::string text) {
  for (char& c : text) c = lower_case(c);
  return text;
}
// In the same case as a word that was heard.
std::string in_case_of(std::string_view word, const std::string& heard) {
  std::string out(word);
  if (!heard.empty() && is_upper(heard.front())) out.front() = static_cast<char>(out.front() - 'a' + 'A');
  if (heard.size() > 1 && is_upper(heard[1])) {
    for (char& c : out) c = is_lower(c) ? static_cast<char>(c - 'a' + 'A') : c;
  }
  return out;
}

// False: the value does not read as yes or no.
bool read_words(const HeardMember& m, GuessedBinding& guess) {
  if (m.is == HeardMember::Is::boolean) return true;
  if (m.is == HeardMember::Is::number) return m.low >= 0 && m.high <= 1;
  if (m.words.empty()) return false;
  if (std::ranges::all_of(m.words, [](const std::string& word) { return yes_or_no(word).has_value(); })) return true;
  for (const auto& pair : pairs) {
    const auto in_pair = [&pair](const std::string& word) {
      return std::ranges::find(pair, lower(word)) != pair.end();
    };
    if (!std::ranges::all_of(m.words, in_pair)) continue;
    guess.yes = in_case_of(pair[0], m.words.front());
    guess.no = in_case_of(pair[1], m.words.front());
    return true;
  }
  return false;
}

GuessedBinding guess_boolean(const NameWords& all, const NameWords& name, const HeardMember& m) {
  GuessedBinding guess;
  if (!read_words(m, guess)) return {};
  const auto is = [&](std::string kind, std::string quantity, std::string remark = {}) {
    guess.kind = std::move(kind);
    guess.quantity = std::move(quantity);
    guess.remark = std::move(remark);
    return guess;
  };
  const bool words_of_link = guess.yes.empty()
                                 ? has(name, {"online", "available", "availability", "connected", "radio"})
                                 : !has({lower(guess.yes)}, {"running", "active"});
  if (words_of_link) return is("gateway", "online");
  if (has(all, {"generator", "genset"}) || has(name, {"running"})) return is("generator", "running");
  if (has(name, {"contact"})) {
    if (guess.yes.empty() && m.is == HeardMember::Is::boolean) {
      guess.yes = "false";
      guess.no = "true";
    }
    return is("door_or_vent", "open", "contact made means closed; check");
  }
  const bool says_open = std::ranges::any_of(m.words, [](const std::string& word) {
    return lower(word) == "open" || lower(word) == "closed" || lower(word) == "shut";
  });
  if (says_open || has(all, {"open", "door", "window", "lid", "vent", "hatch"})) return is("door_or_vent", "open");
  if (has(all, {"socket", "outlet", "mains", "shore", "plug"})) {
    return is("lead_acid_battery", "shore_power", "move it to the battery whose charger it feeds");
  }
  return {};
}

// {"value": 3.37, "unit": "bar"}: the unit that stands beside it.
std::string_view unit_beside(const HeardMember& m, const std::vector<HeardMember>& others) {
  const std::string branch = m.pointer.substr(0, std::min(m.pointer.rfind('/'), m.pointer.size()));
  const auto found = std::ranges::find_if(others, [&](const HeardMember& other) {
    return other.is == HeardMember::Is::text && other.pointer == branch + "/unit";
  });
  return found == others.end() ? std::string_view{} : found->last;
}

// Some of what was heard is a value that such a sensor can have.
bool is_plausible(const GuessedBinding& guess, const HeardMember& m) {
  const auto kind = std::ranges::find(all_kinds(), guess.kind, &KindSpec::name);
  if (kind == all_kinds().end()) return true;  // of the sensor itself
  const auto quantity = (*kind)->quantity(guess.quantity);
  if (!quantity) return true;
  const QuantitySpec& spec = (*kind)->quantities[*quantity];
  const auto unit = parse_unit(guess.unit, UnitContext::binding);
  if (!unit || !spec.in_proportion_to.empty()) return true;  // of 24 V more than of 12 V
  const double low = to_canonical(m.low, *unit), high = to_canonical(m.high, *unit);
  return high >= spec.minimum && low <= spec.maximum;
}

}  // namespace

std::vector<std::string> words_of_name(std::string_view name) {
  std::vector<std::string> words;
  bool goes_on = false;
  char before = '\0';
  for (std::size_t i = 0; i < name.size(); ++i) {
    const char c = name[i];
    const char next = i + 1 < name.size() ? name[i + 1] : '\0';
    const bool letter = is_upper(c) || is_lower(c);
    // "tempC", and the last capital of "RHTemp"
    const bool turns = is_upper(c) && (is_lower(before) || (is_upper(before) && is_lower(next)));
    const bool hump = turns && goes_on && words.back().size() > 1;  // but "mV" and "kPa" are one
    if (!letter && !is_digit(c)) {
      goes_on = false;
    } else {
      if (!goes_on || hump) words.emplace_back();
      words.back() += lower_case(c);
      goes_on = true;
    }
    before = c;
  }
  return words;
}

GuessedBinding guess_binding(std::string_view topic, const HeardMember& member,
                             const std::vector<HeardMember>& others) {
  NameWords all = words_of_name(topic);
  // An index of an array is no name; neither is "value" under the name that counts.
  NameWords name = words_of_name(member.pointer.substr(std::min(member.pointer.rfind('/'), member.pointer.size())));
  if (!member.has_pointer || has(name, {"value", "state", "val"})) {
    name = words_of_name(member.has_pointer && member.pointer.rfind('/') != 0
                             ? std::string_view(member.pointer).substr(0, member.pointer.rfind('/'))
                             : topic.substr(topic.rfind('/') + 1));
  }
  for (const std::string& word : words_of_name(member.pointer)) all.push_back(word);
  for (const std::string& word : words_of_name(unit_beside(member, others))) name.push_back(word);
  if (GuessedBinding yes_or_no = guess_boolean(all, name, member);
      !yes_or_no.kind.empty() && member.is != HeardMember::Is::number) {
    return yes_or_no;
  }
  if (member.is == HeardMember::Is::number) {
    GuessedBinding guess = guess_number(topic, all, name, member, others);
    if (!is_plausible(guess, member)) return {};
    return guess.kind.empty() ? guess_boolean(all, name, member) : guess;
  }
  return {};
}

}  // namespace overwinter
