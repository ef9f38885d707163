// The person's program as a table: its commands with what each takes. Help, manual page and shell completion are made
// from it, so that none of them can forget an option. Pure.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace overwinter {

struct OptionEntry {
  std::string name;        // "--site", "-h"; of a positional argument: "GEAR"
  std::string value_name;  // "FILE"; empty: a flag, or a positional argument
  std::string text;
  std::vector<std::string> words;  // the only values, where they are few
  bool positional = false, required = false, repeats = false;
};

struct CommandEntry {
  std::string name;  // empty: the program itself
  std::string text;
  std::vector<OptionEntry> options;
  std::string footer;  // an example and what else must be said
};

// "man", "bash", "zsh", "fish"; nothing: there is no such page. `commands`: the program itself first.
std::optional<std::string> command_page(std::string_view page, const std::vector<CommandEntry>& commands);

}  // namespace overwinter
