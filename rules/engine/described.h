// The topics of a site's self_description: what each template describes, and the words that fill it. Pure.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "rules/engine/plan.h"
#include "rules/engine/retained_topics.h"

namespace overwinter {

// It is of the template's sort, and it can hold something: what nobody brings yet is not worth finding.
bool describes(const Plan& plan, const SelfDescription& description, const RetainedTopic& topic);

using Placeholders = std::vector<std::pair<std::string_view, std::string>>;
// Without their braces; what they are: daemon/self_description.h.
Placeholders placeholders_of(const Plan& plan, const RetainedTopic& topic);
// What stands in two braces, and other text in braces, stays as it is.
std::string filled(std::string_view text, const Placeholders& words);

}  // namespace overwinter
