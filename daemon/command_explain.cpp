#include "daemon/command_explain.h"

#include <fmt/format.h>

#include <ostream>

#include "daemon/capture_run.h"
#include "daemon/explain_json.h"
#include "daemon/site_choice.h"
#include "rules/engine/explain.h"
#include "rules/quantity/spelling.h"

namespace overwinter {
namespace {

void append_lines(std::string& out, std::string_view title, const std::vector<std::string>& lines) {
  for (const std::string& line : lines) out += fmt::format("    {}{}\n", title, line);
}

// The calculation, or where it stands already: the figures of the air share one.
void append_calculation(std::string& out, const ExplainedQuantity& quantity, const ExplainedEntity& entity) {
  if (quantity.calculation.empty()) return;
  for (const ExplainedQuantity& earlier : entity.quantities) {
    if (&earlier == &quantity) break;
    if (earlier.calculation != quantity.calculation) continue;
    out += fmt::format("    calculated as shown at {}\n", earlier.name);
    return;
  }
  append_lines(out, "", quantity.calculation);
}

std::string for_a_person(const ExplainedEntity& entity) {
  std::string out = fmt::format("{} ({}, {})\n", entity.name, entity.id, entity.kind);
  for (const ExplainedQuantity& quantity : entity.quantities) {
    out += fmt::format("  {}: {}", quantity.name, quantity.value);
    if (!quantity.expected.empty()) out += fmt::format("; expected {}", quantity.expected);
    if (!quantity.deviation.empty()) out += fmt::format("; {} from it", quantity.deviation);
    out += '\n';
    if (!quantity.source.empty()) out += fmt::format("    from: {}\n", quantity.source);
    if (!quantity.sensor_itself.empty()) out += fmt::format("    its sensor: {}\n", quantity.sensor_itself);
    if (!quantity.because.empty()) out += fmt::format("    because: {}\n", quantity.because);
    if (!quantity.verdict.empty()) out += fmt::format("    verdict: {}\n", quantity.verdict);
    if (!quantity.expected_now.empty())
      out += fmt::format("    at this moment it would read: {}\n", quantity.expected_now);
    append_calculation(out, quantity, entity);
    append_lines(out, "assumed: ", quantity.assumed);
    append_lines(out, "missing: ", quantity.missing);
  }
  for (const ExplainedAlarm& alarm : entity.alarms) {
    const bool open = alarm.state == "normal" && !alarm.undecided.empty();
    out += fmt::format("  rule {}: {}\n    {} ({})\n", alarm.rule, open ? "cannot be decided" : alarm.state,
                       alarm.condition, alarm.where);
    if (!alarm.undecided.empty()) out += fmt::format("    {}\n", alarm.undecided);
    if (!alarm.title.empty()) out += fmt::format("    {}\n", alarm.title);
    if (!alarm.why.empty()) out += fmt::format("    why: {}\n", alarm.why);
  }
  for (const std::string& act : entity.acts) out += fmt::format("  {}\n", act);
  for (const std::string& assumed : entity.assumed) out += fmt::format("  assumed: {}\n", assumed);
  return out;
}

int no_such_gear(const Plan& plan, const std::string& gear, const Console& console) {
  console.err << fmt::format("error: there is no gear or place `{}`\n", gear);
  if (const auto near = nearest_word(gear, plan.ids())) console.err << fmt::format("hint: did you mean `{}`?\n", *near);
  return exit_no;
}

}  // namespace

int explain_gear(const ExplainOptions& options, const Console& console) {
  CaptureRun run;
  run.plan = load_sound_site(options.site, console);
  if (!run.plan) return exit_no;
  const std::uint32_t only = options.gear.empty() ? no_index : run.plan->find_entity(options.gear);
  if (!options.gear.empty() && only == no_index) return no_such_gear(*run.plan, options.gear, console);
  run.files = options.files;
  if (!options.at.empty()) {
    run.until = parse_until(options.at, run.plan->zone);
    if (!run.until) {
      console.err << fmt::format("error: `{}` is no time\nhint: 2027-01-15 or 2027-01-15T08:00:00Z\n", options.at);
      return exit_usage;
    }
  }
  run.run(console, [](const Output&) {});
  if (!run.engine) {  // not a message: what the site file alone says, at lay-up, or today when it names none
    const Instant lay_up = run.plan->lay_up == Instant{} ? options.now : run.plan->lay_up;
    const Instant at = run.until.value_or(lay_up);
    console.err << fmt::format("no message was read: as the site file stands, on {}\n",
                               print_date(at, run.plan->units, run.plan->zone, Instant{}));
    run.engine.emplace(run.plan, at);
    run.engine->step({at, Tick{}});
  }
  if (!options.json) console.out << "As of " << local_date_and_time(*run.plan, run.engine->now()) << "\n\n";
  for (std::uint32_t i = 0; i < run.plan->entities.size(); ++i) {
    if (run.plan->is_nowhere(i) || (only != no_index && i != only)) continue;
    const ExplainedEntity entity = explain(run.engine->world(), i);
    console.out << (options.json ? explain_json(entity) : for_a_person(entity) + '\n');
  }
  return run.unreadable_file || run.counts.broken > 0 ? exit_no : exit_done;
}

}  // namespace overwinter
