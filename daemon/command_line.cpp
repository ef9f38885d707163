#include "daemon/command_line.h"

#include <CLI/CLI.hpp>
#include <algorithm>

namespace overwinter {
namespace {

constexpr const char* about =
    "Overwinter watches what stands through the winter: tires, batteries, moisture, water, fuel, the generator.\n"
    "It replaces no gas, smoke or carbon monoxide detector, and its silence proves nothing.\n";
constexpr const char* examples =
    "Examples:\n"
    "  overwinter validate site.yaml\n"
    "  overwinter status\n"
    "  overwinter record left_front_tire pressure 48.5 psi\n"
    "  overwinter compute 'dew_point(21 degC, 55 %)' --in degF\n"
    "  overwinter replay site.yaml winter.jsonl --summary\n"
    "  overwinter explain left_front_tire --site site.yaml --from winter.jsonl\n"
    "The site is --site FILE, else OVERWINTER_SITE, else /etc/overwinter/site.yaml.\n"
    "Exit codes: 0 done; 1 the answer is no (not valid, refused, no value, a broken line; status: an active alarm of\n"
    "medium priority or above); 2 usage; 3 no broker, no service, or no answer in 10 s: not confirmed, it may still\n"
    "arrive.\n";

CLI::App* add_command(CLI::App& app, CommandLine& line, const std::string& name, const std::string& text,
                      const std::string& footer, bool has_site = true) {
  CLI::App* command = app.add_subcommand(name, text);
  command->footer(footer);
  if (has_site) command->add_option("--site", line.site, "The site file")->type_name("FILE");
  return command;
}

// An empty text, as of a variable that was never set, is no option that was left out: it would be taken for now, or for
// as long as it goes.
std::string not_empty(const std::string& text) { return text.empty() ? "it is empty: say when, or leave it out" : ""; }

void add_time(CLI::App& command, const std::string& name, std::string& into, const std::string& value_name,
              const std::string& text) {
  command.add_option(name, into, text)->type_name(value_name)->check(not_empty);
}

// --- Without the service ---

void add_validate(CLI::App& app, CommandLine& line) {
  CLI::App* command = add_command(app, line, "validate", "Check a site file and the rules that it names",
                                  "Example: overwinter validate /etc/overwinter/site.yaml");
  command->add_option("SITE", line.validate.site, "The site file");
  command->add_flag("--json", line.validate.json, "One JSON object");
}

void add_compute(CLI::App& app, CommandLine& line) {
  CLI::App* command =
      add_command(app, line, "compute", "Work out one expression, as a rule would",
                  "Example: overwinter compute 'dew_point(21 degC, 55 %)' --in degF\n"
                  "A gauge pressure stays gauge and an absolute one absolute: --in psi converts the unit only.",
                  false);
  command->add_option("EXPRESSION", line.compute.expression, "In the language of the rules; dates are UTC")->required();
  command->add_option("--in", line.compute.in, "The number alone, in this unit; % and 1 too")
      ->type_name("UNIT")
      ->check([](const std::string& unit) { return unit.empty() ? "it wants a unit, as in --in psi" : ""; });
  command->add_flag("--json", line.compute.json, "One JSON object");
}

void add_replay(CLI::App& app, CommandLine& line) {
  CLI::App* command = add_command(app, line, "replay", "Run captured messages through the rules, in their own time",
                                  "Example: overwinter replay site.yaml winter.jsonl --summary --until 2027-04-20");
  command
      ->add_option("SITE_AND_FILES", line.replay_arguments,
                   "The site file (not with --site), then captures, one JSON object a line; - is standard input")
      ->required();
  add_time(*command, "--until", line.replay.until, "TIME", "Go on to this time, or stop there");
  command->add_flag("--summary", line.replay.summary, "Lines for a person and a scoreboard");
  command->add_flag("--json", line.replay.json, "Events as JSON Lines, also on a terminal");
}

void add_explain(CLI::App& app, CommandLine& line) {
  CLI::App* command =
      add_command(app, line, "explain", "Why each reading is judged as it is, with the calculation",
                  "Example: overwinter explain left_front_tire --site site.yaml --from winter.jsonl --at 2027-01-15");
  command->add_option("GEAR", line.explain.gear, "Id of gear, a place or the site; without it all of them");
  command
      ->add_option("--from", line.explain.files,
                   "Captured messages, each with a --from of its own; - is standard input")
      ->type_name("CAPTURE")
      ->allow_extra_args(false);
  add_time(*command, "--at", line.explain.at, "TIME", "As it stood at this time");
  command->add_flag("--json", line.explain.json, "One JSON object a line: the texts, and SI numbers with their units");
}

void add_reference(CLI::App& app, CommandLine& line) {
  CLI::App* command = add_command(app, line, "reference", "Print a page that is made from the program's own tables",
                                  "Example: overwinter reference schema > site.schema.json", false);
  command
      ->add_option(
          "PAGE", line.reference_page,
          "site: every key of site and rule files; kinds: gear with its standard rules; functions: of physics; "
          "schema: JSON Schema of the site file, for editors; man: the manual page; bash, zsh, fish: completion")
      ->required();
}

// --- Over the service ---

void add_status(CLI::App& app, CommandLine& line) {
  CLI::App* command = add_command(app, line, "status", "How things stand: readings, alarms, what is due",
                                  "Example: overwinter status --site /etc/overwinter/site.yaml\n"
                                  "Exit code 1: an active alarm of medium priority or above; 3: the service does not "
                                  "watch, and silence means nothing.");
  command->add_flag("--all", line.status.all, "Computed quantities too");
  command->add_flag("--json", line.status.json, "One JSON object");
}

void add_listen(CLI::App& app, CommandLine& line) {
  CLI::App* command =
      add_command(app, line, "listen", "Hear the broker for a while and propose sensor bindings",
                  "Example: overwinter listen 'garage/#' --for 5min > heard.yaml\n"
                  "Whatever the site file binds already is left out of the proposals. Look at each of them.");
  command->add_option("TOPIC", line.listen.topic, "A topic, with + and # as in MQTT; without it all of them");
  add_time(*command, "--for", line.listen.listen_for, "SPAN",
           "How long, a number and one unit: 90s, 5min; 60 s without it");
  command->add_flag("--json", line.listen.json, "One JSON object");
}

void add_capture(CLI::App& app, CommandLine& line) {
  CLI::App* command = add_command(app, line, "capture", "Write live messages to a file that replays",
                                  "Example: overwinter capture winter.jsonl --for 7d\n"
                                  "It takes the topics that the site file binds, and commands. Ctrl-C ends it.");
  command->add_option("FILE", line.capture.file, "JSON Lines; - is standard output; no file is written over")
      ->required();
  add_time(*command, "--for", line.capture.capture_for, "SPAN",
           "How long, a number and one unit: 90s, 12h, 7d; until Ctrl-C without it");
  command->add_flag("--json", line.capture.json, "What was captured, as one JSON object on standard error");
}

class TellCommands {
 public:
  TellCommands(CLI::App& app, CommandLine& line) : app_(app), line_(line), told_(line.told) {}

