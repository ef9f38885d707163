// Scalars of the tree to values, strictly and without locale. Each function reports what is wrong at the node and
// answers nothing then.
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "config/keys.h"
#include "config/report.h"
#include "config/yaml_tree.h"
#include "rules/engine/plan.h"

namespace overwinter {

// The node is a map whose keys all stand in `known`; unknown keys are reported with the nearest name. False: no map.
// A null node (`places:` with nothing under it) passes for an empty map.
bool check_map(const YamlNode& node, std::span<const std::string_view> known, std::string_view title, Report& report);
// The same by a section, and its required keys are there. `at`: where a missing key is reported.
bool check_section(const YamlNode& node, const Section& section, const YamlNode& at, Report& report);
std::vector<std::string_view> key_names(const Section& section);

std::optional<std::string> read_text(const YamlNode& node, Report& report);  // not empty, not null
std::optional<bool> read_boolean(const YamlNode& node, Report& report);
std::optional<double> read_number(const YamlNode& node, Report& report);
std::optional<std::uint16_t> read_port(const YamlNode& node, Report& report);
std::optional<std::size_t> read_word(const YamlNode& node, std::span<const std::string_view> words, Report& report);
// One of these kinds; nullptr: none of them, which is told.
const KindSpec* read_kind_name(const YamlNode& node, std::span<const std::string_view> names, Report& report);
std::optional<std::vector<std::string>> read_texts(const YamlNode& node, bool one_is_enough, Report& report);
// The name of a rule or a reminder: [a-z][a-z0-9_]{0,39}.
bool check_name(const YamlNode& node, Report& report);
// An id: such a name that is no word of the language, for conditions name ids.
bool check_id(const YamlNode& node, Report& report);

// Canonical. Below vacuum and below absolute zero are refused.
std::optional<double> read_value(const YamlNode& node, const Type& type, Shown shown, Report& report);
// Zero or more.
std::optional<Span> read_duration(const YamlNode& node, Report& report);
// From 1 min on; zero where it may be.
std::optional<Every> read_every(const YamlNode& node, Report& report, bool may_be_zero = false);
// The start of the local day, or an instant with time and offset. words: what else may stand there, for the remedy.
std::optional<Instant> read_date(const YamlNode& node, const TimeZone& zone, Report& report,
                                 std::span<const std::string_view> words = {});
std::optional<std::chrono::milliseconds> read_time_of_day(const YamlNode& node, Report& report);
// "21:00-08:00"
std::optional<std::pair<std::chrono::milliseconds, std::chrono::milliseconds>> read_hours(const YamlNode& node,
                                                                                          Report& report);
std::optional<Unit> read_unit(const YamlNode& node, const Type& type, Report& report);
std::optional<std::string> read_pointer(const YamlNode& node, Report& report);
// Exact topic; root: nothing under root/do/ may be bound (empty: not checked).
std::optional<std::string> read_topic(const YamlNode& node, std::string_view root, Report& report);

// "did you mean `x`?", or the names that there are when they are few.
std::string suggestion(std::string_view wrong, std::span<const std::string_view> names);

}  // namespace overwinter
