#include "daemon/command_validate.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <ostream>

#include "config/sections.h"
#include "config/site_file.h"
#include "daemon/json_text.h"
#include "daemon/site_counts.h"

namespace overwinter {
namespace {

std::string as_json(const LoadedSite& site) {
  std::string out;
  JsonObject object(out);
  object.boolean("sound", site.sound());
  if (site.plan) {
    const SiteCounts counts = count_site(*site.plan);
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
  console.out << fmt::format("{}sound: {}\n", site.faults.empty() ? "" : "\n", in_words(count_site(*site.plan)));
  return exit_done;
}

}  // namespace overwinter
