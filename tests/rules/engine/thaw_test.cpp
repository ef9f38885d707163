// Thaw and ordinary damp weather in a closed camper, through the standard rules: a thaw after frost is told, a damp
// mild month is not, nor is what the winter sun drives out of the camper's own wood.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <functional>
#include <numbers>
#include <set>
#include <string>

#include "tests/rules/engine/story.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

constexpr std::string_view damp_camper = R"(
places:
  outdoors: {temperature: {topic: yard_t, unit: degC}, humidity: {topic: yard_h, unit: "%"}}
  camper: {temperature: {topic: camper_t, unit: degC}, humidity: {topic: camper_h, unit: "%"}}
rules_from: [standard]
)";

const std::set<std::string_view> of_thaw{"thaw_condensation"};

struct DampHour {
  double outside = 0, outdoor_humidity = 0, inside = 0, humidity = 0;  // degC, %
};

// Saturation over water, hPa: Magnus formula of WMO-No. 8 (from memory).
double magnus(double celsius) { return 6.112 * std::exp(17.62 * celsius / (243.12 + celsius)); }

double by_day(double hour, double swing) { return swing * std::sin(2 * std::numbers::pi * (hour - 9) / 24); }

// Half-hourly readings from the first of November on; weather: by the hours since then.
std::string damp_days(int days, const std::function<DampHour(double)>& weather) {
  std::string story;
  char line[80];
  for (int half = 0; half < days * 48; ++half) {
    const DampHour w = weather(half / 2.0);
    const int day = half / 48;
    const auto say = [&](const char* topic, double value) {
      std::snprintf(line, sizeof line, "%02d-%02d %02d:%02d %s %.1f\n", day < 30 ? 11 : 12,
                    day < 30 ? day + 1 : day - 29, half % 48 / 2, half % 2 * 30, topic, value);
      story += line;
    };
    say("yard_t", w.outside);
    say("yard_h", w.outdoor_humidity);
    say("camper_t", w.inside);
    say("camper_h", w.humidity);
  }
  return story;
}

// A closed camper follows the outdoors within hours, temperature (5 h) and vapor (6 h) alike, no damper than saturated.
struct ClosedCamper {
  double inside, vapor;

  DampHour half_hour(double outside, double humidity) {
    inside += -std::expm1(-0.5 / 5) * (outside - inside);
    vapor += -std::expm1(-0.5 / 6) * (humidity / 100 * magnus(outside) - vapor);
    vapor = std::min(vapor, magnus(inside));
    return {outside, humidity, inside, 100 * vapor / magnus(inside)};
  }
};

// The same thaw outdoors, and in the camper air that stays as dry as in the frost: it wets nothing.
TEST(Thaw, IsNoneWhereTheHygrometerInsideFindsTheAirTooDry) {
  ClosedCamper camper{-12, 1.5};
  EXPECT_EQ(told(plan_of(damp_camper),
                 damp_days(18,
                           [&](double hour) {
                             const double thaw = std::min(7.0, -12 + 19 * (hour - 240) / 12);
                             const bool thaws = hour > 240 && hour < 312;
                             DampHour now = camper.half_hour((thaws ? thaw : -12) + by_day(hour, 2), thaws ? 95 : 75);
                             now.humidity = 100 * 1.5 / magnus(now.inside);
                             return now;
                           }),
                 of_thaw),
            "");
}

// An unheated place often has a thermometer alone: the vapor is the outdoors' then, and its message knows all it says.
TEST(Thaw, IsToldInFullWithoutAHygrometerInside) {
  std::string site(damp_camper);
  site.erase(site.find(", humidity: {topic: camper_h"),
             std::string_view(R"(, humidity: {topic: camper_h, unit: "%"})").size());
  const auto plan = plan_of(site);
  ClosedCamper camper{-12, 1.5};
  const std::string story = damp_days(14, [&](double hour) {
    return camper.half_hour(std::clamp(-12 + 19 * (hour - 240) / 12, -12.0, 7.0), hour > 240 ? 95 : 75);
  });
  std::size_t told = 0;
  for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture_of(story))).events) {
    if (e.kind != EventKind::alarm_raised || e.rule != "thaw_condensation") continue;
    ++told;
    EXPECT_EQ(e.message.find("unknown"), std::string::npos) << e.message;
  }
  EXPECT_EQ(told, 1U);
}

TEST(Thaw, IsToldOnceWhenItFollowsFrost) {
  ClosedCamper camper{-12, 1.5};
  // Ten days of frost; within twelve hours 7 degC and 95 %, for three days; then dry frost again.
  const std::string events =
      told(plan_of(damp_camper),
           damp_days(18,
                     [&](double hour) {
                       const double thaw = std::min(7.0, -12 + 19 * (hour - 240) / 12);
                       const bool thaws = hour > 240 && hour < 312;
                       return camper.half_hour((thaws ? thaw : -12) + by_day(hour, 2), thaws ? 95 : 75);
                     }),
           of_thaw);
  ASSERT_EQ(std::ranges::count(events, '\n'), 2) << events;
  EXPECT_TRUE(events.starts_with("11-11 ")) << events;  // the day on which it comes
  EXPECT_NE(events.find("alarm_cleared"), std::string::npos) << events;
}

TEST(Thaw, ADampMildMonthIsNone) {
  for (const auto& [mean, swing, humidity] : {std::array{10.0, 5.0, 85.0}, std::array{8.0, 3.0, 94.0},
                                              std::array{8.0, 2.0, 96.0}, std::array{2.0, 8.0, 85.0}}) {
    ClosedCamper camper{mean, humidity / 100 * magnus(mean)};
    EXPECT_EQ(told(plan_of(damp_camper),
                   damp_days(31, [&, mean = mean, swing = swing, humidity = humidity](
                                     double hour) { return camper.half_hour(mean + by_day(hour, swing), humidity); }),
                   of_thaw),
              "")
        << mean << " degC, " << humidity << " %";
  }
}

// Wood and cushions hold the air at 75 to 79 %: what the sun drives out settles on what is still cold, and goes back.
TEST(Thaw, TheSunOnAFrozenCamperIsNone) {
  EXPECT_EQ(told(plan_of(damp_camper),
                 damp_days(31,
                           [&](double hour) {
                             const double outside = -6 + by_day(hour, 7);
                             const double noon = std::abs(std::fmod(hour, 24) - 16);
                             const double sun = noon < 5 ? std::cos(std::numbers::pi * noon / 10) : 0;
                             std::max(0.0, std::sin(std::numbers::pi * (std::fmod(hour, 24) - 11) / 10));
                             const double humidity = 100 * magnus(std::min(-9.0, outside)) / magnus(outside);
                             return DampHour{outside, humidity, outside + 14 * sun, 75 + 4 * sun};
                           }),
                 of_thaw),
            "");
}

}  // namespace
}  // namespace overwinter
