// The service's program: reads the command line and runs the service in the foreground.
#include <CLI/CLI.hpp>
#include <exception>
#include <iostream>
#include <string>
#include <string_view>

#include "daemon/console.h"
#include "daemon/end_at_once.h"
#include "daemon/first_moments.h"
#include "daemon/printable.h"
#include "daemon/service.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr const char* about =
    "The service that watches what stands through the winter: it hears sensors over MQTT and tells what is wrong.\n"
    "It stays in the foreground and logs to standard error; SIGTERM stops it, SIGHUP takes up a changed site file.\n"
    "It replaces no gas, smoke or carbon monoxide detector, and its silence proves nothing.\n";
constexpr const char* examples =
    "Example:\n"
    "  overwinterd --journal /var/lib/overwinter/alder_bend.sqlite /etc/overwinter/site.yaml\n"
    "The broker's password stands in the site file's password_file or in the credential mqtt-password.\n"
    "--clock-topic is for demos and tests: time is what that topic says (RFC 3339 text), so that a winter passes in a\n"
    "minute; publish each instant there before the messages of that instant. What is published while it does not\n"
    "run is lost to it then: commands would come ahead of their time. Without --clock-topic they wait at the broker\n"
    "for a day.\n"
    "Exit codes: 0 stopped by a signal; 1 the site file is not valid; 2 usage; 4 another instance holds the journal;\n"
    "70 it failed, and may be started again.\n";

constexpr std::uint64_t smallest_limit = 10'000'000, largest_limit = 1'000'000'000'000;

// Empty: it names one topic.
std::string why_no_topic(const std::string& topic) {
  const bool is_one = !topic.empty() && topic.size() <= limits::topic_bytes && !topic.starts_with("$share/") &&
                      topic.find_first_of("+#") == std::string::npos;
  return is_one ? "" : "`" + printable(topic) + "` is no topic: it names one, without + or #, as in demo/clock";
}

LogLevel level_named(std::string_view name) {
  if (name == "debug") return LogLevel::debug;
  if (name == "warning") return LogLevel::warning;
  return name == "error" ? LogLevel::error : LogLevel::info;
}

int run(int argc, char** argv) {
  CLI::App app(about, "overwinterd");
  app.footer(examples);
  app.set_version_flag("--version", "overwinterd 0.1.0");
  ServiceOptions options;
  app.add_option("SITE", options.site, "The site file")->required();
  app.add_option("--journal", options.journal, "The journal's file; else the site file says, else the state directory")
      ->type_name("FILE");
  app.add_option("--clock-topic", options.clock_topic, "Time is what this topic says")
      ->type_name("TOPIC")
      ->check(CLI::Validator([](const std::string& topic) { return why_no_topic(topic); }, ""));
  app.add_option("--journal-limit", options.journal_bytes,
                 "How large the journal may become: readings beyond it are kept as hourly values early; 256MB without")
      ->type_name("SIZE")
      ->transform(CLI::AsSizeValue(true).description(""))
      ->check(CLI::Range(smallest_limit, largest_limit).description(""));
  std::string least = "info";
  app.add_option("--log", least, "The least that is logged: debug, info, warning, error")
      ->type_name("LEVEL")
      ->check(CLI::IsMember({"debug", "info", "warning", "error"}).description(""));
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? exit_done : exit_usage;
  }
  options.log = level_named(least);
  end_at_once(run_service(options));
}

}  // namespace
}  // namespace overwinter

int main(int argc, char** argv) {
  overwinter::begin_first_moments();
  try {
    return overwinter::run(argc, argv);
  } catch (const std::exception& error) {
    std::cerr << "error: " << error.what() << '\n';
    return overwinter::exit_failed;
  }
}
