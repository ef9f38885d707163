#include "daemon/command_table.h"

#include <fmt/format.h>

#include <algorithm>

namespace overwinter {
namespace {

std::string first_line(std::string_view text) { return std::string(text.substr(0, text.find('\n'))); }

std::string replaced(std::string text, std::string_view what, std::string_view with) {
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size())) {
    text.replace(at, what.size(), with);
  }
  return text;
}

bool takes_file(const OptionEntry& option) {
  const auto& name = option.positional ? option.name : option.value_name;
  return name == "FILE" || name == "CAPTURE" || name == "SITE" || name == "SITE_AND_FILES";
}

// --- The manual page, in the macros of man(7) ---

std::string roff(std::string text) {
  text = replaced(std::move(text), "\\", "\\e");
  text = replaced(std::move(text), "-", "\\-");
  text = replaced(std::move(text), "\n.", "\n\\&.");
  return text.starts_with('.') || text.starts_with('\'') ? "\\&" + text : text;
}

std::string usage(const CommandEntry& command) {
  std::string out = ".B overwinter " + command.name + "\n";
  for (const OptionEntry& option : command.options) {
    if (!option.positional) continue;
    const std::string name = option.name + (option.repeats ? "\\ ..." : "");
    out += option.required ? fmt::format(".I {}\n", name) : fmt::format(".RI [ {} ]\n", name);
  }
  return out + ".RI [ options ]\n";
}

std::string lines_of(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    if (end > 0) out += roff(std::string(text.substr(0, end))) + "\n.br\n";
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out;
}

std::string manual_of(const CommandEntry& command) {
  std::string out = fmt::format(".SS {}\n{}.PP\n{}.\n", command.name, usage(command), roff(command.text));
  for (const OptionEntry& option : command.options) {
    out += ".TP\n";
    out += option.positional ? fmt::format(".I {}\n", option.name)
                             : fmt::format(".BI {} {}\n", roff(option.name),
                                           option.value_name.empty() ? "" : "\\ " + option.value_name);
    out += roff(option.text) + "\n";
    if (!option.words.empty()) out += roff(fmt::format("One of: {}.", fmt::join(option.words, ", "))) + "\n";
  }
  return out + ".PP\n.nf\n" + roff(command.footer) + "\n.fi\n";
}

std::string manual(const std::vector<CommandEntry>& commands) {
  std::string out =
      ".\\\" Made by `overwinter reference man`.\n"
      ".TH OVERWINTER 1 \"\" \"overwinter\" \"User commands\"\n.SH NAME\noverwinter \\- watches what stands through "
      "the winter: the person's commands\n.SH SYNOPSIS\n.B overwinter\n.I COMMAND\n.RI [ arguments ]\n";
  out += ".SH DESCRIPTION\n" + lines_of(commands.front().text) + ".SH OPTIONS\n";
  for (const OptionEntry& option : commands.front().options) {
    out += fmt::format(".TP\n.B {}\n{}\n", roff(option.name), roff(option.text));
  }
  out += ".SH COMMANDS\n";
  for (std::size_t i = 1; i < commands.size(); ++i) out += manual_of(commands[i]);
  out += ".SH EXAMPLES, SITE, EXIT STATUS\n.nf\n" + roff(commands.front().footer) + "\n.fi\n";
  out +=
      ".SH ENVIRONMENT\n.TP\n.B OVERWINTER_SITE\nThe site file, where\n.B \\-\\-site\nnames none.\n.TP\n.B USER\nWho "
      "says it, where\n.B \\-\\-by\nnames nobody.\n.TP\n.B CREDENTIALS_DIRECTORY\nHolds the broker's password in\n.IR "
      "mqtt\\-password ,\nwhere the site file names no\n.IR password_file .\n"
      ".SH FILES\n.I /etc/overwinter/site.yaml\n.SH SEE ALSO\n.BR overwinterd (1)\n";
  return out;
}

// --- Completion ---

std::string bash(const std::vector<CommandEntry>& commands) {
  std::vector<std::string> names;
  for (std::size_t i = 1; i < commands.size(); ++i) names.push_back(commands[i].name);
  std::string out =
      "# Completion of overwinter for bash. Made by `overwinter reference bash`.\n_overwinter() {\n"
      "  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options= words= files=\n"
      "  if ((COMP_CWORD == 1)); then\n";
  std::string own;
  for (const OptionEntry& option : commands.front().options) own += " " + option.name;
  out += fmt::format("    COMPREPLY=($(compgen -W \"{}{}\" -- \"$word\"))\n    return\n  fi\n", fmt::join(names, " "),
                     own);
  out += "  case ${COMP_WORDS[1]} in\n";
  for (std::size_t i = 1; i < commands.size(); ++i) {
    std::vector<std::string> options, words;
    bool files = false;
    for (const OptionEntry& option : commands[i].options) {
      if (!option.positional) options.push_back(option.name);
      if (option.positional) words.insert(words.end(), option.words.begin(), option.words.end());
      files = files || (option.positional && takes_file(option));
    }
    out += fmt::format("    {}) options=\"{}\" words=\"{}\" files={} ;;\n", commands[i].name, fmt::join(options, " "),
                       fmt::join(words, " "), files ? "yes" : "");
  }
  out +=
      "  esac\n"
      "  if [[ $before == --site || $before == --from ]]; then\n"
      "    COMPREPLY=($(compgen -f -- \"$word\"))\n"
      "  elif [[ $word == -* ]]; then\n"
      "    COMPREPLY=($(compgen -W \"$options\" -- \"$word\"))\n"
      "  elif [[ -n $files ]]; then\n"
      "    COMPREPLY=($(compgen -f -- \"$word\"))\n"
      "  else\n"
      "    COMPREPLY=($(compgen -W \"$words\" -- \"$word\"))\n"
      "  fi\n}\ncomplete -o filenames -F _overwinter overwinter\n";
  return out;
}

