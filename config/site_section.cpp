// site, season, notices, digest, journal.
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "config/sections.h"
#include "config/time_zone.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

constexpr double lowest_altitude = -430, highest_altitude = 9000;  // m: the Dead Sea's shore, and above Mount Everest

// A section of the top level, checked against its keys; an empty map when it is missing or broken.
const YamlNode& section_of(const YamlNode& root, std::string_view name, const Section& section, Draft& draft) {
  static const YamlNode empty;
  const YamlNode* node = find(root, name);
  if (!node || !check_section(*node, section, *find_key(root, name), draft.report)) return empty;
  return *node;
}

// The places are not read yet: one that has the site's id says so itself, and `outdoors` is a place always.
bool is_free_for_the_site(const YamlNode& id, const Draft& draft) {
  if (id.text != "outdoors") return names_nothing_else(id, draft);
  draft.report.error(id, "the id `outdoors` is taken",
                     "it is the place outdoors; the site, its places and its gear share one namespace");
  return false;
}

void read_altitude(const YamlNode& site, Draft& draft) {
  const YamlNode* node = find(site, "altitude");
  if (!node) return;
  const auto altitude = read_value(*node, Type::number(dimension::length), Shown::by_dimension, draft.report);
  if (!altitude) return;
  if (*altitude < lowest_altitude || *altitude > highest_altitude) {
    draft.report.error(*node, "no site is so high or so low", "between -430 m and 9000 m");
    return;
  }
  draft.plan.altitude = *altitude;
  draft.plan.altitude_given = true;
}

}  // namespace

std::string path_beside(const YamlNode& node, std::string_view path, const Report& report) {
  const std::filesystem::path folder = std::filesystem::path(report.file(node.file).name).parent_path();
  return (folder / path).lexically_normal().string();
}

void read_site(const YamlNode& root, Draft& draft) {
  const YamlNode& site = section_of(root, "site", site_section(), draft);
  if (const YamlNode* node = find(site, "id");
      node && check_id(*node, draft.report) && is_free_for_the_site(*node, draft)) {
    draft.plan.site_id = node->text;
  }
  draft.plan.site_name = in_words(draft.plan.site_id);
  if (const YamlNode* node = find(site, "name")) {
    draft.plan.site_name = read_text(*node, draft.report).value_or("");
  }
  if (const YamlNode* node = find(site, "local_time")) {
    if (const auto name = read_text(*node, draft.report)) {
      const Result<TimeZone> zone = load_time_zone(*name);
      if (zone) {
        draft.plan.zone = *zone;
      } else {
        draft.report.error(*node, zone.error().text, zone.error().hint);
      }
    }
  }
  read_altitude(site, draft);
  if (const YamlNode* node = find(site, "display_units")) {
    constexpr std::string_view words[] = {"metric", "us"};
    draft.plan.units = read_word(*node, words, draft.report) == 1U ? DisplayUnits::us : DisplayUnits::metric;
  }
}

void read_season(const YamlNode& root, Draft& draft) {
  const YamlNode& season = section_of(root, "season", season_section(), draft);
  const YamlNode* lay_up = find(season, "lay_up");
  const YamlNode* back = find(season, "return_to_service");
  if (lay_up) draft.plan.lay_up = read_date(*lay_up, draft.plan.zone, draft.report).value_or(Instant{});
  if (back) draft.plan.return_to_service = read_date(*back, draft.plan.zone, draft.report).value_or(Instant{});
  const bool both = draft.plan.lay_up != Instant{} && draft.plan.return_to_service != Instant{};
  if (both && draft.plan.return_to_service <= draft.plan.lay_up) {
    draft.report.error(*back, "the return to service is not after the lay-up",
                       fmt::format("it was laid up on {}", lay_up->text));
  }
}

void read_notices(const YamlNode& root, Draft& draft) {
  const YamlNode& notices = section_of(root, "notices", notices_section(), draft);
  if (const YamlNode* node = find(notices, "at")) {
    draft.plan.notices_at = read_time_of_day(*node, draft.report).value_or(draft.plan.notices_at);
  }
  if (const YamlNode* node = find(notices, "quiet")) {
    if (const auto hours = read_hours(*node, draft.report)) {
      draft.plan.quiet_from = hours->first;
      draft.plan.quiet_to = hours->second;
    }
  }
  const YamlNode& digest = section_of(root, "digest", digest_section(), draft);
  if (const YamlNode* node = find(digest, "enabled")) {
    draft.plan.digest.enabled = read_boolean(*node, draft.report).value_or(true);
  }
  if (const YamlNode* node = find(digest, "day")) {
    constexpr std::string_view days[] = {"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"};
    draft.plan.digest.weekday = static_cast<unsigned>(read_word(*node, days, draft.report).value_or(0));
  }
  if (const YamlNode* node = find(digest, "at")) {
    draft.plan.digest.at = read_time_of_day(*node, draft.report).value_or(draft.plan.digest.at);
  }
}

void read_journal(const YamlNode& root, Draft& draft) {
  const YamlNode& journal = section_of(root, "journal", journal_section(), draft);
  if (const YamlNode* node = find(journal, "file")) {
    if (const auto file = read_text(*node, draft.report)) {
      draft.plan.journal_file = path_beside(*node, *file, draft.report);
    }
  }
  const auto keep = [&](std::string_view key, std::optional<Span>& into) {
    const YamlNode* node = find(journal, key);
    if (!node) return;
    const auto span = read_duration(*node, draft.report);
    if (span && *span < one_day) {
      draft.report.error(*node, fmt::format("`{}` is less than a day", key), "write `1 d` or more");
    } else {
      into = span;
    }
  };
  keep("keep_raw", draft.plan.keep_raw);
  keep("keep_hourly", draft.plan.keep_hourly);
}

}  // namespace overwinter
