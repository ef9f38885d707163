// How the engine behaves, one rule a test, on captures of a few lines.
#include <gtest/gtest.h>

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "config/site_file.h"
#include "rules/engine/event.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

constexpr std::string_view site_text = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
places:
  outdoors:
    temperature: {topic: yard, unit: degC}
  camper:
    temperature: {topic: camper, unit: degC}
rules_from: [standard, rules.yaml]
)";

constexpr std::string_view rules_text = R"(
rules:
  camper_cold:
    applies_to: {place: camper}
    raise_when: temperature < 0 degC
    clear_when: temperature > 2 degC
    on_delay: 30 min
    message: "{temperature} in {name}."
)";

std::string line(std::string_view at, std::string_view topic, std::string_view payload) {
  return R"({"at":"2026-12-01T)" + std::string(at) + R"(Z","topic":")" + std::string(topic) + R"(","payload":")" +
         std::string(payload) + "\"}\n";
}

std::vector<Event> events_of(const std::string& capture) {
  FilesInMemory files;
  files.files["site.yaml"] = site_text;
  files.files["rules.yaml"] = rules_text;
  LoadedSite site = load_site("site.yaml", files);
  if (!site.sound()) {
    ADD_FAILURE() << render_faults(site);
    return {};
  }
  const auto plan = std::make_shared<const Plan>(std::move(*site.plan));
  return replay_in_memory(plan, inputs_of(plan, capture)).events;
}

std::vector<std::string> times_of(const std::vector<Event>& events, EventKind kind, std::string_view rule = {}) {
  std::vector<std::string> times;
  for (const Event& e : events) {
    if (e.kind == kind && (rule.empty() || e.rule == rule)) times.push_back(format_rfc3339(e.at));
  }
  return times;
}

using Times = std::vector<std::string>;

TEST(Engine, NeverAlarmsOnOnePacketOfANumber) {
  const auto events = events_of(line("00:00:00", "camper", "-5") + line("05:00:00", "yard", "-5"));
  EXPECT_EQ(times_of(events, EventKind::alarm_raised), Times{});
}

TEST(Engine, RaisesWithTheSecondReadingAfterTheDelay) {
  const auto events = events_of(line("00:00:00", "camper", "-5") + line("01:00:00", "camper", "-5"));
  EXPECT_EQ(times_of(events, EventKind::alarm_raised, "camper_cold"), Times{"2026-12-01T01:00:00Z"});
}

TEST(Engine, RaisesAtTheEndOfTheDelayBetweenTwoMessages) {
  const auto events =
      events_of(line("00:00:00", "camper", "-5") + line("00:10:00", "camper", "-6") + line("02:00:00", "yard", "-5"));
  EXPECT_EQ(times_of(events, EventKind::alarm_raised, "camper_cold"), Times{"2026-12-01T00:30:00Z"});
}

TEST(Engine, StaysActiveWithinTheHysteresis) {
  const auto events = events_of(line("00:00:00", "camper", "-5") + line("01:00:00", "camper", "-5") +
                                line("02:00:00", "camper", "1") + line("03:00:00", "camper", "3"));
  EXPECT_EQ(times_of(events, EventKind::alarm_cleared, "camper_cold"), Times{"2026-12-01T03:00:00Z"});
}

TEST(Engine, TellsSilenceExactlySixHoursAfterTheLastReading) {
  const auto events = events_of(line("00:00:00", "camper", "5") + line("00:00:00", "yard", "5") +
                                line("05:00:00", "yard", "5") + line("07:00:00", "yard", "5"));
  EXPECT_EQ(times_of(events, EventKind::sensor_silent), Times{"2026-12-01T06:00:00Z"});
}

TEST(Engine, TakesAPersonsReadingAtOnce) {
  const auto events = events_of(line("00:00:00", "yard", "-5") +
                                line("01:00:00", "overwinter/alder_bend/do/record",
                                     R"({\"gear\":\"camper\",\"quantity\":\"temperature\",\"value\":\"-5 degC\"})"));
  EXPECT_EQ(times_of(events, EventKind::alarm_raised, "camper_cold"), Times{"2026-12-01T01:00:00Z"});
}

TEST(Engine, CarriesOutACommandOnce) {
  const std::string record = R"({\"id\":\"a1\",\"gear\":\"camper\",\"quantity\":\"temperature\",\"value\":\"5 degC\"})";
  const auto events = events_of(line("01:00:00", "overwinter/alder_bend/do/record", record) +
                                line("02:00:00", "overwinter/alder_bend/do/record", record));
  EXPECT_EQ(times_of(events, EventKind::hand_reading).size(), 1U);
}

TEST(Engine, RefusesABareNumberAndSaysTheUnits) {
  const auto events = events_of(line("01:00:00", "overwinter/alder_bend/do/record",
                                     R"({\"gear\":\"camper\",\"quantity\":\"temperature\",\"value\":5})"));
  ASSERT_EQ(times_of(events, EventKind::command_refused).size(), 1U);
  const auto refused =
      std::find_if(events.begin(), events.end(), [](const Event& e) { return e.kind == EventKind::command_refused; });
  EXPECT_NE(refused->reason.find("degC"), std::string::npos) << refused->reason;
}

TEST(Engine, RejectsWhatNoThermometerSays) {
  const auto events =
      events_of(line("00:00:00", "camper", "nan") + line("00:01:00", "camper", "900") + line("00:02:00", "camper", ""));
  EXPECT_EQ(times_of(events, EventKind::reading_rejected).size(), 1U);  // at most one a sensor an hour
}

}  // namespace
}  // namespace overwinter
