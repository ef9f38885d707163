#include "config/time_zone.h"

#include <date/tz.h>
#include <fmt/format.h>

#include <exception>
#include <string_view>

#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

std::string nearest_zone(const std::string& name) {
  try {
    std::vector<std::string_view> names;
    for (const date::time_zone& zone : date::get_tzdb().zones) names.push_back(zone.name());
    if (const auto near = nearest_word(name, names)) return fmt::format("did you mean `{}`?", *near);
  } catch (const std::exception&) {
    return "is the package tzdata installed?";
  }
  return "write an IANA name, as in America/Winnipeg";
}

}  // namespace

Result<TimeZone> load_time_zone(const std::string& name) {
  using namespace std::chrono_literals;
  using std::chrono::sys_days;
  constexpr auto first = sys_days(std::chrono::year(2000) / 1 / 1);
  constexpr auto last = sys_days(std::chrono::year(2101) / 1 / 1);
  const date::time_zone* zone = nullptr;
  try {
    zone = date::locate_zone(name);
  } catch (const std::exception&) {
    return fault(fmt::format("`{}` is no time zone", name), nearest_zone(name));
  }
  TimeZone table;
  table.name = name;
  try {
    for (std::chrono::sys_seconds at = first; at < last;) {
      const date::sys_info info = zone->get_info(at);
      // A change of the abbreviation alone is none of ours.
      if (table.changes.empty() || table.changes.back().offset != info.offset) {
        table.changes.push_back({std::chrono::time_point_cast<std::chrono::milliseconds>(at), info.offset});
      }
      if (info.end <= at || info.end >= last) break;
      at = info.end;
    }
  } catch (const std::exception&) {
    return fault(fmt::format("the data of time zone `{}` cannot be read", name), "is the package tzdata installed?");
  }
  return table;
}

}  // namespace overwinter
