// The rules that ship, as texts compiled into the program: rules/standard/*.yaml in order of name.
#pragma once

#include <span>
#include <string_view>

namespace overwinter {

struct StandardFile {
  std::string_view name;  // "tires.yaml"
  std::string_view text;  // YAML
};

std::span<const StandardFile> standard_files();

}  // namespace overwinter
