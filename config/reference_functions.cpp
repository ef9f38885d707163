// The reference page of the functions that conditions and `overwinter compute` may call.
#include <fmt/format.h>

#include "config/reference.h"
#include "config/reference_words.h"
#include "rules/physics/catalog.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

constexpr std::string_view functions_introduction =
    R"(# Functions of physics

Callable in conditions and messages and from `overwinter compute`. Every argument is checked for its dimension; a word is
written in double quotes. Outside a model's range a call has no value, with the reason. Gauge and absolute pressures are kept
apart. `t` is a temperature, `rh` a relative humidity over water, `p` an absolute pressure. This page is made from the table
that the checker itself uses; `overwinter reference functions` prints it. Functions of history and the small ones (`min`,
`known`, ...): [conditions.md](conditions.md).

    overwinter compute 'dew_point(21 degC, 55 %)' --in degF

)";

std::string signature(const Function& function) {
  std::string text(function.name);
  for (std::size_t i = 0; i < function.parameter_count; ++i) {
    text += fmt::format("{}{}", i == 0 ? "(" : ", ", function.parameters[i].name);
  }
  return text + ')';
}

std::string parameters_in_words(const Function& function) {
  std::string text;
  for (std::size_t i = 0; i < function.parameter_count; ++i) {
    const FunctionParameter& parameter = function.parameters[i];
    const bool percent = parameter.shown == Shown::percent;
    text += fmt::format("{}`{}`: {}", text.empty() ? "" : "; ", parameter.name,
                        percent ? "a share, `%`" : type_in_words(parameter.type));
  }
  return text;
}

}  // namespace

std::string functions_page() {
  std::string page(functions_introduction);
  for (const Function& function : physics_functions()) {
    const bool percent = function.shown == Shown::percent;
    page += fmt::format("## `{}`\n\n- takes {}\n- answers {}\n- range: {}\n- source: {}\n\n", signature(function),
                        parameters_in_words(function), percent ? "a share, `%`" : type_in_words(function.result),
                        function.range, function.source);
  }
  while (page.ends_with("\n\n")) page.pop_back();
  return page;
}

}  // namespace overwinter
