// The reference page of the kinds of gear, with the rules and reminders that ship for them.
#include <fmt/format.h>

#include <deque>

#include "config/definitions.h"
#include "config/reference.h"
#include "config/reference_words.h"
#include "rules/gear/kind.h"
#include "rules/gear/watch.h"
#include "rules/standard/standard_files.h"

namespace overwinter {
namespace {

constexpr std::string_view kinds_introduction =
    R"(# Kinds of gear

What each kind measures, is told and computes, and the rules and reminders that ship for it. This page is made from the
tables that the loader checks against and from the standard rules themselves; `overwinter reference kinds` prints it.

A measured quantity is a key with a sensor binding, or `by_hand`. A parameter with a dot is a key inside a map:
`filled.pressure` is written `filled: {pressure: 52 psi}`. Computed quantities are for conditions and messages; they are
never given. Uncertainties are k = 2. Every other key: [site-file.md](site-file.md).

)";

std::string shown(double canonical, const Type& type, Shown how) {
  return print_value(canonical, type, how, DisplayUnits::metric, TimeZone{}, Instant{});
}

std::string default_of(const ParameterSpec& p) {
  if (!p.otherwise) return "none";
  if (p.type.sort == Sort::word) return fmt::format("`{}`", p.type.words[static_cast<std::size_t>(*p.otherwise)]);
  if (p.type.sort == Sort::boolean) return *p.otherwise != 0 ? "`true`" : "`false`";
  if (p.whole) return fmt::format("{:.0f}", *p.otherwise);
  return shown(*p.otherwise, p.type, p.shown);
}

std::string plausible(const QuantitySpec& q) {
  const auto range = [&q](const Range& r) {
    return shown(r.minimum, q.type, q.shown) + " .. " + shown(r.maximum, q.type, q.shown);
  };
  std::string text = range({q.minimum, q.maximum});
  if (q.outdoors) text += "; `outdoors` " + range(*q.outdoors);
  if (!q.in_proportion_to.empty()) text += fmt::format("; in proportion to `{}`", q.in_proportion_to);
  return text;
}

void add_quantities(std::string& page, const KindSpec& kind) {
  bool first = true;
  for (const QuantitySpec& q : kind.quantities) {
    if (!q.measured) continue;
    if (first) page += "| measured | value | a usual sensor, k = 2 | plausible | |\n| --- | --- | --- | --- | --- |\n";
    first = false;
    const bool number = q.type.is_numeric();
    page +=
        fmt::format("| `{}` | {} | {} | {} | {}{} |\n", q.name, type_in_words(q.type),
                    number ? "± " + shown(q.plus_minus, q.type.difference(), q.shown) : "", number ? plausible(q) : "",
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
    case ParameterSpec::Form::table:
      return "list of pairs: " + type_in_words(p.type) + ", and a share";
    case ParameterSpec::Form::scalar:
      return p.whole ? fmt::format("a whole number, {:.0f} .. {:.0f}", p.minimum, p.maximum) : type_in_words(p.type);
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

// The rules that ship, as they stand in their files.
class StandardDefinitions {
 public:
  StandardDefinitions() {
    for (const StandardFile& file : standard_files()) {
      const std::uint32_t index = report_.add_file(std::string(file.name), std::string(file.text));
      if (auto tree = read_yaml(index, report_)) trees_.push_back(*std::move(tree));
    }
    for (const YamlNode& tree : trees_) definitions_.add_file(tree, true, report_);
  }
  const std::vector<Definition>& all() const { return definitions_.all(); }

 private:
  Report report_;
  std::deque<YamlNode> trees_;  // the definitions point into them
  Definitions definitions_;
};

// "tire" of {kind: tire}; the word of a scalar such as `places`; reminders without it: site.
std::string_view applies_to(const Definition& definition) {
  const YamlNode* node = definition.find("applies_to");
  if (node == nullptr) return "site";
  if (node->is_scalar()) return node->text;
  const YamlNode* kind = find(*node, "kind");
  return kind != nullptr ? std::string_view(kind->text) : "site";
}

std::string text_of(const Definition& definition, std::string_view key, std::string_view otherwise = "") {
  const YamlNode* node = definition.find(key);
  return node != nullptr ? node->text : std::string(otherwise);
}

std::string in_code(const std::string& text) {
  if (text.empty()) return {};
  std::string out = "`";
  for (const char c : text) {
    if (c == '|') out += '\\';
    out += c == '\n' ? ' ' : c;
  }
  return out + '`';
}

std::string numbers_of(const Definition& definition) {
  std::string text;
  for (const NamedNode& number : definition.with) {
    text += fmt::format("{}{} = {}", text.empty() ? "" : ", ", number.key->text, number.value->text);
  }
  return text;
}

void add_rules(std::string& page, const StandardDefinitions& standard, std::string_view group) {
  bool first = true;
  for (const Definition& d : standard.all()) {
    if (d.what != Definition::What::rule || applies_to(d) != group) continue;
    if (first) page += "| standard rule | priority | raised when | numbers | why |\n| --- | --- | --- | --- | --- |\n";
    first = false;
    const std::string where = text_of(d, "where");
    page += fmt::format("| `{}` | {} | {}{} | {} | {} |\n", d.name, text_of(d, "priority", "medium"),
                        in_code(text_of(d, "raise_when")), where.empty() ? "" : ", where " + in_code(where),
                        escaped(numbers_of(d)), escaped(text_of(d, "why")));
  }
  if (!first) page += '\n';
}

// When a reminder falls due.
std::string due_of(const Definition& d) {
  std::string text;
  for (const std::string_view key : {"every", "date", "due_when"}) {
    const std::string value = text_of(d, key);
    if (value.empty()) continue;
    if (!text.empty()) text += ", ";
    text += key == "every" ? "every " + value : key == "date" ? value : in_code(value);
  }
  return text;
}

void add_reminders(std::string& page, const StandardDefinitions& standard, std::string_view group) {
  bool first = true;
  for (const Definition& d : standard.all()) {
    if (d.what != Definition::What::reminder || applies_to(d) != group) continue;
    if (first)
      page += "| standard reminder | due | on a day when | done when | why |\n| --- | --- | --- | --- | --- |\n";
    first = false;
    page += fmt::format("| `{}` | {} | {} | {} | {} |\n", d.name, due_of(d), in_code(text_of(d, "good_day_when")),
                        in_code(text_of(d, "done_when")), escaped(text_of(d, "why")));
  }
  if (!first) page += '\n';
}

void add_sources(std::string& page, const KindSpec& kind) {
  if (kind.sources.empty()) return;
  page += "Sources of its models:\n\n";
  for (const std::string_view source : kind.sources) page += fmt::format("- {}\n", source);
  page += '\n';
}

// What the engine itself sets for every place and every piece of gear.
void add_watch(std::string& page, const StandardDefinitions& standard) {
  page +=
      "## every place and every piece of gear\n\nThe watch over the watch: silence, stuck sensors, shared lies.\n\n"
      "| computed | |\n| --- | --- |\n";
  for (const QuantitySpec& q : watch_quantities()) page += fmt::format("| `{}` | {} |\n", q.name, escaped(q.text));
  page += '\n';
  for (const std::string_view group : {"sensors", "everything"}) {
    add_rules(page, standard, group);
    add_reminders(page, standard, group);
  }
}

}  // namespace

std::string kinds_page() {
  const StandardDefinitions standard;
  std::string page(kinds_introduction);
  for (const KindSpec* kind : all_kinds()) {
    page += fmt::format("## {}\n\n{}\n\n", kind->name, kind->text);
    add_quantities(page, *kind);
    add_parameters(page, *kind);
    add_acts(page, *kind);
    add_rules(page, standard, kind->name);
    if (kind == &place_kind()) add_rules(page, standard, "places");
    add_reminders(page, standard, kind->name);
    if (kind == &place_kind()) add_reminders(page, standard, "places");
    add_sources(page, *kind);
  }
  add_watch(page, standard);
  while (page.ends_with("\n\n")) page.pop_back();
  return page;
}

}  // namespace overwinter