  void add() {
    start("record", "Tell a reading taken by hand", "overwinter record left_front_tire pressure 48.5 psi --at 15:30");
    gear();
    required("QUANTITY", told_.quantity, "What was measured");
    command_->add_option("VALUE", told_.value, "With its unit; or a word, yes or no")->required();
    at();
    start("act", "Tell work that changes what to expect",
          "overwinter act left_front_tire filled pressure=\"52 psi\" temperature=\"61 degF\"");
    gear();
    required("ACT", told_.act, "What was done: filled, charged, oil_changed, ...");
    command_->add_option("VALUES", told_.act_values, "name=value, as the act has them");
    at();
    for (const std::string name : {"done", "skip"}) {
      start(name, name == "done" ? "Tell that a reminder's work is done" : "Leave a reminder's work out this time",
            "overwinter " + name + " exercise_generator portable_generator " +
                (name == "done" ? "--found \"starts well\"" : "--why \"lent to a neighbor\""));
      required("REMINDER", told_.reminder, "Its name");
      command_->add_option("GEAR", told_.gear, "Where the reminder is about more than one");
      option("--found", told_.found, "TEXT", "What was found");
      if (name == "skip") option("--why", told_.why, "TEXT", "Why");
      at();
    }
    add_alarm_commands();
    start("take_out", "Take gear out of service: nothing is said of it",
          "overwinter take_out house_battery --why \"at the shop\"");
    gear();
    option("--why", told_.why, "TEXT", "Why");
    start("put_back", "Put gear back into service", "overwinter put_back house_battery");
    gear();
    option("--why", told_.why, "TEXT", "Why");
    start("season", "Tell when the season turns", "overwinter season lay_up 2026-10-31");
    required("WHAT", told_.season, "Which way")->check(CLI::IsMember({"lay_up", "return_to_service"}));
    required("DATE", told_.date, "The day");
  }

 private:
  void add_alarm_commands() {
    start("acknowledge", "Tell that an alarm was seen", "overwinter acknowledge tire_leaking left_front_tire");
    alarm();
    start("shelve", "Hide an alarm for a while",
          "overwinter shelve tire_leaking left_front_tire --for 3d --why \"valve is on order\"");
    alarm();
    add_time(*command_, "--for", told_.shelve_for, "SPAN",
             "How long, a number and one unit: 12h, 3d; at most 30 d, a critical one 24 h");
    add_time(*command_, "--until", told_.until, "TIME",
             "Until when, instead: 18:00, \"2026-12-19 18:00\" (local), 2026-12-20T00:00:00Z");
    option("--why", told_.why, "TEXT", "Why");
    start("unshelve", "Bring a shelved alarm back", "overwinter unshelve tire_leaking left_front_tire");
    alarm();
    option("--why", told_.why, "TEXT", "Why");
  }

