// A heated place that is read by hand, or by a thermometer that seldom reports: what its owner is told.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

constexpr std::string_view pantry = R"(site: {id: alder_bend, local_time: America/Winnipeg, altitude: 232 m}
places:
  outdoors: {temperature: {topic: yard, unit: degC, stale_after: 25 h}}
  pantry: {heated: true, set_temperature: 7 degC, temperature: {topic: pantry, unit: degC, stale_after: 25 h}}
rules_from: [standard]
)";

std::string message_of(const Lived& lived, std::string_view rule) {
  for (const Event& event : lived.events) {
    if (event.kind == EventKind::alarm_raised && event.rule == rule) return event.message;
  }
  return {};
}

TEST(HeatedPlace, AHandReadingIsAnsweredByTheSetTemperature) {
  const auto answer_to = [](std::string_view value) {
    const std::string json = R"({"gear":"pantry","quantity":"temperature","value":")" + std::string(value) + "\"}";
    return live(plan_with(pantry),
                {{"2026-12-01T12:00:00Z", "yard", "-15"}, command("2026-12-01T12:05:00Z", "record", json)})
        .answers.at(0)
        .answer;
  };
  EXPECT_TRUE(answer_to("3 degC").starts_with("3.0 °C is 4.0 °C below its set temperature;")) << answer_to("3 degC");
  EXPECT_TRUE(answer_to("7.5 degC").starts_with("7.5 °C is near its set temperature;")) << answer_to("7.5 degC");
}

// Every six hours: what fell in the last three is not known, and no message says so.
TEST(HeatedPlace, IsToldToFreezeByAThermometerThatSeldomReports) {
  const double inside[] = {7.2, 6.8, 7.5, 7.1, 1.5, -2.5, -5, -7};
  std::vector<Mail> mail;
  for (int i = 0; i < 8; ++i) {
    const std::string at =
        "2026-12-0" + std::to_string(1 + i / 4) + (i % 4 < 2 ? "T0" : "T") + std::to_string(i % 4 * 6);
    mail.push_back({at + ":00:00Z", "yard", "-15"});
    mail.push_back({at + ":00:01Z", "pantry", std::to_string(inside[i])});
  }
  const Lived lived = live(plan_with(pantry), mail);
  for (const std::string_view rule : {"place_freezing_soon", "heating_failed"}) {
    const std::string message = message_of(lived, rule);
    EXPECT_FALSE(message.empty()) << rule;
    EXPECT_EQ(message.find("unknown"), std::string::npos) << message;
  }
}

// In a place that is colder than that already, "frost in: 0 s" is no news.
TEST(HeatedPlace, ThatFreezesIsNotToldWhenItWill) {
  std::vector<Mail> mail = hourly("yard", "2026-12-01T00:00:00Z", 12, [](int) { return -15.0; });
  const std::vector<Mail> inside =
      hourly("pantry", "2026-12-01T00:01:00Z", 12, [](int hour) { return hour < 4 ? 7.0 : -3.0 - 0.1 * hour; });
  mail = together({mail, inside});
  const std::string message = message_of(live(plan_with(pantry), mail), "place_freezing_soon");
  EXPECT_TRUE(message.ends_with(" outdoors. It is freezing there.")) << message;
}

// Its hygrometer, which was never heard, has an alarm of its own: here the model tells when frost comes.
TEST(HeatedPlace, IsToldWhenItFreezesAlsoBesideASilentSensor) {
  const auto plan = plan_with(R"(site: {id: alder_bend, local_time: America/Winnipeg, altitude: 232 m}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  pantry: {heated: true, set_temperature: 7 degC, temperature: {topic: pantry, unit: degC}, humidity: {topic: h, unit: "%"}}
rules_from: [standard]
)");
  const auto inside = [](int hour) { return hour < 8 ? 7.0 : 7.0 - (hour - 7); };
  const Lived lived = live(plan, together({hourly("yard", "2026-12-01T00:00:00Z", 14, [](int) { return -15.0; }),
                                           hourly("pantry", "2026-12-01T00:01:00Z", 14, inside)}));
  EXPECT_NE(message_of(lived, "sensor_silent").find("Humidity (never heard"), std::string::npos);
  const std::string message = message_of(lived, "heating_failed");
  EXPECT_NE(message.find(" outdoors. Frost in: "), std::string::npos) << message;
  EXPECT_EQ(message.find("never heard"), std::string::npos) << message;
}

// Its glass is as cold as the yard, and what freezes on it out of dry air is ice.
TEST(HeatedPlace, ThatIsDryHasNoWetGlassInHardFrost) {
  const auto plan = plan_with(R"(site: {id: alder_bend, local_time: America/Winnipeg, altitude: 232 m}
season: {lay_up: 2026-11-01}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  pantry: {heated: true, set_temperature: 5 degC, temperature: {topic: pantry, unit: degC}, humidity: {topic: damp, unit: "%"}}
rules_from: [standard]
)");
  const auto glass = [&](double outside) {
    constexpr int hours = 15 * 24;
    return message_of(live(plan, together({hourly("yard", "2026-12-01T00:00:00Z", hours, [=](int) { return outside; }),
                                           hourly("pantry", "2026-12-01T00:01:00Z", hours, [](int) { return 5.0; }),
                                           hourly("damp", "2026-12-01T00:02:00Z", hours, [](int) { return 75.0; })})),
                      "condensation_on_glass");
  };
  EXPECT_EQ(glass(-25), "");
  EXPECT_NE(glass(-8), "");  // single glass, ISO 13788: -8 + 0.25 x 13 = -4.75 degC, below the dew point of 0.9 degC
}

// A thermostat with a wide swing: it falls for two hours and more, and is warmed again each time.
TEST(HeatedPlace, TheSwingOfAThermostatIsNoFreezing) {
  std::string story;
  std::vector<Mail> mail;
  for (int minute = 0; minute < 6 * 24 * 60; minute += 10) {
    const Instant at = *parse_rfc3339("2026-12-01T00:00:00Z") + minute * one_minute;
    const int phase = minute % 240;
    const double inside = 8.8 - 3.6 * (phase < 140 ? phase / 140.0 : (240 - phase) / 100.0);
    mail.push_back({format_rfc3339(at), "yard", "-20"});
    mail.push_back({format_rfc3339(at), "pantry", std::to_string(inside)});
  }
  const Lived lived = live(plan_with(pantry), mail);
  EXPECT_EQ(message_of(lived, "place_freezing_soon"), "");
  EXPECT_EQ(message_of(lived, "heating_failed"), "");
}

}  // namespace
}  // namespace overwinter
