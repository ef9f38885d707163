#include "config/conditions.h"

#include <fmt/format.h>

#include <algorithm>

#include "config/rests.h"
#include "rules/language/compile.h"
#include "rules/language/evaluator.h"
#include "rules/language/source.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

bool is_one_line(const YamlNode& node, const Report& report) {
  const TextFile& file = report.file(node.file);
  if (node.text.find('\n') != std::string::npos) return false;
  if (!node.quoted) return file.text.compare(node.begin, node.text.size(), node.text) == 0;
  const char first = file.text[node.begin];
  return first != '|' && first != '>' && file.line_at(node.begin) == file.line_at(node.end - 1);
}

// Parameters alone, as the site file gives them.
class ParameterReadings final : public Readings {
 public:
  explicit ParameterReadings(const Plan& plan) : plan_(plan) {}
  Cell read(Reference reference) const override {
    const std::optional<double>& value = plan_.slots[reference.slot].value;
    return value ? Cell::of(*value) : Cell::unknown();
  }
  Instant arrived(std::uint32_t) const override { return never; }

 private:
  const Plan& plan_;
};

}  // namespace

bool Conditions::names_broken(std::string_view text) const {
  return std::ranges::any_of(
      draft_.broken_ids, [&](const std::string& id) { return !id.empty() && text.find(id) != std::string_view::npos; });
}

Fault Conditions::of_its_kind(Fault fault) const {
  const YamlNode* applies_to = definition_.find("applies_to");
  const YamlNode* gear = applies_to && applies_to->is_map() ? find(*applies_to, "gear") : nullptr;
  if (!gear || !gear->is_sequence()) return fault;
  const bool several = std::ranges::any_of(gear->items, [&](const YamlNode& id) {
    const std::uint32_t entity = draft_.plan.find_entity(id.text);
    return entity != no_index && draft_.plan.entities[entity].kind != &scope_.kind();
  });
  if (several) fault.hint = fmt::format("`applies_to` names gear of several kinds, one of them {}", scope_.kind().name);
  return fault;
}

Program Conditions::condition(std::string_view key) {
  const YamlNode* node = definition_.find(key);
  if (!node) return {};
  Report& report = draft_.report;
  if (!node->is_scalar()) {
    report.error(*node, fmt::format("`{}` {}", key, node->is_null() ? "is empty" : "is no text"),
                 "write a condition behind it, in one line");
    return {};
  }
  if (!is_one_line(*node, report)) {
    report.error(*node, "a condition stands on one line", "write it behind the key, however long it is");
    return {};
  }
  Faults others;
  Result<Program> program = compile(node->text, scope_, draft_.functions, Wanted::boolean, &others);
  if (program) return std::move(*program);
  if (names_broken(node->text)) return {};
  report.error_inside(*node, of_its_kind(program.error()));
  for (const Fault& fault : others) report.error_inside(*node, of_its_kind(fault));
  return {};
}

MessageTemplate Conditions::message(std::string_view key, std::string_view otherwise) {
  const YamlNode* node = definition_.find(key);
  if (!node) {
    Result<MessageTemplate> made = compile_template(otherwise, scope_, draft_.functions);
    return made ? std::move(*made) : MessageTemplate{};
  }
  if (!read_text(*node, draft_.report)) return {};
  check_not_cut(*node, draft_);
  Faults others;
  Result<MessageTemplate> made = compile_template(node->text, scope_, draft_.functions, &others);
  if (made) {
    const std::size_t characters = made->least_of_first_sentence();
    if (key == "message" && characters > limits::notice_sentence_characters) {
      draft_.report.warning(*node, fmt::format("its first sentence has {} characters or more", characters),
                            fmt::format("a phone shows {} of it: end the finding with a period, the rest after it",
                                        limits::notice_sentence_characters));
    }
    return std::move(*made);
  }
  if (names_broken(node->text)) return {};
  draft_.report.error_inside(*node, of_its_kind(made.error()));
  for (const Fault& fault : others) draft_.report.error_inside(*node, of_its_kind(fault));
  return {};
}

bool Conditions::applies() {
  const YamlNode* node = definition_.find("where");
  if (!node) return true;
  const Program program = condition("where");
  if (program.empty()) return false;
  const bool decided = !program.depends_on_time && std::ranges::all_of(program.references, [&](const Reference& r) {
    return draft_.plan.slots[r.slot].role == Slot::Role::parameter;
  });
  if (!decided) {
    draft_.report.error(*node, "`where` is decided when the file is loaded, from parameters alone",
                        "what changes with readings belongs into raise_when");
    return false;
  }
  const Cell answer = evaluate(program, ParameterReadings(draft_.plan), {}, Instant{});
  return answer.known && answer.value != 0;
}

void check_not_cut(const YamlNode& node, Draft& draft) {
  if (node.quoted || !node.is_scalar()) return;
  std::string_view rest = draft.report.file(node.file).text;
  rest = rest.substr(std::min(node.begin + node.text.size(), rest.size()));
  std::size_t at = 0;
  while (at < rest.size() && (rest[at] == ' ' || rest[at] == '\t')) ++at;
  if (at == 0 || at >= rest.size() || rest[at] != '#') return;
  const std::size_t sign = node.begin + node.text.size() + at;
  draft.report.error_at(node.file, sign, sign + 1, "YAML takes the rest of this text for a comment",
                        "put the text in quotes, or the comment on a line of its own");
}

std::string text_of(const Definition& definition, std::string_view key, Draft& draft) {
  const YamlNode* node = definition.find(key);
  if (!node) return {};
  check_not_cut(*node, draft);
  return read_text(*node, draft.report).value_or("");
}

std::optional<Span> duration_of(const Definition& definition, std::string_view key, Draft& draft) {
  const YamlNode* node = definition.find(key);
  return node ? read_duration(*node, draft.report) : std::nullopt;
}

Priority priority_of(const Definition& definition, Priority otherwise, Draft& draft) {
  const YamlNode* node = definition.find("priority");
  constexpr std::string_view words[] = {"low", "medium", "high", "critical"};
  const auto word = node ? read_word(*node, words, draft.report) : std::nullopt;
  return word ? static_cast<Priority>(*word) : otherwise;
}

SeasonScope season_of(const Definition& definition, Draft& draft) {
  const YamlNode* node = definition.find("season");
  constexpr std::string_view words[] = {"all_year", "laid_up"};
  const auto word = node ? read_word(*node, words, draft.report) : std::nullopt;
  return word == 1U ? SeasonScope::laid_up : SeasonScope::all_year;
}

bool enabled(const Definition& definition, Draft& draft) {
  const YamlNode* node = definition.find("enabled");
  return !node || read_boolean(*node, draft.report).value_or(true);
}

std::string was_of(const Definition& definition, Draft& draft) {
  const YamlNode* node = definition.find("was");
  return node && check_name(*node, draft.report) ? node->text : std::string{};
}

void check_required(const Definition& definition, Draft& draft) {
  for (const Key& key : definition.section().keys) {
    if (key.required() && !definition.find(key.name)) {
      draft.report.error(*definition.name_key, fmt::format("{} needs `{}`", definition.name, key.name),
                         std::string(key.text));
    }
  }
}

std::pair<std::string, std::uint32_t> place_of(const Definition& definition, const Draft& draft) {
  const TextFile& file = draft.report.file(definition.name_key->file);
  return {file.name, file.line_at(definition.name_key->begin)};
}

}  // namespace overwinter
