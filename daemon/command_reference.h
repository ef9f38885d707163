// overwinter reference: the pages and the JSON Schema that are made from the program's own tables.
#pragma once

#include <string>

#include "daemon/console.h"

namespace overwinter {

// `page`: site, kinds, functions or schema; exit_usage for another word.
int print_reference(const std::string& page, const Console& console);

}  // namespace overwinter
