#include "tests/places.h"

namespace overwinter::places {

std::filesystem::path repository() { return OVERWINTER_REPOSITORY; }
std::string overwinter() { return OVERWINTER_BUILD "/overwinter"; }
std::string overwinterd() { return OVERWINTER_BUILD "/overwinterd"; }
std::string bare_client() { return OVERWINTER_BUILD "/tests/bench/bare_client"; }

}  // namespace overwinter::places
