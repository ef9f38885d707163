// The silence of a gateway stands for that of its sensors, and for no other.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <set>

#include "tests/rules/engine/lived.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

constexpr std::string_view camper_radio = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC, via: camper_radio}}
  garage: {temperature: {topic: garage, unit: degC, via: camper_radio}}
  shed: {temperature: {topic: shed, unit: degC, via: camper_radio}}
gear:
  camper_radio: {kind: gateway, place: camper, online: {topic: radio, yes_is: up, no_is: down}}
)";

const std::set<std::string_view> gateway_events{"sensor_silent", "sensor_back", "gateway_silent"};

TEST(GatewaySilence, BehindAGatewayThatIsOfflineIsItsAlarmAlone) {
  EXPECT_EQ(told(plan_of(camper_radio), R"(
    12-01 00:00 radio up
    12-01 00:00 yard 5
    12-01 00:00 camper 5
    12-01 02:00 garage 5
    12-01 03:00 shed 5
    12-01 04:00 radio down
    12-01 05:00 yard 5
    12-01 10:00 yard 5
    12-01 10:30 radio up
    12-01 10:31 camper 5
    12-01 10:32 garage 5
    12-01 10:33 shed 5
    12-01 11:00 yard 5
  )",
                 gateway_events),
            lines_of(R"(
    12-01 04:00:00 alarm_raised gateway_silent camper_radio
    12-01 06:00:00 sensor_silent camper temperature
    12-01 08:00:00 sensor_silent garage temperature
    12-01 09:00:00 sensor_silent shed temperature
    12-01 10:31:00 sensor_back camper temperature
    12-01 10:32:00 sensor_back garage temperature
    12-01 10:33:00 sensor_back shed temperature
    12-01 10:42:00 alarm_cleared gateway_silent camper_radio
  )"));
}

// The camper's hygrometer speaks for itself, and is silent before, during and after the radio's silence.
TEST(GatewaySilence, OfAnotherSensorIsNotExplainedByAGateway) {
  const std::string site = R"(
places:
  camper:
    temperature: {topic: camper, unit: degC, via: radio}
    humidity: {topic: air, unit: "%"}
  garage: {temperature: {topic: garage, unit: degC, via: radio}}
gear:
  radio: {kind: gateway, place: camper, online: {topic: radio}}
)";
  EXPECT_EQ(told(plan_of(site), R"(
    12-01 00:00 camper 5
    12-01 00:00 garage 5
    12-01 03:00 air 60
    12-01 10:00 other 1
  )",
                 gateway_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 sensor_silent garage temperature
    12-01 06:00:00 alarm_raised gateway_silent radio
    12-01 09:00:00 sensor_silent camper humidity
    12-01 09:00:00 alarm_raised sensor_silent camper
  )"));
  EXPECT_EQ(told(plan_of(site), R"(
    12-01 00:00 air 60
    12-01 05:00 camper 5
    12-01 05:00 garage 5
    12-01 07:00 radio off
    12-01 12:00 air 61
    12-01 14:00 other 1
  )",
                 gateway_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper humidity
    12-01 06:00:00 alarm_raised sensor_silent camper
    12-01 07:00:00 alarm_raised gateway_silent radio
    12-01 11:00:00 sensor_silent camper temperature
    12-01 11:00:00 sensor_silent garage temperature
    12-01 12:00:00 sensor_back camper humidity
    12-01 12:10:00 alarm_cleared sensor_silent camper
  )"));
}

// What it says meanwhile is no reading; it does not hold up the question whether the radio still explains its silence.
TEST(GatewaySilence, AfterThatOfItsGatewayIsToldThoughTheSensorSaysNonsense) {
  for (const char* when : {"12:00", "16:30"}) {
    EXPECT_EQ(told(plan_of(camper_radio),
                   fmt::format(R"(
    12-01 00:00 camper 5
    12-01 01:00 radio down
    12-01 05:00 yard 5
    12-01 05:00 garage 5
    12-01 05:00 shed 5
    12-01 10:30 radio up
    12-01 10:30 garage 5
    12-01 10:30 shed 5
    12-01 11:00 yard 5
    12-01 12:00 garage 6
    12-01 12:00 shed 6
    12-01 {} camper nonsense
    12-01 17:00 yard 5
  )",
                               when),
                   gateway_events),
              lines_of(R"(
    12-01 01:00:00 alarm_raised gateway_silent camper_radio
    12-01 06:00:00 sensor_silent camper temperature
    12-01 10:40:00 alarm_cleared gateway_silent camper_radio
    12-01 16:30:00 alarm_raised sensor_silent camper
  )"));
  }
}

