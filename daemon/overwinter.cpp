// The program for the person: reads the command line, everything else stands in the command_*.cpp files.
#include <unistd.h>

#include <chrono>
#include <exception>
#include <iostream>

#include "daemon/command_line.h"
#include "daemon/command_reference.h"
#include "daemon/end_at_once.h"
#include "daemon/printable.h"
#include "daemon/site_choice.h"

namespace overwinter {
namespace {

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

int run_reference(const CommandLine& line, const Console& console) {
  const auto page = command_page(line.reference_page, command_table());
  if (!page) return print_reference(line.reference_page, console);
  console.out << *page;
  return exit_done;
}

int run_over_the_service(CommandLine& line, Instant now, const Console& console) {
  const std::string site = chosen_site(line.site);
  if (line.command == "status") {
    line.status.site = site;
    line.status.now = now;
    return status(line.status, console);
  }
  if (line.command == "listen") {
    line.listen.site = site;
    return listen(line.listen, console);
  }
  if (line.command == "capture") {
    line.capture.site = site;
    return capture(line.capture, console);
  }
  line.tell.site = site;
  line.tell.now = now;
  line.tell.given = given_command(line);
  return tell(line.tell, console);
}

int run(int argc, char** argv) {
  CommandLine line;
  if (const auto exit_code = parse_command_line(argc, argv, line)) return *exit_code;
  PrintableBuffer out_buffer(*std::cout.rdbuf()), err_buffer(*std::cerr.rdbuf(), "\r");  // progress begins anew
  std::ostream out(&out_buffer), err(&err_buffer);
  err << std::unitbuf;
  const Console console{out, err, isatty(STDOUT_FILENO) != 0, isatty(STDERR_FILENO) != 0};
  const Instant now = std::chrono::floor<std::chrono::milliseconds>(std::chrono::system_clock::now());
  if (line.command.empty()) {
    console.err << "error: a command is missing\nhint: overwinter --help lists them\n";
    return exit_usage;
  }
  if (line.command == "validate") {
    line.validate.site = chosen_site(line.validate.site.empty() ? line.site : line.validate.site);
    return validate(line.validate, console);
  }
  if (line.command == "compute") {
    line.compute.now = now;
    return compute(line.compute, console);
  }
  if (line.command == "explain") {
    line.explain.now = now;
    line.explain.site = chosen_site(line.site);
    return explain_gear(line.explain, console);
  }
  if (line.command == "reference") return run_reference(line, console);
  if (line.command == "replay") return run_replay(line, console);
  end_at_once(run_over_the_service(line, now, console));
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
