// A rise that no work explains is asked about in the digest.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include "tests/rules/engine/filled_tire.h"
#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

// 9 psi at -5 degC are 9.8 psi at 20 degC, at which readings are compared (ideal gas).
TEST(Act, IsAskedForInTheDigestWhenThePressureRose) {
  const auto readings = {gauged_by_hand("2026-11-03T08:00:00Z", "46 psi"),
                         gauged_by_hand("2026-11-05T08:00:00Z", "55 psi")};
  const auto asked = digests(live(plan_with(tire_site(of_october)), together({yard(), readings})));
  ASSERT_EQ(asked.size(), 2U);
  EXPECT_NE(asked[1].find("Left tire: its pressure rose by 9.8 psi and no act says why. Was it pumped up? Then record "
                          "it: filled."),
            std::string::npos)
      << asked[1];
  EXPECT_EQ(asked[1].find(".."), std::string::npos) << asked[1];
}

TEST(Act, ExplainsARiseSoThatNothingIsAsked) {
  const auto mail =
      together({yard(),
                {gauged_by_hand("2026-11-03T08:00:00Z", "46 psi"),
                 command("2026-11-05T07:00:00Z", "act", R"({"gear":"left_tire","act":"filled","pressure":"55 psi"})"),
                 gauged_by_hand("2026-11-05T08:00:00Z", "55 psi")}});
  for (const std::string& text : digests(live(plan_with(tire_site(of_october)), mail))) {
    EXPECT_EQ(text.find("rose"), std::string::npos) << text;
  }
}

// Gauged low, pumped up, gauged again, and written down last: on the spot, or in the evening from a note.
TEST(Act, ExplainsARiseAlsoWhenItIsToldAfterIt) {
  const auto last_digest = [](const std::string& filled_at, const std::vector<Mail>& more = {}) {
    const std::string act = R"({"gear":"left_tire","act":"filled","pressure":"55 psi")" + filled_at + "}";
    const auto mail =
        together({yard(),
                  {gauged_by_hand("2026-11-05T08:00:00Z", "46 psi"), gauged_by_hand("2026-11-05T08:40:00Z", "55 psi"),
                   command("2026-11-06T02:00:00Z", "act", act)},
                  more});
    const auto plan = plan_with(tire_site(of_october));
    const auto texts = digests(live(plan, mail));
    EXPECT_EQ(digests(live_through_restart(plan, mail, "2026-11-05T12:00:00Z", plan)), texts);
    return texts.empty() ? "no digest" : texts.back();
  };
  EXPECT_EQ(last_digest("").find("rose"), std::string::npos) << last_digest("");
  const std::string noted = R"(,"at":"2026-11-05T08:30:00Z")";
  EXPECT_EQ(last_digest(noted).find("rose"), std::string::npos) << last_digest(noted);
  const std::string rounded = R"(,"at":"2026-11-05T07:45:00Z")";
  EXPECT_EQ(last_digest(rounded).find("rose"), std::string::npos) << last_digest(rounded);
  const std::string of_last_week = R"(,"at":"2026-10-29T08:00:00Z")";
  EXPECT_NE(last_digest(of_last_week).find("rose"), std::string::npos) << last_digest(of_last_week);
  const std::string later = last_digest(
      "", {gauged_by_hand("2026-11-06T08:00:00Z", "55 psi"), gauged_by_hand("2026-11-07T08:00:00Z", "64 psi")});
  EXPECT_NE(later.find("rose by 9.8 psi"), std::string::npos) << later;
}

TEST(Act, OfChargingToldAfterTheChargeRoseLeavesNothingToAsk) {
  const auto plan = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  battery: {kind: lead_acid_battery, place: outdoors, capacity: 85 Ah, voltage: by_hand}
)");
  const auto read = [](std::string_view at, std::string_view volts) {
    return command(at, "record", fmt::format(R"({{"gear":"battery","quantity":"voltage","value":"{}"}})", volts));
  };
  const std::vector<Mail> risen{read("2026-11-03T08:00:00Z", "12.2 V"), read("2026-11-05T08:00:00Z", "12.6 V")};
  const auto charged =
      command("2026-11-06T02:00:00Z", "act", R"({"gear":"battery","act":"charged","at":"2026-11-04T20:00:00Z"})");
  const std::string asked = digests(live(plan, together({yard(), risen}))).back();
  EXPECT_NE(asked.find("Battery: its charge rose by"), std::string::npos) << asked;
  const std::string told = digests(live(plan, together({yard(), risen, {charged}}))).back();
  EXPECT_EQ(told.find("rose"), std::string::npos) << told;
}

}  // namespace
}  // namespace overwinter
