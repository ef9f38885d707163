// How long ago, in words.
#pragma once

#include <string>

#include "rules/quantity/time.h"

namespace overwinter {

// "12 s", "20 min", "90 min", "3 h", "30 h", "5 d": one number, rounded down, in a unit that is not too coarse for it.
// A span below zero is "0 s".
std::string age_text(Span age);

// "just now", "20 min ago", "3 h ago", "4 d ago".
std::string age_words(Span age);

}  // namespace overwinter
