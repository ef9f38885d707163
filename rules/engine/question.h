// Questions for a person, in the digest of their week. One about a rise is dropped when work that explains it is told,
// by an act or in the site file: people pump up a tire at noon and write it down at night.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "rules/engine/world.h"

namespace overwinter {

// Of one piece of gear or place. Of a week 20 are kept, for more would drown the digest.
void add_question(World& world, std::uint32_t entity, std::string text);

// Of what rose after `since`; `dated` is the parameter that dates work which would explain it.
void add_question_of_rise(World& world, std::uint32_t entity, std::string text, Instant since, std::uint8_t dated);

// What is still to be asked, as sentences, in plan order.
std::vector<std::string> open_questions(const World& world);

// When the digest has told them.
void forget_questions(World& world);

}  // namespace overwinter