  void start(const std::string& name, const std::string& text, const std::string& example) {
    command_ = add_command(app_, line_, name, text, "Example: " + example);
    option("--by", line_.tell.by, "NAME", "Who says it; without it $USER");
    option("--note", told_.note, "TEXT", "Kept with it");
    option("--id", line_.tell.id, "TEXT", "The same id within 24 h is answered again and not carried out twice");
    command_->add_flag("--json", line_.tell.json, "The answer as one JSON object");
  }
  CLI::Option* required(const std::string& name, std::string& into, const std::string& text) {
    return command_->add_option(name, into, text)->required();
  }
  void option(const std::string& name, std::string& into, const std::string& value_name, const std::string& text) {
    command_->add_option(name, into, text)->type_name(value_name);
  }
  void gear() { required("GEAR", told_.gear, "Id of gear, a place or the site"); }
  void alarm() {
    required("RULE", told_.rule, "The alarm's rule");
    gear();
  }
  void at() {
    add_time(
        *command_, "--at", told_.at, "TIME",
        "When: 15:30 (today; yesterday if that is still to come), \"2026-12-19 15:30\" (local), 2026-12-19T21:30:00Z");
  }

  CLI::App& app_;
  CommandLine& line_;
  TellArguments& told_;
  CLI::App* command_ = nullptr;
};

void fill(CLI::App& app, CommandLine& line) {
  app.footer(examples);
  app.require_subcommand(0, 1);  // none is told by the caller, in words that also fit a misspelled one
  app.set_version_flag("--version", "overwinter 0.1.0");
  add_validate(app, line);
  add_compute(app, line);
  add_replay(app, line);
  add_explain(app, line);
  add_reference(app, line);
  add_status(app, line);
  TellCommands(app, line).add();
  add_listen(app, line);
  add_capture(app, line);
}

CommandEntry entry(const CLI::App& app, bool program) {
  CommandEntry command;
  if (!program) command.name = app.get_name();
  command.text = app.get_description();
  command.footer = app.get_footer();
  while (command.footer.ends_with('\n')) command.footer.pop_back();
  for (const CLI::Option* option : app.get_options()) {
    OptionEntry one;
    one.text = option->get_description();
    one.positional = option->get_positional();
    one.required = option->get_required();
    one.repeats = option->get_expected_max() > 1;
    one.name = option->get_name();  // "--site"; of a positional "GEAR"
    if (!one.positional && option->get_expected_max() > 0) one.value_name = option->get_type_name();
    if (one.name == "WHAT") one.words = {"lay_up", "return_to_service"};
    if (one.name == "PAGE") one.words = {"site", "kinds", "functions", "schema", "man", "bash", "zsh", "fish"};
    if (one.name == "-h,--help" || one.name == "--help") {
      one.name = "--help";
      one.value_name.clear();
    }
    command.options.push_back(std::move(one));
  }
  return command;
}

// An expression may begin with a minus, and no option of compute but -h is a single letter.
bool is_expression_with_minus(std::string_view argument) {
  if (argument.size() < 2 || argument[0] != '-' || argument == "-h") return false;
  if (argument[1] != '-') return true;
  const char third = argument.size() > 2 ? argument[2] : 'a';
  return (third < 'a' || third > 'z') && (third < 'A' || third > 'Z');
}

// A blank before the minus keeps an expression from being taken for an option.
void shield_expression(std::vector<std::string>& arguments) {
  if (arguments.empty() || arguments.front() != "compute") return;
  for (std::size_t i = 1; i < arguments.size() && arguments[i] != "--"; ++i) {
    if (arguments[i - 1] != "--in" && is_expression_with_minus(arguments[i])) arguments[i].insert(0, 1, ' ');
  }
}

std::string joined(const std::vector<std::string>& words) {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : " ") + word;
  return out;
}

}  // namespace

std::optional<int> parse_command_line(int argc, char** argv, CommandLine& line) {
  CLI::App app(about, "overwinter");
  fill(app, line);
  try {
    std::vector<std::string> arguments{argv + std::min(argc, 1), argv + argc};
    shield_expression(arguments);
    std::ranges::reverse(arguments);  // as CLI11 takes them
    app.parse(std::move(arguments));
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? exit_done : exit_usage;
  }
  if (line.compute.expression.starts_with(" -")) line.compute.expression.erase(0, 1);
  if (!app.get_subcommands().empty()) line.command = app.get_subcommands().front()->get_name();
  return std::nullopt;
}

GivenCommand given_command(const CommandLine& line) {
  const TellArguments& told = line.told;
  GivenCommand given;
  given.command = line.command;
  given.members = {{"rule", told.rule},
                   {"reminder", told.reminder},
                   {"gear", told.gear},
                   {"quantity", told.quantity},
                   {"value", joined(told.value)},
                   {"act", told.act},
                   {told.season.empty() ? "date" : told.season, told.date},
                   {"at", told.at},
                   {"for", told.shelve_for},
                   {"until", told.until},
                   {"found", told.found},
                   {"why", told.why},
                   {"note", told.note}};
  given.act_values = told.act_values;
  return given;
}

std::vector<CommandEntry> command_table() {
  CommandLine line;
  CLI::App app(about, "overwinter");
  fill(app, line);
  std::vector<CommandEntry> table{entry(app, true)};
  for (const CLI::App* command : app.get_subcommands({})) table.push_back(entry(*command, false));
  return table;
}

}  // namespace overwinter
