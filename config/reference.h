// What the tables of keys, kinds and functions say, as documents. docs/site-file.md, docs/kinds.md, docs/functions.md
// and config/schema/site.schema.json are these texts; a test compares them, and `overwinter reference` prints them.
#pragma once

#include <string>

namespace overwinter {

// Markdown: every section of the site file and of rule files, with its keys.
std::string site_page();

// Markdown: every kind with its quantities, parameters, acts, standard rules and reminders, and sources.
std::string kinds_page();

// Markdown: every function of physics with its arguments, range and source.
std::string functions_page();

// JSON Schema (draft 2020-12) of the site file, for editors: keys and forms; what needs a computation stays with the
// loader.
std::string json_schema();

}  // namespace overwinter
