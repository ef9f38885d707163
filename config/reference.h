// What the key tables and the tables of kinds say, as documents. docs/site-file.md and config/schema/site.schema.json
// are these texts; a test compares them.
#pragma once

#include <string>

namespace overwinter {

// Markdown: every section with its keys, every kind with its quantities, parameters and acts.
std::string reference_page();

// JSON Schema (draft 2020-12) of the site file, for editors: keys and forms; what needs a computation stays with the
// loader.
std::string json_schema();

}  // namespace overwinter
