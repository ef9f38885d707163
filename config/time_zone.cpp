#include "config/time_zone.h"

#include <date/tz.h>
#include <fmt/format.h>

#include <exception>
#include <optional>
#include <string_view>
#include <utility>

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

// Beside the zones lie the machine's own one and copies that count leap seconds, or not: no IANA names.
std::optional<Fault> no_iana_name(const std::string& name) {
  constexpr const char* remedy = "write an IANA name, as in America/Winnipeg";
  if (name == "localtime" || name == "posixrules") {
    return fault(fmt::format("`{}` is no time zone: it is whatever this machine is set to", name), remedy).value();
  }
  for (const std::string_view copies : {"posix/", "right/"}) {
    if (!name.starts_with(copies)) continue;
    const std::string zone = name.substr(copies.size());
    return fault(fmt::format("`{}` is no IANA name", name), zone.empty() ? remedy : fmt::format("write `{}`", zone))
        .value();
  }
  return {};
}

// The system's files name each change through 2037 (RFC 8536: later ones follow a rule that the date library does not
// read). A later year is like the newest known one whose March, and so every month after it, has the same weekdays.
void repeat_last_years(TimeZone& table, int last_known, int last) {
  using namespace std::chrono;
  const auto first_of_march = [](int y) { return weekday(sys_days(year(y) / 3 / 1)); };
  const std::vector<TimeZone::Change> known = table.changes;
  for (int y = last_known + 1; y <= last; ++y) {
    int like = last_known;
    while (first_of_march(like) != first_of_march(y)) --like;
    for (const TimeZone::Change& change : known) {
      const auto day = floor<days>(change.from);
      const year_month_day date(day);
      const year_month_day later = year(y) / date.month() / date.day();
      if (date.year() != year(like) || !later.ok()) continue;
      table.changes.push_back({sys_days(later) + (change.from - day), change.offset});
    }
  }
}

}  // namespace

Result<TimeZone> load_time_zone(const std::string& name) {
  using namespace std::chrono_literals;
  using std::chrono::sys_days;
  constexpr auto first = sys_days(std::chrono::year(2000) / 1 / 1);
  constexpr int last_known = 2037;
  constexpr auto last = sys_days(std::chrono::year(last_known + 1) / 1 / 1);
  if (auto wrong = no_iana_name(name)) return tl::unexpected(std::move(*wrong));
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
      if (info.end <= at) break;
      at = info.end;
    }
  } catch (const std::exception&) {
    return fault(fmt::format("the data of time zone `{}` cannot be read", name), "is the package tzdata installed?");
  }
  repeat_last_years(table, last_known, 2100);
  return table;
}

}  // namespace overwinter
