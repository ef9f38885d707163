#include "daemon/command_replay.h"

#include <fmt/format.h>

#include <ostream>

#include "daemon/capture_run.h"
#include "daemon/event_json.h"
#include "daemon/site_choice.h"

namespace overwinter {

int replay(const ReplayOptions& options, const Console& console) {
  CaptureRun run;
  run.plan = load_sound_site(options.site, console);
  if (!run.plan) return exit_no;
  run.files = options.files;
  if (!options.until.empty()) {
    run.until = parse_until(options.until, run.plan->zone);
    if (!run.until) {
      console.err << fmt::format("error: `{}` is no time\nhint: 2027-04-20 or 2027-04-20T08:00:00Z\n", options.until);
      return exit_usage;
    }
  }
  const bool for_a_person = !options.json && (options.summary || console.out_is_terminal);
  Scoreboard scoreboard;
  std::string text;
  run.run(console, [&](const Output& output) {
    text.clear();
    for (const Event& event : output.events) {
      if (for_a_person) {
        scoreboard.take(event);
        text += story_line(*run.plan, event);
      } else {
        append_event(text, event);
      }
      text += '\n';
    }
    if (for_a_person) {
      for (const Answer& answer : output.answers) text += story_line(*run.plan, answer) + '\n';
    }
    console.out << text;
  });
  if (for_a_person) {
    console.out << '\n'
                << (run.engine ? scoreboard.text(*run.plan, run.from, run.to, run.counts) : "no message was read\n");
  }
  console.out.flush();
  if (!console.out) {
    console.err << "error: the output could not be written\n";
    return exit_no;
  }
  return run.unreadable_file || run.counts.broken > 0 ? exit_no : exit_done;
}

}  // namespace overwinter
