// Writing captured messages, one JSON object a line, as replay reads them. Pure.
#pragma once

#include <string>
#include <string_view>

#include "daemon/json_lines.h"

namespace overwinter {

// With a line break. A payload that is not UTF-8 cannot stand in JSON: each bad byte becomes U+FFFD, and the answer is
// false. Such a payload is no reading either way.
bool append_captured_line(std::string& out, const CapturedMessage& message);

}  // namespace overwinter
