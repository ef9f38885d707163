#include "daemon/command_reference.h"

#include <fmt/format.h>

#include <array>
#include <ostream>
#include <string_view>

#include "config/reference.h"
#include "rules/quantity/spelling.h"

namespace overwinter {

int print_reference(const std::string& page, const Console& console) {
  constexpr std::array<std::string_view, 4> pages = {"site", "kinds", "functions", "schema"};
  constexpr std::array<std::string (*)(), 4> make = {site_page, kinds_page, functions_page, json_schema};
  for (std::size_t i = 0; i < pages.size(); ++i) {
    if (page != pages[i]) continue;
    console.out << make[i]();
    return exit_done;
  }
  console.err << fmt::format("error: there is no page `{}`\n", page);
  const auto near = nearest_word(page, pages);
  console.err << (near ? fmt::format("hint: did you mean `{}`?\n", *near)
                       : "hint: site, kinds, functions, schema, man, bash, zsh or fish\n");
  return exit_usage;
}

}  // namespace overwinter
