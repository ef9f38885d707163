// Where tests find the repository's files and the programs under test. One source knows the paths, so that a compiler
// cache serves every clone with the rest.
#pragma once

#include <filesystem>
#include <string>

namespace overwinter::places {

std::filesystem::path repository();
std::string overwinter();   // the command line's program
std::string overwinterd();  // the service's
std::string bare_client();  // what benchmarks measure the service beside

}  // namespace overwinter::places
