// A winter without tire sensors: a person with a gauge, on mild days and cold ones. Sound tires raise no alarm.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <memory>
#include <string>
#include <utility>

#include "config/site_file.h"
#include "tests/winter/gear_in_winter.h"
#include "tests/winter/mailbag.h"
#include "tests/winter/replay_in_memory.h"
#include "tests/winter/weather.h"

namespace overwinter {
namespace {

constexpr std::string_view by_hand_site = R"(
site: {id: alder_bend, local_time: America/Winnipeg, altitude: 232 m, display_units: us}
season: {lay_up: 2026-10-31, return_to_service: 2027-04-20}
places:
  outdoors:
    temperature: {topic: yard/weather, pointer: /temp_c, unit: degC}
    sea_level_pressure: {topic: yard/weather, pointer: /hpa, unit: hPa}
gear:
  shaded_tire:
    kind: tire
    place: outdoors
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}
    pressure: by_hand
  sunny_tire:
    kind: tire
    place: outdoors
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}
    pressure: by_hand
)";

// Every tenth day: at noon, before sunrise, at noon, ...; the gauge is good to half a psi.
std::string hand_read_winter(std::uint64_t seed, double leak_per_week) {
  Mailbag bag;
  Weather weather(seed);
  SplitMix random(seed + 99);
  TrueTire shaded, sunny;
  sunny.in_the_sun = true;
  for (TrueTire* tire : {&shaded, &sunny}) tire->fill(52 * winter_psi, 16.1, 98.7e3);
  const Instant start = *parse_rfc3339("2026-10-31T05:00:00Z");
  std::int64_t step = 0;
  for (Instant now = start; now < start + 172 * one_day; now += weather_step, ++step) {
    const Sky sky = weather.at(now);
    shaded.step(sky, to_seconds(weather_step), leak_per_week);
    sunny.step(sky, to_seconds(weather_step), 0);
    if (step % 4 == 0) {
      bag.add(now, "yard/weather",
              fmt::format(R"({{"temp_c":{:.1f},"hpa":{:.1f}}})", sky.celsius + 0.1 * random.bell(), sky.sea_level_hpa));
    }
    const std::int64_t day = step / 288;
    const std::int64_t at = (day / 10) % 2 == 0 ? 12 * 12 : 6 * 12;  // steps since local midnight
    if (day % 10 != 9 || step % 288 != at) continue;
    const auto record = [&](std::string_view gear, const TrueTire& tire) {
      const double said = tire.gauge(sky) / winter_psi + random.between(-0.5, 0.5);
      bag.command(
          now + Span(1000), "record",
          fmt::format(R"({{"gear":"{}","quantity":"pressure","value":"{:.1f} psi","by":"Marta"}})", gear, said));
    };
    record("shaded_tire", shaded);
    record("sunny_tire", sunny);
  }
  return bag.lines();
}

Replayed replay_by_hand(std::uint64_t seed, double leak_per_week) {
  FilesInMemory files;
  files.files["site.yaml"] = by_hand_site;
  LoadedSite site = load_site("site.yaml", files);
  if (!site.sound()) {
    ADD_FAILURE() << render_faults(site);
    return {};
  }
  const auto plan = std::make_shared<const Plan>(std::move(*site.plan));
  return replay_in_memory(plan, inputs_of(plan, hand_read_winter(seed, leak_per_week)));
}

TEST(HandReadWinter, RaisesNoAlarmOverSoundTires) {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    const Replayed replayed = replay_by_hand(seed, 0);
    std::size_t readings = 0;
    for (const Event& event : replayed.events) {
      readings += event.kind == EventKind::hand_reading ? 1U : 0U;
      EXPECT_NE(event.kind, EventKind::alarm_raised)
          << "seed " << seed << " " << format_rfc3339(event.at) << " " << event.rule << ": " << event.message;
      EXPECT_NE(event.kind, EventKind::command_refused) << event.reason;
    }
    EXPECT_EQ(readings, 34U) << "seed " << seed;
  }
}

TEST(HandReadWinter, FindsTheTireThatLosesHalfAPsiAWeek) {
  const Replayed replayed = replay_by_hand(1, 0.5 * winter_psi);
  bool found = false;
  for (const Event& event : replayed.events) {
    if (event.kind != EventKind::alarm_raised) continue;
    EXPECT_EQ(event.gear, "shaded_tire") << event.rule;
    found = found || event.gear == "shaded_tire";
  }
  EXPECT_TRUE(found);
}

}  // namespace
}  // namespace overwinter
