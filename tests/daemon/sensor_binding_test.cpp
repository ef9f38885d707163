// What a sensor's binding says, from the site file through intake and engine: reads, reference, stale_after, via,
// retained, battery and link.
#include <gtest/gtest.h>

#include <memory>
#include <string>
#include <vector>

#include "config/site_file.h"
#include "daemon/intake.h"
#include "rules/engine/engine.h"
#include "rules/engine/explain.h"

namespace overwinter {
namespace {

// One tire at sea level, filled to 350 kPa at 15 degC by a vented gauge; `binding` is the rest of its pressure sensor.
struct Site {
  std::shared_ptr<const Plan> plan;
  std::unique_ptr<Intake> intake;
  std::unique_ptr<Engine> engine;
  std::vector<Event> events;
  Instant start = *parse_rfc3339("2026-12-01T08:00:00Z");

  explicit Site(const std::string& binding) {
    FilesInMemory files;
    files.files["site.yaml"] = R"(
site: {id: bench, local_time: UTC, altitude: 0 m}
places:
  yard: {temperature: {topic: yard, unit: degC}}
gear:
  radio: {kind: gateway, place: yard, online: {topic: radio}}
  door: {kind: door_or_vent, place: yard, should_be: open, open: {topic: door}}
  tire:
    kind: tire
    place: yard
    fill_gas: dry_nitrogen
    filled: {pressure: 350 kPa, temperature: 15 degC, date: 2026-12-01}
    temperature: {topic: tire, pointer: /c, unit: degC}
    pressure: {topic: tire, pointer: /kpa, unit: kPa, )" +
                               binding + "}\n";
    LoadedSite site = load_site("site.yaml", files);
    EXPECT_TRUE(site.sound()) << render_faults(site);
    if (!site.sound()) return;
    plan = std::make_shared<const Plan>(*std::move(site.plan));
    intake = std::make_unique<Intake>(plan);
    engine = std::make_unique<Engine>(plan, start);
  }
  void hear(Span after, const std::string& topic, const std::string& payload, bool retained = false) {
    take(engine->step(*intake->decode(start + after, topic, payload, retained)));
  }
  void wait_until(Span after) { take(engine->step({start + after, Tick{}})); }
  void take(const Output& output) { events.insert(events.end(), output.events.begin(), output.events.end()); }

