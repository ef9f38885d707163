// Events and answers as JSON, one object each, keys in a fixed order, left out when they do not apply.
#pragma once

#include <string>

#include "rules/engine/event.h"

namespace overwinter {

// Appends one object without a line break.
void append_event(std::string& out, const Event& event);
void append_answer(std::string& out, const Answer& answer);

}  // namespace overwinter
