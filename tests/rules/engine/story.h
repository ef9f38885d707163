// A site, its rules and what happens to it as text, so that a test reads like the day it tells of.
#pragma once

#include <memory>
#include <set>
#include <string>
#include <string_view>

#include "rules/engine/plan.h"

namespace overwinter {

// The site file follows `site: {id: alder_bend, local_time: America/Winnipeg}`; `rules` is rules.yaml beside it. A
// fault fails the test and throws.
std::shared_ptr<const Plan> plan_of(std::string_view site, std::string_view rules = {});

// A thermometer in the yard and one in the camper, on topics of these names. Its last line is a place: more may follow.
inline constexpr std::string_view thermometers = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC}}
)";

// The same with a hatch on the camper (topic hatch), under the rules of rules.yaml alone.
inline constexpr std::string_view camper_with_hatch = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC}}
gear:
  hatch: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: hatch}}
rules_from: [rules.yaml]
)";

// One rule on the camper, for rules.yaml: raised below 0 degC, cleared above 2 degC. `more`: further keys, each on a
// line of its own.
std::string camper_cold(std::string_view more = {});

// One message a line, as captured lines: `12-01 00:10 camper -5`, in UTC, months 08..12 of 2026 and 01..07 of 2027; `~`
// before the topic: retained; `do/...` stands under the site's root.
std::string capture_of(std::string_view story);

// What the engine tells of it, one event a line: `12-01 00:10:00 alarm_raised camper_cold camper`; what concerns no
// rule names its event, gear and quantity; an alarm that ended otherwise than cleared, or unheard, why. Only events of
// the rules and kinds named in `only`.
std::string told(const std::shared_ptr<const Plan>& plan, std::string_view story,
                 const std::set<std::string_view>& only);

// The same of a story that is cut where `---` stands: there the engine is stopped, and goes on with the next plan.
std::string told_over_reload(const std::shared_ptr<const Plan>& before, const std::shared_ptr<const Plan>& after,
                             std::string_view story, const std::set<std::string_view>& only);

// Lines without their indentation and without empty ones.
std::string lines_of(std::string_view text);

}  // namespace overwinter