// Its own word is stale after an hour.
constexpr std::string_view radio_soon_stale = R"(
places:
  camper: {temperature: {topic: camper, unit: degC, via: radio}}
  garage: {temperature: {topic: garage, unit: degC, via: radio}}
gear:
  radio: {kind: gateway, place: camper, online: {topic: radio, stale_after: 1 h}}
)";

TEST(GatewaySilence, OfAGatewayThatSaidItIsOfflineEndsNothing) {
  EXPECT_EQ(told(plan_of(radio_soon_stale), R"(
    12-01 00:00 camper 5
    12-01 00:00 garage 5
    12-01 01:00 radio off
    12-01 05:00 radio on
    12-01 05:00 camper 5
    12-01 05:00 garage 5
    12-01 06:00 other 1
  )",
                 gateway_events),
            lines_of(R"(
    12-01 01:00:00 alarm_raised gateway_silent radio
    12-01 02:00:00 sensor_silent radio online
    12-01 02:00:00 alarm_suppressed sensor_silent radio
    12-01 05:00:00 sensor_back radio online
    12-01 05:10:00 alarm_unsuppressed sensor_silent radio: cleared
    12-01 05:10:00 alarm_cleared gateway_silent radio
    12-01 06:00:00 sensor_silent radio online
    12-01 06:00:00 alarm_raised sensor_silent radio
  )"));
}

// It said "off" and nothing more, but a sensor speaks through it: it is back, and who does not speak is told.
TEST(GatewaySilence, OfAGatewayIsOverOnceASensorSpeaksThroughIt) {
  EXPECT_EQ(told(plan_of(radio_soon_stale), R"(
    12-01 00:00 camper 5
    12-01 00:00 garage 5
    12-01 01:00 radio off
    12-01 03:00 garage 5
    12-01 08:00 garage 5
    12-01 13:00 garage 5
  )",
                 gateway_events),
            lines_of(R"(
    12-01 01:00:00 alarm_raised gateway_silent radio
    12-01 02:00:00 sensor_silent radio online
    12-01 02:00:00 alarm_suppressed sensor_silent radio
    12-01 03:10:00 alarm_unsuppressed sensor_silent radio
    12-01 03:10:00 alarm_raised sensor_silent radio
    12-01 03:10:00 alarm_cleared gateway_silent radio
    12-01 06:00:00 sensor_silent camper temperature
    12-01 09:00:00 alarm_raised sensor_silent camper
  )"));
}

// Nothing stands on a gateway that is out of service, and its sensors' silence is told meanwhile.
TEST(GatewaySilence, BehindAGatewayOutOfServiceIsOfEachSensor) {
  EXPECT_EQ(told(plan_of(camper_radio), R"(
    12-01 00:00 camper 5
    12-01 00:00 garage 5
    12-01 00:00 shed 5
    12-01 05:00 yard 5
    12-01 07:00 overwinter/alder_bend/do/take_out {"gear":"camper_radio"}
    12-01 08:00 overwinter/alder_bend/do/put_back {"gear":"camper_radio"}
    12-01 09:00 yard 5
  )",
                 gateway_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 sensor_silent garage temperature
    12-01 06:00:00 sensor_silent shed temperature
    12-01 06:00:00 alarm_raised gateway_silent camper_radio
    12-01 07:00:00 alarm_raised sensor_silent camper
    12-01 07:00:00 alarm_raised sensor_silent garage
    12-01 07:00:00 alarm_raised sensor_silent shed
    12-01 07:00:00 alarm_cleared gateway_silent camper_radio: out_of_service
    12-01 08:00:00 alarm_suppressed sensor_silent camper
    12-01 08:00:00 alarm_suppressed sensor_silent garage
    12-01 08:00:00 alarm_suppressed sensor_silent shed
    12-01 08:00:00 alarm_raised gateway_silent camper_radio
    12-01 08:10:00 alarm_cleared sensor_silent camper
    12-01 08:10:00 alarm_cleared sensor_silent garage
    12-01 08:10:00 alarm_cleared sensor_silent shed
  )"));
}

