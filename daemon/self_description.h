// What a site's own templates say about our topics, so that whatever reads them can find them by itself. The site file
// writes the messages; this program knows no reader. Pure.
#pragma once

#include <vector>

#include "daemon/publication.h"
#include "rules/engine/plan.h"

namespace overwinter {

// One retained message for each topic of the template's sort, in the order of the templates, then of the plan. In topic
// and message these are filled in:
//   {site} {site_name} {topic_root} {topic}      {topic}: the retained topic that is described
//   {unique}                                     its levels under the root, joined by `_`: letters, digits, `_`
//   {gear} {gear_name}                           id and name of gear, place or site
//   {quantity} {quantity_name} {unit}            of quantities; {unit} is empty for booleans, words and instants
//   {rule} {rule_name} {priority}                of alarms
//   {reminder} {reminder_name} {priority}        of reminders
// Any other text in braces stays as it is, as does what stands in two braces: {{value}}. In a message that is a JSON
// object or list they are escaped as JSON text.
std::vector<Publication> self_description(const Plan& plan);

}  // namespace overwinter