  const SlotState& state(std::string_view gear, std::string_view quantity) const {
    return engine->world().board[plan->find_slot(plan->find_entity(gear), quantity)];
  }
  ExplainedQuantity pressure() const { return explain(engine->world(), plan->find_entity("tire")).quantities.front(); }
  std::vector<Event> of(EventKind kind, std::string_view rule = "") const {
    std::vector<Event> found;
    for (const Event& event : events) {
      if (event.kind == kind && (rule.empty() || event.rule == rule)) found.push_back(event);
    }
    return found;
  }
};

constexpr const char* at_fill_temperature = R"({"kpa":350,"c":15,"cell":2.91,"rssi":-71})";

TEST(SensorBinding, AVentedGaugeReadsWhatWasFilled) {
  Site site("reads: vented");
  site.hear(one_minute, "tire", at_fill_temperature);
  EXPECT_NEAR(site.state("tire", "pressure").value, 350e3, 1);
  EXPECT_NEAR(site.state("tire", "pressure").expected.value, 350e3, 500);  // seepage of hours
}

// A sealed gauge subtracts its reference from the absolute pressure: 350 + 101.325 - 95 kPa.
TEST(SensorBinding, ASealedGaugeIsExpectedToReadAgainstItsReference) {
  Site site("reads: sealed, reference: 95 kPa");
  site.hear(one_minute, "tire", at_fill_temperature);
  EXPECT_NEAR(site.state("tire", "pressure").value, 350e3, 1) << "the reading itself stays as it came";
  EXPECT_NEAR(site.state("tire", "pressure").expected.value, 356.325e3, 500);
}

TEST(SensorBinding, ASealedGaugeIsSealedAtOneAtmosphereUnlessTold) {  // ISO 2533: 101.325 kPa
  Site site("reads: sealed");
  site.hear(one_minute, "tire", at_fill_temperature);
  EXPECT_NEAR(site.state("tire", "pressure").expected.value, 350e3, 500);
}

TEST(SensorBinding, AnAbsoluteCellBecomesAGaugePressureByTheAirOutside) {
  Site site("reads: absolute");
  site.hear(one_minute, "tire", R"({"kpa":451.325,"c":15})");
  EXPECT_NEAR(site.state("tire", "pressure").value, 350e3, 1);
}

TEST(SensorBinding, FallsSilentExactlyAtItsStaleAfter) {
  Site site("stale_after: 1 h");
  site.hear(one_minute, "tire", at_fill_temperature);
  site.wait_until(one_hour + one_minute - Span{1});
  EXPECT_TRUE(site.of(EventKind::sensor_silent).empty());
  EXPECT_TRUE(site.state("tire", "pressure").known());
  site.wait_until(one_hour + one_minute);
  ASSERT_EQ(site.of(EventKind::sensor_silent).size(), 1U);
  EXPECT_EQ(site.of(EventKind::sensor_silent)[0].quantity, "pressure");
  EXPECT_EQ(site.of(EventKind::sensor_silent)[0].last_at, site.start + one_minute);
  EXPECT_FALSE(site.state("tire", "pressure").known());
}

TEST(SensorBinding, NeverIsNeverSilent) {
  Site site("stale_after: never");
  site.hear(one_minute, "tire", at_fill_temperature);
  site.wait_until(30 * one_day);
  for (const Event& event : site.of(EventKind::sensor_silent)) EXPECT_NE(event.quantity, "pressure");
  EXPECT_TRUE(site.state("tire", "pressure").known());
}

TEST(SensorBinding, ASilentSensorBehindASilentGatewayRaisesNoAlarmOfItsOwn) {
  Site site("via: radio, stale_after: 1 h");
  site.hear(one_minute, "tire", at_fill_temperature);
  site.hear(2 * one_minute, "radio", "down");
  for (int hour = 0; hour < 12; ++hour) {
    site.hear(hour * one_hour + 3 * one_minute, "tire", R"({"c":15})");  // the temperature has no gateway
    site.hear(hour * one_hour + 3 * one_minute, "yard", "15");
  }
  EXPECT_EQ(site.of(EventKind::alarm_raised, "gateway_silent").size(), 1U);
  EXPECT_TRUE(site.of(EventKind::alarm_raised, "sensor_silent").empty());
  site.hear(13 * one_hour, "radio", "up");
  site.wait_until(16 * one_hour);
  EXPECT_EQ(site.of(EventKind::alarm_raised, "sensor_silent").size(), 1U) << "the gateway is back, the sensor is not";
}

TEST(SensorBinding, ARetainedNumberFillsAnEmptySlotAndNoMore) {
  Site site("via: radio");
  site.hear(one_minute, "tire", at_fill_temperature, true);
  EXPECT_TRUE(site.state("tire", "pressure").has_value);
  EXPECT_FALSE(site.state("tire", "pressure").known()) << "uncertain";
  site.hear(2 * one_minute, "tire", R"({"kpa":340,"c":15})");
  site.hear(3 * one_minute, "tire", at_fill_temperature, true);
  EXPECT_NEAR(site.state("tire", "pressure").value, 340e3, 1);
  site.wait_until(7 * one_hour);
  site.hear(8 * one_hour, "tire", at_fill_temperature, true);
  EXPECT_TRUE(site.of(EventKind::sensor_back).empty()) << "it ends no silence";
}

TEST(SensorBinding, ARetainedBooleanTellsThePresentState) {
  Site site("via: radio");
  site.hear(one_minute, "door", "open", true);
  EXPECT_TRUE(site.state("door", "open").known());
  EXPECT_EQ(site.state("door", "open").value, 1);
}

TEST(SensorBinding, ShowsTheSensorsOwnCellAndSignal) {
  Site site("battery: {pointer: /cell, unit: V}, link: {pointer: /rssi, unit: dBm}");
  EXPECT_EQ(site.pressure().sensor_itself, "");
  site.hear(one_minute, "tire", at_fill_temperature);
  site.hear(2 * one_minute, "tire", R"({"kpa":"---","c":15,"cell":1.8})");
  site.wait_until(5 * one_minute);
  EXPECT_EQ(site.pressure().sensor_itself, "battery 1.8 V, link -71 dBm, 08:02 (3 min ago)");
}

TEST(SensorBinding, ASilentSensorsCellIsToldWithItsSilence) {
  Site site("stale_after: 1 h, battery: {pointer: /cell, unit: V}");
  site.hear(one_minute, "tire", at_fill_temperature);
  site.wait_until(3 * one_hour);
  const auto raised = site.of(EventKind::alarm_raised, "sensor_silent");
  ASSERT_EQ(raised.size(), 1U);
  EXPECT_NE(raised[0].message.find("battery 2.91 V"), std::string::npos) << raised[0].message;
}

TEST(SensorBinding, TheSensorsOwnCellSurvivesARestart) {
  Site site("battery: {pointer: /cell, unit: V}");
  site.hear(one_minute, "tire", at_fill_temperature);
  Result<Engine> restored = Engine::restore(site.plan, site.engine->snapshot());
  ASSERT_TRUE(restored);
  EXPECT_EQ(explain(restored->world(), site.plan->find_entity("tire")).quantities.front().sensor_itself,
            "battery 2.91 V, 08:01 (just now)");
}

}  // namespace
}  // namespace overwinter
