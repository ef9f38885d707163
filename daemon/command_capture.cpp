#include "daemon/command_capture.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <optional>
#include <ostream>

#include "daemon/broker_visit.h"
#include "daemon/captured_line.h"
#include "daemon/intake.h"
#include "daemon/json_text.h"
#include "daemon/person_time.h"
#include "daemon/site_choice.h"
#include "rules/quantity/age.h"

namespace overwinter {
namespace {

struct Captured {
  std::uint64_t messages = 0, bytes = 0, repaired = 0;
  bool failed = false;
};

Instant wall() { return std::chrono::floor<Span>(std::chrono::system_clock::now()); }

Captured run(BrokerClient& client, const Plan& plan, const Intake& intake, Span limit, std::ostream& file,
             const Console& console) {
  Captured captured;
  const Instant from = wall();
  if (console.err_is_terminal) {
    client.each_second([&] {
      console.err << fmt::format("\r{}: {} messages, {} KiB; Ctrl-C ends it ", age_text(wall() - from),
                                 captured.messages, captured.bytes / 1024)
                  << std::flush;
    });
  }
  for (const std::string& topic : intake.sensor_topics()) client.subscribe(topic, 0);
  client.subscribe(plan.topic_root + "/do/#", 1, true);  // as the service hears them: a replay refuses the same
  std::string line;
  Instant last{};
  client.hear(limit, Span::max(), [&](const BrokerMessage& message) {
    line.clear();
    last = std::max(last, wall());  // a clock that is set back does not turn the order of the lines around
    if (!append_captured_line(line, {last, message.topic, message.payload, message.retained})) ++captured.repaired;
    file << line << std::flush;
    captured.failed = !file;
    if (captured.failed) return BrokerClient::Go::enough;
    ++captured.messages;
    captured.bytes += line.size();
    return BrokerClient::Go::on;
  });
  if (console.err_is_terminal) console.err << '\n';
  return captured;
}

void tell(const Captured& captured, bool json, const Console& console) {
  if (json) {
    std::string out;
    JsonObject object(out);
    object.count("messages", captured.messages);
    object.count("bytes", captured.bytes);
    object.count("not_utf8", captured.repaired);
    object.end();
    console.err << out << '\n';
    return;
  }
  console.err << fmt::format("{} messages captured\n", captured.messages);
  if (captured.repaired > 0) console.err << fmt::format("warning: {} were not UTF-8\n", captured.repaired);
}

}  // namespace

int capture(const CaptureOptions& options, const Console& console) {
  const auto plan = load_site_with_broker(options.site, console);
  if (!plan) return exit_no;
  const std::optional<Span> limit = options.capture_for.empty() ? Span::max() : parse_person_span(options.capture_for);
  if (!limit) {
    console.err << fmt::format(
        "error: --for: `{}` is no duration\nhint: write a number above 0 and one unit, as in 90s, 12h or 7d\n",
        options.capture_for);
    return exit_usage;
  }
  const bool to_standard_output = options.file == "-";
  if (!to_standard_output && std::filesystem::exists(options.file)) {
    console.err << fmt::format("error: {} is there already; it is not written over\nhint: name another file\n",
                               options.file);
    return exit_usage;
  }
  const auto visit = visit_broker(*plan);
  if (!visit) return tell_no_visit(visit.error(), options.json, console.err, console);
  BrokerClient& client = **visit;
  std::ofstream file;
  if (!to_standard_output) file.open(options.file, std::ios::binary);
  if (!file) {  // now, not when the first message comes
    console.err << fmt::format("error: {} could not be written\nhint: is its folder there, and may you write in it?\n",
                               options.file);
    return exit_no;
  }
  const Intake intake(plan);
  const Captured captured = run(client, *plan, intake, *limit, to_standard_output ? console.out : file, console);
  tell(captured, options.json, console);
  if (!captured.failed) return exit_done;
  console.err << fmt::format("error: {} could not be written\n", options.file);
  return exit_no;
}

}  // namespace overwinter
