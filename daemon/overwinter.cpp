// The program for the person: reads the command line, everything else stands in the command_*.cpp files.
#include <unistd.h>
#include <CLI/CLI.hpp>

#include <chrono>
#include <exception>
#include <iostream>

#include "daemon/command_compute.h"
#include "daemon/command_explain.h"
#include "daemon/command_reference.h"
#include "daemon/command_replay.h"
#include "daemon/command_validate.h"
#include "daemon/site_choice.h"

namespace overwinter {
namespace {

constexpr const char* about =
    "Overwinter watches what stands through the winter: tires, batteries, moisture, water, fuel, the generator.\n"
    "It replaces no gas, smoke or carbon monoxide detector, and its silence proves nothing.\n";
constexpr const char* examples =
    "Examples:\n"
    "  overwinter validate site.yaml\n"
    "  overwinter compute 'dew_point(21 degC, 55 %)' --in degF\n"
    "  overwinter replay site.yaml winter.jsonl --summary\n"
    "  overwinter explain left_front_tire --site site.yaml --from winter.jsonl\n"
    "  overwinter reference functions\n"
    "The site is --site FILE, else OVERWINTER_SITE, else /etc/overwinter/site.yaml.\n"
    "Exit codes: 0 done; 1 the answer is no (not valid, no value, a broken line); 2 usage.\n";

struct CommandLine {
  std::string site;  // --site
  ValidateOptions validate;
  ComputeOptions compute;
  std::vector<std::string> replay_arguments;
  ReplayOptions replay;
  ExplainOptions explain;
  std::string reference_page;
};

void add_site_option(CLI::App& command, CommandLine& line) {
  command.add_option("--site", line.site, "The site file")->type_name("FILE");
}

CLI::App* add_validate(CLI::App& app, CommandLine& line) {
  CLI::App* command = app.add_subcommand("validate", "Check a site file and the rules that it names");
  command->add_option("SITE", line.validate.site, "The site file");
  command->add_flag("--json", line.validate.json, "One JSON object");
  command->footer("Example: overwinter validate /etc/overwinter/site.yaml");
  add_site_option(*command, line);
  return command;
}

CLI::App* add_compute(CLI::App& app, CommandLine& line) {
  CLI::App* command = app.add_subcommand("compute", "Work out one expression, as a rule would");
  command->add_option("EXPRESSION", line.compute.expression, "In the language of the rules; dates are UTC")->required();
  command->add_option("--in", line.compute.in, "The number alone, in this unit; % and 1 too")->type_name("UNIT");
  command->add_flag("--json", line.compute.json, "One JSON object");
  command->footer(
      "Example: overwinter compute 'dew_point(21 degC, 55 %)' --in degF\n"
      "A gauge pressure stays gauge and an absolute one absolute: --in psi converts the unit only.");
  return command;
}

CLI::App* add_replay(CLI::App& app, CommandLine& line) {
  CLI::App* command = app.add_subcommand("replay", "Run captured messages through the rules, in their own time");
  command
      ->add_option("SITE_AND_FILES", line.replay_arguments,
                   "The site file (not with --site), then captures, one JSON object a line; - is standard input")
      ->required();
  command->add_option("--until", line.replay.until, "Go on to this time, or stop there")->type_name("TIME");
  command->add_flag("--summary", line.replay.summary, "Lines for a person and a scoreboard");
  command->add_flag("--json", line.replay.json, "Events as JSON Lines, also on a terminal");
  command->footer("Example: overwinter replay site.yaml winter.jsonl --summary --until 2027-04-20");
  add_site_option(*command, line);
  return command;
}

CLI::App* add_explain(CLI::App& app, CommandLine& line) {
  CLI::App* command = app.add_subcommand("explain", "Why each reading is judged as it is, with the calculation");
  command->add_option("GEAR", line.explain.gear, "Id of gear, a place or the site; without it all of them");
  command
      ->add_option("--from", line.explain.files,
                   "Captured messages, each with a --from of its own; - is standard input")
      ->type_name("CAPTURE")
      ->allow_extra_args(false);
  command->add_option("--at", line.explain.at, "As it stood at this time")->type_name("TIME");
  command->add_flag("--json", line.explain.json, "One JSON object a line");
  command->footer("Example: overwinter explain left_front_tire --site site.yaml --from winter.jsonl --at 2027-01-15");
  add_site_option(*command, line);
  return command;
}

CLI::App* add_reference(CLI::App& app, CommandLine& line) {
  CLI::App* command = app.add_subcommand("reference", "Print a page that is made from the program's own tables");
  command
      ->add_option(
          "PAGE", line.reference_page,
          "site: every key of site and rule files; kinds: gear with its standard rules; functions: of physics; "
          "schema: JSON Schema of the site file, for editors")
      ->required();
  command->footer("Example: overwinter reference schema > site.schema.json");
  return command;
}

// The first argument is the site file, unless --site names it or it is a capture.
int run_replay(CommandLine& line, const Console& console) {
  auto& arguments = line.replay_arguments;
  const std::string first = arguments.front();
  if (line.site.empty() && first != "-" && !first.ends_with(".jsonl")) {
    line.site = first;
    arguments.erase(arguments.begin());
  }
  if (arguments.empty()) {
    console.err << "error: no capture is named\nhint: overwinter replay " << first
                << " winter.jsonl; - is standard input\n";
    return exit_usage;
  }
  line.replay.site = chosen_site(line.site);
  line.replay.files = arguments;
  return replay(line.replay, console);
}

int run(int argc, char** argv) {
  CLI::App app(about, "overwinter");
  app.footer(examples);
  app.require_subcommand(0, 1);  // none is told below, in words that also fit a misspelled one
  app.set_version_flag("--version", "overwinter 0.1.0");
  CommandLine line;
  const CLI::App* validate_command = add_validate(app, line);
  const CLI::App* compute_command = add_compute(app, line);
  const CLI::App* replay_command = add_replay(app, line);
  const CLI::App* explain_command = add_explain(app, line);
  const CLI::App* reference_command = add_reference(app, line);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? exit_done : exit_usage;
  }
  const Console console{std::cout, std::cerr, isatty(STDOUT_FILENO) != 0, isatty(STDERR_FILENO) != 0};
  if (app.get_subcommands().empty()) {
    console.err << "error: a command is missing\nhint: overwinter --help lists them\n";
    return exit_usage;
  }
  if (validate_command->parsed()) {
    line.validate.site = chosen_site(line.validate.site.empty() ? line.site : line.validate.site);
    return validate(line.validate, console);
  }
  line.compute.now = std::chrono::floor<std::chrono::milliseconds>(std::chrono::system_clock::now());
  line.explain.now = line.compute.now;
  if (compute_command->parsed()) {
    return compute(line.compute, console);
  }
  if (explain_command->parsed()) {
    line.explain.site = chosen_site(line.site);
    return explain_gear(line.explain, console);
  }
  if (reference_command->parsed()) return print_reference(line.reference_page, console);
  if (replay_command->parsed()) return run_replay(line, console);
  return exit_usage;
}

}  // namespace
}  // namespace overwinter

int main(int argc, char** argv) {
  std::ios::sync_with_stdio(false);
  try {
    return overwinter::run(argc, argv);
  } catch (const std::exception& error) {
    std::cerr << "error: " << error.what() << '\n';
    return overwinter::exit_no;
  }
}
