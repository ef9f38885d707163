#include "daemon/command_validate.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <ostream>

#include "config/sections.h"
#include "config/site_file.h"
#include "daemon/json_text.h"

namespace overwinter {
namespace {

struct Counts {
  std::size_t places = 0, gear = 0, sensors = 0, rules = 0;
};

Counts count(const Plan& plan) {
  Counts counts;
  for (std::uint32_t i = 0; i < plan.entities.size(); ++i) {
    const KindSpec* kind = plan.entities[i].kind;
    if (kind == &site_kind() || plan.is_nowhere(i) || (i == plan.outdoors && !plan.outdoors_given)) continue;
    ++(kind == &place_kind() ? counts.places : counts.gear);
  }
  counts.sensors = plan.sensors.size();
  counts.rules = plan.rules.size();
  return counts;
}

std::string counted(std::size_t n, std::string_view one) { return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s"); }

std::string as_json(const LoadedSite& site) {
  std::string out;
  JsonObject object(out);
  object.boolean("sound", site.sound());
  if (site.plan) {
    const Counts counts = count(*site.plan);
    object.count("places", counts.places);
    object.count("gear", counts.gear);
    object.count("sensors", counts.sensors);
    object.count("rules", counts.rules);
  }
  object.key("faults");
  out += '[';
  for (std::size_t i = 0; i < site.faults.size(); ++i) {
    const Fault& fault = site.faults[i];
    if (i > 0) out += ',';
    JsonObject one(out);
    one.text("file", fault.where.file);
    one.count("line", fault.where.line);
    one.count("column", fault.where.column);
    one.text("severity", fault.severity == Severity::error ? "error" : "warning");
    one.text("text", fault.text);
    if (!fault.hint.empty()) one.text("hint", fault.hint);
    one.end();
  }
  out += ']';
  object.end();
  return out;
}

}  // namespace

int validate(const ValidateOptions& options, const Console& console) {
  const LoadedSite site = load_site(std::filesystem::path(options.site));
  if (options.json) {
    console.out << as_json(site) << '\n';
    return site.sound() ? exit_done : exit_no;
  }
  console.out << render_faults(site);
  if (!site.plan) {
    const auto errors = std::ranges::count(site.faults, Severity::error, &Fault::severity);
    console.out << fmt::format("\nnot sound: {} {}\n", errors, errors == 1 ? "error" : "errors");
    return exit_no;
  }
  const Counts counts = count(*site.plan);
  console.out << fmt::format("{}sound: {}, {} gear, {}, {}\n", site.faults.empty() ? "" : "\n",
                             counted(counts.places, "place"), counts.gear, counted(counts.sensors, "sensor"),
                             counted(counts.rules, "rule"));
  return exit_done;
}

}  // namespace overwinter