// A rule of other gear that reads it tells nobody of it.
TEST(GatewaySilence, BehindAGatewayThatOnlyAnotherRuleReadsIsOfEachSensor) {
  const std::string site =
      std::string(camper_radio) + "rules_from: [standard, rules.yaml]\nadjust: {gateway_silent: {enabled: false}}\n";
  const auto plan = plan_of(site, R"(
rules:
  cold:
    applies_to: {place: camper}
    raise_when: temperature < 0 degC and not camper_radio.gateway_is_silent
    message: cold
)");
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 camper 5
    12-01 00:00 garage 5
    12-01 00:00 shed 5
    12-01 05:00 yard 5
    12-01 07:00 yard 5
  )",
                 {"sensor_silent"}),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 sensor_silent garage temperature
    12-01 06:00:00 sensor_silent shed temperature
    12-01 06:00:00 alarm_raised sensor_silent camper
    12-01 06:00:00 alarm_raised sensor_silent garage
    12-01 06:00:00 alarm_raised sensor_silent shed
  )"));
}

TEST(GatewaySilence, BehindAGatewayWithoutARuleIsOfEachSensor) {
  EXPECT_EQ(told(plan_of(std::string(camper_radio) + "adjust: {gateway_silent: {enabled: false}}\n"), R"(
    12-01 00:00 camper 5
    12-01 00:00 garage 5
    12-01 00:00 shed 5
    12-01 05:00 yard 5
    12-01 07:00 yard 5
  )",
                 gateway_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 sensor_silent garage temperature
    12-01 06:00:00 sensor_silent shed temperature
    12-01 06:00:00 alarm_raised sensor_silent camper
    12-01 06:00:00 alarm_raised sensor_silent garage
    12-01 06:00:00 alarm_raised sensor_silent shed
  )"));
}

TEST(GatewaySilence, OfHalfOfItsSensorsWithinHalfAnHourIsTheGateways) {
  EXPECT_EQ(told(plan_of(camper_radio), R"(
    12-01 00:00 camper 5
    12-01 00:20 garage 5
    12-01 05:00 yard 5
    12-01 05:30 shed 5
    12-01 07:00 yard 5
  )",
                 gateway_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:20:00 sensor_silent garage temperature
    12-01 06:20:00 alarm_raised gateway_silent camper_radio
  )"));
}

// Told while the third is still to follow.
TEST(GatewaySilence, OfAGatewaySaysHowManyOfItsSensorsAreSilent) {
  const std::string site = "site: {id: home, local_time: UTC}" + std::string(camper_radio);
  const auto message = [&site](std::vector<Mail> mail) {
    for (const Event& e : live(plan_with(site), std::move(mail)).events) {
      if (e.kind == EventKind::alarm_raised && e.rule == "gateway_silent") return e.message;
    }
    return std::string();
  };
  std::vector<Mail> mail{{"2026-12-01T00:00:00Z", "camper", "5"},
                         {"2026-12-01T00:20:00Z", "garage", "5"},
                         {"2026-12-01T00:25:00Z", "shed", "5"},
                         {"2026-12-01T05:00:00Z", "yard", "5"},
                         {"2026-12-01T07:00:00Z", "yard", "5"}};
  EXPECT_EQ(message(mail),
            "2 of its 3 sensors fell silent together. What comes through it is not watched until it is back.");
  mail.insert(mail.begin() + 3, {"2026-12-01T01:00:00Z", "radio", "down"});
  EXPECT_TRUE(message(mail).starts_with("It reports itself offline. What")) << message(mail);
  mail.erase(mail.begin() + 3);
  mail.insert(mail.begin() + 4, {"2026-12-01T06:10:00Z", "radio", "down"});
  EXPECT_TRUE(message(mail).starts_with("It reports itself offline, and 1 of its 3 sensors is silent. What"))
      << message(mail);
}

TEST(GatewaySilence, OfOneOfThreeIsItsOwn) {
  EXPECT_EQ(told(plan_of(camper_radio), R"(
    12-01 00:00 camper 5
    12-01 04:00 garage 5
    12-01 05:00 yard 5
    12-01 05:30 shed 5
    12-01 07:00 yard 5
  )",
                 gateway_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 alarm_raised sensor_silent camper
  )"));
}

}  // namespace
}  // namespace overwinter
