// The person's command line: which command, with what.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/command_capture.h"
#include "daemon/command_compute.h"
#include "daemon/command_explain.h"
#include "daemon/command_listen.h"
#include "daemon/command_replay.h"
#include "daemon/command_status.h"
#include "daemon/command_table.h"
#include "daemon/command_tell.h"
#include "daemon/command_validate.h"

namespace overwinter {

// What the commands that tell the service something take; each has some of these.
struct TellArguments {
  std::string gear, quantity, act, rule, reminder, season, date;
  std::vector<std::string> value, act_values;
  std::string at, note, found, why, until, shelve_for;
};

struct CommandLine {
  std::string command;  // empty: none was named
  std::string site;     // --site
  ValidateOptions validate;
  ComputeOptions compute;
  std::vector<std::string> replay_arguments;
  ReplayOptions replay;
  ExplainOptions explain;
  std::string reference_page;
  TellArguments told;
  TellOptions tell;  // by, id, json
  StatusOptions status;
  ListenOptions listen;
  CaptureOptions capture;
};

// Nothing: go on; else the exit code (help and usage are printed already).
std::optional<int> parse_command_line(int argc, char** argv, CommandLine& line);

// The command as the service reads it.
GivenCommand given_command(const CommandLine& line);

// The program itself first, then its commands.
std::vector<CommandEntry> command_table();

}  // namespace overwinter
