// What the weekly digest says of how well the week was watched.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "rules/engine/world.h"

namespace overwinter {

// "Camper humidity".
std::string name_of_quantity(const World& world, std::uint32_t slot);

// What a phone shows at first. A list may be longer: then it stands in sentences, or behind a short one.
bool fits_a_first_sentence(std::string_view text);

// "All is well", or who could not be seen. What began within the week says since when it watches: a few quiet hours
// are no week that was well. any_open: an alarm is active. all_heard: all who say yes or no have been heard once.
std::string tell_watch(const World& world, bool any_open, bool all_heard);

// Why nothing was seen, before what was not: no gear's sensor was at fault. Empty: nothing kept the program from it.
std::string tell_gap(const World& world);

}  // namespace overwinter
