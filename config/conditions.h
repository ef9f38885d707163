// Conditions and messages of rules and reminders, from the file's text to programs.
#pragma once

#include <optional>
#include <string_view>

#include "config/definitions.h"
#include "config/plan_scope.h"
#include "config/sections.h"
#include "config/targets.h"

namespace overwinter {

// Reads keys of one definition for one scope. What is wrong is reported at the text; programs are empty then.
class Conditions {
 public:
  Conditions(const Definition& definition, const PlanScope& scope, Draft& draft)
      : definition_(definition), scope_(scope), draft_(draft) {}

  Program condition(std::string_view key);  // empty when the key is missing
  MessageTemplate message(std::string_view key, std::string_view otherwise);
  // `where`: decided from parameters, now. Unknown counts as no.
  bool applies();

 private:
  // False, and nothing to report, when a text names gear that could not be read.
  bool names_broken(std::string_view text) const;
  // Of which gear it is wrong, where `applies_to` lists several kinds.
  Fault of_its_kind(Fault fault) const;

  const Definition& definition_;
  const PlanScope& scope_;
  Draft& draft_;
};

// The keys that rules and reminders share.
std::string text_of(const Definition& definition, std::string_view key, Draft& draft);
std::optional<Span> duration_of(const Definition& definition, std::string_view key, Draft& draft);
Priority priority_of(const Definition& definition, Priority otherwise, Draft& draft);
SeasonScope season_of(const Definition& definition, Draft& draft);
bool enabled(const Definition& definition, Draft& draft);
std::string was_of(const Definition& definition, Draft& draft);
// A text for people: YAML cuts an unquoted one at ` #`.
void check_not_cut(const YamlNode& text, Draft& draft);
// Required keys of the section, after all files.
void check_required(const Definition& definition, Draft& draft);
// Where it is defined, for explain.
std::pair<std::string, std::uint32_t> place_of(const Definition& definition, const Draft& draft);

void read_rules(const Definitions& definitions, Draft& draft);
void read_reminders(const Definitions& definitions, Draft& draft);
// After both: no two alarms or reminders of the same gear claim one former name.
void check_former_names(const Definitions& definitions, Draft& draft);

}  // namespace overwinter