// Inside '...' of zsh and of its _arguments.
std::string zsh_text(std::string text) {
  text = replaced(first_line(text), "'", "'\\''");
  text = replaced(std::move(text), "[", "\\[");
  text = replaced(std::move(text), "]", "\\]");
  return replaced(std::move(text), ":", "\\:");
}

std::string zsh_option(const OptionEntry& option) {
  std::string values = takes_file(option) ? "_files" : "";
  if (!option.words.empty()) values = fmt::format("({})", fmt::join(option.words, " "));
  if (option.positional) {
    return fmt::format(" \\\n        '{}{}:{}:{}'", option.repeats ? "*" : "", option.required ? "" : ":", option.name,
                       values);
  }
  std::string out = fmt::format(" \\\n        '{}[{}]", option.name, zsh_text(option.text));
  if (!option.value_name.empty()) out += fmt::format(":{}:{}", option.value_name, values);
  return out + "'";
}

std::string zsh(const std::vector<CommandEntry>& commands) {
  std::string out =
      "#compdef overwinter\n# Completion of overwinter for zsh. Made by `overwinter reference zsh`.\n"
      "_overwinter() {\n  if ((CURRENT == 2)); then\n    local -a commands\n    commands=(\n";
  for (std::size_t i = 1; i < commands.size(); ++i) {
    out += fmt::format("      '{}:{}'\n", commands[i].name, zsh_text(commands[i].text));
  }
  for (const OptionEntry& option : commands.front().options) {
    out += fmt::format("      '{}:{}'\n", option.name, zsh_text(option.text));
  }
  out +=
      "    )\n    _describe command commands\n    return\n  fi\n  local command=$words[2]\n  shift words\n"
      "  ((CURRENT--))\n  case $command in\n";
  for (std::size_t i = 1; i < commands.size(); ++i) {
    out += fmt::format("    {})\n      _arguments -s", commands[i].name);
    for (const OptionEntry& option : commands[i].options) out += zsh_option(option);
    out += "\n      ;;\n";
  }
  return out + "  esac\n}\n_overwinter \"$@\"\n";
}

std::string fish_text(std::string_view text) { return replaced(replaced(first_line(text), "\\", "\\\\"), "'", "\\'"); }

std::string fish_option(const OptionEntry& option) {
  const bool is_long = option.name.starts_with("--");
  return fmt::format("-{} {}", is_long ? "l" : "s", option.name.substr(is_long ? 2 : 1));
}

std::string fish(const std::vector<CommandEntry>& commands) {
  std::string out =
      "# Completion of overwinter for fish. Made by `overwinter reference fish`.\n"
      "complete -c overwinter -f\n";
  for (const OptionEntry& option : commands.front().options) {
    out += fmt::format("complete -c overwinter -n __fish_use_subcommand {} -d '{}'\n", fish_option(option),
                       fish_text(option.text));
  }
  for (std::size_t i = 1; i < commands.size(); ++i) {
    const CommandEntry& command = commands[i];
    out += fmt::format("complete -c overwinter -n __fish_use_subcommand -a {} -d '{}'\n", command.name,
                       fish_text(command.text));
    const std::string seen = fmt::format("complete -c overwinter -n '__fish_seen_subcommand_from {}'", command.name);
    for (const OptionEntry& option : command.options) {
      if (option.positional && takes_file(option)) out += seen + " -F\n";
      if (option.positional && !option.words.empty())
        out += fmt::format("{} -a '{}'\n", seen, fmt::join(option.words, " "));
      if (option.positional) continue;
      out += fmt::format("{} {}{} -d '{}'\n", seen, fish_option(option),
                         option.value_name.empty() ? ""
                         : takes_file(option)      ? " -r -F"
                                                   : " -r",
                         fish_text(option.text));
    }
  }
  return out;
}

}  // namespace

std::optional<std::string> command_page(std::string_view page, const std::vector<CommandEntry>& commands) {
  if (page == "man") return manual(commands);
  if (page == "bash") return bash(commands);
  if (page == "zsh") return zsh(commands);
  if (page == "fish") return fish(commands);
  return std::nullopt;
}

}  // namespace overwinter
