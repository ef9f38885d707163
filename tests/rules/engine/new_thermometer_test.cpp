// Where the thermometer of a place is another, the windows of what models make of it begin anew: hours of one that hung
// in the sun are not of the one that replaces it.
#include <gtest/gtest.h>

#include <algorithm>
#include <memory>
#include <string>
#include <string_view>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

auto site_of(const std::string& topic, std::string_view condition) {
  return plan_with("site: {id: alder_bend, local_time: UTC}\nplaces: {outdoors: {temperature: {topic: " + topic +
                       R"(, unit: degC}}}
gear:
  tire: {kind: tire, place: outdoors, pressure: by_hand, filled: {pressure: 52 psi, temperature: 15 degC, date: 2026-12-01}}
rules_from: [rules.yaml]
)",
                   "rules: {r: {applies_to: {kind: tire}, raise_when: \"" + std::string(condition) +
                       "\", off_delay: 1 h, message: m}}\n");
}

// Twelve hours behind the one and twenty behind the other; where it stays, twenty in all.
TEST(NewThermometer, BeginsTheWindowsOfWhatRestsOnIt) {
  const auto mail = together({hourly("wall", "2026-12-02T00:00:00Z", 12, [](int) { return -10; }),
                              hourly("shade", "2026-12-02T12:00:00Z", 40, [](int) { return -10; })});
  const auto stays = hourly("wall", "2026-12-02T00:00:00Z", 52, [](int) { return -10; });
  for (const std::string_view condition :
       {"held_for(place.temperature < 0 degC, 20 h)", "held_for(temperature < 0 degC, 20 h)",
        "held_for(assumed_temperature < 0 degC, 20 h)", "held_for(pressure.expected_now < 49.5 psi, 20 h)"}) {
    const auto before = site_of("wall", condition), after = site_of("shade", condition);
    EXPECT_EQ(
        told(live_through_restart(before, mail, "2026-12-02T12:00:00Z", after), {EventKind::alarm_raised}).front(),
        "2026-12-03T08:00:00Z alarm_raised r")
        << condition;
    EXPECT_EQ(
        told(live_through_restart(before, stays, "2026-12-02T12:00:00Z", before), {EventKind::alarm_raised}).front(),
        "2026-12-02T20:00:00Z alarm_raised r")
        << condition;
  }
}

// What it ought to read, and how far it is from that, at each of its readings: of the thermometer by which that is
// known.
std::shared_ptr<const Plan> gauged_site(const std::string& thermometer, const std::string& place,
                                        std::string_view condition) {
  return plan_with(
      "site: {id: alder_bend, local_time: UTC}\nplaces:\n  outdoors: {temperature: {topic: wall, unit: degC}}\n"
      "  yard: {temperature: {topic: " +
          place + R"(, unit: degC}}
gear:
  tire:
    kind: tire
    filled: {pressure: 52 psi, temperature: 15 degC, date: 2026-12-01}
    pressure: {topic: gauge, unit: psi}
)" + thermometer +
          "rules_from: [rules.yaml]\n",
      "rules: {r: {applies_to: {kind: tire}, raise_when: \"" + std::string(condition) +
          "\", off_delay: 1 h, message: \"{mean(pressure.deviation, 30 h)}\"}}\n");
}

TEST(NewThermometer, BeginsTheWindowsOfWhatItsReadingsOughtToBe) {
  const auto at = [](std::string_view topic) {
    return hourly(topic, "2026-12-02T00:00:00Z", 52, [](int) { return -10; });
  };
  const auto mail = together({at("wall"), at("shade"), at("own"), at("other"),
                              hourly("gauge", "2026-12-02T00:00:00Z", 52, [](int) { return 40; })});
  const std::string in_yard = "    place: yard\n", own = "    temperature: {topic: own, unit: degC}\n",
                    other = "    temperature: {topic: other, unit: degC}\n";
  const std::string kept = "2026-12-02T20:00:00Z";
  struct Case {
    const char* what;
    std::string tire_before, place_before, tire_after, place_after;
    bool begins_anew;
  };
  const Case cases[] = {
      {"nothing is new", in_yard, "wall", in_yard, "wall", false},
      {"its place's", in_yard, "wall", in_yard, "shade", true},
      {"its place", in_yard, "shade", "    place: outdoors\n", "shade", true},
      {"its own", in_yard + own, "wall", in_yard + other, "wall", true},
      {"its place's beside its own", in_yard + own, "wall", in_yard + own, "shade", false},
  };
  for (const std::string_view condition :
       {"held_for(pressure.deviation < -5 psi, 20 h)", "held_for(pressure.expected < 49.5 psi, 20 h)"}) {
    for (const Case& c : cases) {
      const Lived lived =
          live_through_restart(gauged_site(c.tire_before, c.place_before, condition), mail, "2026-12-02T12:00:00Z",
                               gauged_site(c.tire_after, c.place_after, condition));
      const std::string raised = told(lived, {EventKind::alarm_raised}).front().substr(0, kept.size());
      // What stood when the site file was read counts from then on.
      const std::string from = c.begins_anew ? "2026-12-03T07:00:00Z" : kept;
      EXPECT_GE(raised, from) << condition << ": " << c.what;
      EXPECT_LE(raised, c.begins_anew ? "2026-12-03T08:00:00Z" : kept) << condition << ": " << c.what;
    }
  }
}

// The text that tells it does not mix the two either: 13 psi too little by the wall's sun, 6.2 psi by the shade, and an
// hour in which the last reading by the wall stood.
TEST(NewThermometer, BeginsTheWindowsOfTexts) {
  const auto mail = together({hourly("wall", "2026-12-02T00:00:00Z", 52, [](int) { return 20; }),
                              hourly("shade", "2026-12-02T00:00:00Z", 52, [](int) { return -10; }),
                              hourly("gauge", "2026-12-02T00:00:00Z", 52, [](int i) { return 40 + i % 2 * 0.1; })});
  const std::string_view condition = "held_for(pressure.deviation < -5 psi, 20 h)";
  const Lived lived =
      live_through_restart(gauged_site("    place: yard\n", "wall", condition), mail, "2026-12-02T12:00:00Z",
                           gauged_site("    place: yard\n", "shade", condition));
  const auto raised = std::ranges::find(lived.events, EventKind::alarm_raised, &Event::kind);
  ASSERT_NE(raised, lived.events.end());
  EXPECT_EQ(raised->message, "-0.45 bar");
}

}  // namespace
}  // namespace overwinter
