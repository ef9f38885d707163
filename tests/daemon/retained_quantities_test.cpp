// The retained topics of quantities: payloads in display units, and their rate.
#include <gtest/gtest.h>

#include "tests/daemon/watched_site.h"

namespace overwinter {
namespace {

TEST(RetainedQuantities, AMeasuredQuantityHasValueUnitTimeAndQuality) {
  WatchedSite w;
  w.hear("12-01 17:00", "camper", "-3.1");
  EXPECT_EQ(w.broker["place/camper/temperature"],
            R"({"value":26,"unit":"°F","at":"2026-12-01T17:00:00Z","quality":"good"})");
  w.hear("12-01 17:00", "hatch", "open");
  EXPECT_EQ(w.broker["gear/hatch/open"], R"({"value":true,"at":"2026-12-01T17:00:00Z","quality":"good"})");
  WatchedSite metric("metric");
  metric.hear("12-01 17:00", "camper", "-3.1");
  EXPECT_EQ(metric.broker["place/camper/temperature"],
            R"({"value":-3.1,"unit":"°C","at":"2026-12-01T17:00:00Z","quality":"good"})");
}

TEST(RetainedQuantities, WhatIsUnknownIsNullWithItsUnitAndTheTimeItWasLastKnown) {
  WatchedSite w;
  EXPECT_EQ(w.broker["place/camper/temperature"], R"({"value":null,"unit":"°F","quality":"bad"})");
  w.hear("12-01 17:00", "camper", "-3.1");
  w.house.wait_until("12-01 23:30");  // silent for 6 h
  w.keep(w.state.changes(w.house.world(), utc("12-01 23:30")));
  EXPECT_EQ(w.broker["place/camper/temperature"],
            R"({"value":null,"unit":"°F","at":"2026-12-01T17:00:00Z","quality":"bad"})");
}

TEST(RetainedQuantities, WhereAModelKnowsWhatToExpectItStandsBesideWithItsUncertainty) {
  WatchedSite w;
  w.hear("12-01 17:00", "yard", "-11");
  w.hear("12-01 17:02", "tire", "300");
  const std::string& payload = w.broker["gear/tire/pressure"];
  const SlotState& s = w.house.world().board[w.plan->find_slot(w.plan->find_entity("tire"), "pressure")];
  EXPECT_TRUE(payload.starts_with(R"({"value":43.5,"unit":"psi","at":"2026-12-01T17:02:00Z","quality":"good",)"))
      << payload;
  // 1 psi = 6894.757 Pa (NIST SP 811); rounded as on screens.
  const std::string pair =
      print_with_uncertainty(s.expected.value, s.expected.plus_minus,
                             w.plan->slots[w.plan->find_slot(w.plan->find_entity("tire"), "pressure")].type,
                             Shown::tire_pressure, DisplayUnits::us);
  const std::string value = pair.substr(0, pair.find(' '));
  const std::string rest = pair.substr(pair.find("± ") + 3);
  const std::string both = "{\"value\":" + value + ",\"plus_minus\":" + rest.substr(0, rest.find(' ')) + "}";
  EXPECT_NE(payload.find("\"expected\":" + both + ",\"expected_now\":" + both), std::string::npos) << payload << both;
  EXPECT_TRUE(payload.ends_with(fmt::format(",\"deviation\":{:.1f}}}", (s.value - s.expected.value) / 6894.757)))
      << payload;
}

// Else the weather, heard first, would publish what the tire should read, and its reading wait a minute behind that.
TEST(RetainedQuantities, TheFirstReadingOfASensorIsSaidAtOnce) {
  WatchedSite w;
  w.hear("12-01 17:00", "yard", "-11");
  EXPECT_EQ(w.broker["gear/tire/pressure"], R"({"value":null,"unit":"psi","quality":"bad"})");
  w.hear("12-01 17:00:05", "tire", "300");
  EXPECT_TRUE(w.broker["gear/tire/pressure"].starts_with(R"({"value":43.5,)")) << w.broker["gear/tire/pressure"];
}

TEST(RetainedQuantities, WordsStandAsConditionsWriteThemAndDurationsInOneUnit) {
  WatchedSite w;
  EXPECT_TRUE(w.broker.contains("gear/tire/verdict"));
  EXPECT_NE(w.broker["gear/tire/time_until_minimum"].find("\"unit\":\"h\""), std::string::npos);
  w.hear("12-01 17:00", "yard", "-11");
  w.hear("12-01 17:00:30", "tire", "300");
  EXPECT_EQ(w.broker["gear/tire/verdict"].find("\"unit\""), std::string::npos);
  for (const auto& [topic, payload] : w.broker) EXPECT_EQ(payload.find("nan"), std::string::npos) << topic;
}

// Saturated over water at 0 degC: 611.2 Pa (ASHRAE Handbook Fundamentals 2017, chapter 1); 37.6 % of it are 230 Pa.
TEST(RetainedQuantities, APressureOfVaporKeepsItsDigits) {
  for (const auto& [units, value] :
       {std::pair{"us", R"({"value":0.033,"unit":"psi",)"}, std::pair{"metric", R"({"value":0.23,"unit":"kPa",)"}}) {
    WatchedSite w(units, "publish: [outdoors.vapor_pressure]\n");
    w.hear("12-01 17:00", "yard_humidity", "37.6");
    w.hear("12-01 17:02", "yard", "0");
    EXPECT_TRUE(w.broker["place/outdoors/vapor_pressure"].starts_with(value))
        << w.broker["place/outdoors/vapor_pressure"];
  }
}

TEST(RetainedQuantities, GearWithoutASourceHasATopicOnceSomebodyRecordedIt) {
  WatchedSite w;
  EXPECT_EQ(w.broker["gear/spare/pressure"], "");
  w.house.say("12-01 17:00", "record", R"({"gear":"spare","quantity":"pressure","value":"48 psi"})");
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:00")));
  EXPECT_TRUE(w.broker["gear/spare/pressure"].starts_with(R"({"value":48.0,"unit":"psi")"))
      << w.broker["gear/spare/pressure"];
}

TEST(RetainedQuantities, AQuantityIsPublishedWhenItChangesAndAtMostOnceAMinute) {
  WatchedSite w("metric");
  EXPECT_EQ(w.hear("12-01 17:00", "camper", "3.1"), 1U);
  EXPECT_EQ(w.hear("12-01 17:05", "camper", "3.1"), 0U);   // no change
  EXPECT_EQ(w.hear("12-01 17:06", "camper", "3.13"), 0U);  // none that is shown
  EXPECT_EQ(w.hear("12-01 17:07", "camper", "3.2"), 1U);
  EXPECT_EQ(w.hear("12-01 17:07:30", "camper", "3.3"), 0U);
  EXPECT_EQ(w.state.next_deadline(), utc("12-01 17:08"));
  EXPECT_EQ(w.hear("12-01 17:07:40", "camper", "3.4"), 0U);
  EXPECT_EQ(w.keep(w.state.changes(w.house.world(), utc("12-01 17:08"))), 1U);
  EXPECT_NE(w.broker["place/camper/temperature"].find("\"value\":3.4,"), std::string::npos);
  EXPECT_EQ(w.state.next_deadline(), never);
  EXPECT_EQ(w.hear("12-01 17:08:10", "camper", "3.5"), 0U);
  EXPECT_EQ(w.hear("12-01 17:08:20", "camper", "3.4"), 0U);  // back again before it might leave
  EXPECT_EQ(w.state.next_deadline(), never);
}

// Else a sensor that speaks every ten minutes of steady cold looks like one that has been silent since yesterday.
TEST(RetainedQuantities, TheTimeOfAReadingThatStaysTheSameIsSaidOnceAnHour) {
  WatchedSite w("metric");
  const auto said_at = [&](const std::string& time) {
    return w.broker["place/camper/temperature"].find("\"at\":\"2026-12-01T" + time + ":00Z\"") != std::string::npos;
  };
  EXPECT_EQ(w.hear("12-01 17:00", "camper", "3.1"), 1U);
  for (const char* at : {"12-01 17:10", "12-01 17:30", "12-01 17:50"}) EXPECT_EQ(w.hear(at, "camper", "3.1"), 0U) << at;
  EXPECT_EQ(w.hear("12-01 18:00", "camper", "3.1"), 1U);
  EXPECT_TRUE(said_at("18:00")) << w.broker["place/camper/temperature"];
  EXPECT_EQ(w.hear("12-01 18:30", "camper", "3.11"), 0U) << "it differs, and reads the same";
  EXPECT_EQ(w.hear("12-01 19:10", "camper", "3.12"), 1U);
  EXPECT_TRUE(said_at("19:10")) << w.broker["place/camper/temperature"];
  EXPECT_EQ(w.hear("12-01 19:50", "camper", "3.12"), 0U);
  w.keep(w.state.whole(w.house.world(), utc("12-01 19:55")));
  EXPECT_EQ(w.hear("12-01 20:20", "camper", "3.12"), 0U) << "the connect said the time of 19:50";
  // Nothing came: nothing is said, and nobody wakes for it.
  EXPECT_EQ(w.state.next_deadline(), never);
  w.house.wait_until("12-01 23:00");
  EXPECT_EQ(w.keep(w.state.changes(w.house.world(), utc("12-01 23:00"))), 0U);
  EXPECT_EQ(w.state.next_deadline(), never);
}

TEST(RetainedQuantities, AHandReadingOfTheSameValueIsSaidWithItsOwnTime) {
  WatchedSite w("metric");
  const auto record = [&](std::string_view at) {
    w.house.say(at, "record", R"({"gear":"spare","quantity":"pressure","value":"330 kPa"})");
    w.keep(w.state.changes(w.house.world(), utc(at), w.plan->find_entity("spare")));
    return w.broker["gear/spare/pressure"];
  };
  EXPECT_NE(record("12-01 17:00").find(R"("at":"2026-12-01T17:00:00Z")"), std::string::npos);
  EXPECT_NE(record("12-01 17:10").find(R"("at":"2026-12-01T17:10:00Z")"), std::string::npos)
      << w.broker["gear/spare/pressure"];
}

// Who records a reading asks for the status next: a second one must not show the first for a minute.
TEST(RetainedQuantities, AfterACommandAQuantityWaitsForASecondAtMost) {
  WatchedSite w("metric");
  const auto record = [&](std::string_view at, const std::string& value) {
    w.house.say(at, "record", R"({"gear":"spare","quantity":"pressure","value":")" + value + "\"}");
    return w.keep(w.state.changes(w.house.world(), utc(at), w.house.world().plan->find_entity("spare")));
  };
  EXPECT_GT(record("12-01 17:00", "330 kPa"), 0U);
  EXPECT_GT(record("12-01 17:00:20", "340 kPa"), 0U);
  EXPECT_TRUE(w.broker["gear/spare/pressure"].starts_with(R"({"value":3.40,"unit":"bar")"))
      << w.broker["gear/spare/pressure"];
  // A flood of commands is no flood of quantities: once a second, and the last one is said when that is over.
  record("12-01 17:00:20", "350 kPa");
  EXPECT_TRUE(w.broker["gear/spare/pressure"].starts_with(R"({"value":3.40,"unit":"bar")"));
  EXPECT_EQ(w.state.next_deadline(), utc("12-01 17:00:21"));
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:00:21")));
  EXPECT_TRUE(w.broker["gear/spare/pressure"].starts_with(R"({"value":3.50,"unit":"bar")"));
  w.hear("12-01 17:01", "camper", "3.1");
  EXPECT_EQ(w.hear("12-01 17:01:30", "camper", "3.3"), 0U);
  EXPECT_GT(record("12-01 17:01:40", "335 kPa"), 0U);
  EXPECT_NE(w.broker["place/camper/temperature"].find("\"value\":3.1,"), std::string::npos) << "others wait";
  EXPECT_EQ(w.hear("12-01 17:02:10", "camper", "3.5"), 1U);
}

TEST(RetainedQuantities, AClockThatWasSetBackHoldsNothingBack) {
  WatchedSite w("metric");
  EXPECT_EQ(w.hear("12-01 17:00", "camper", "3.1"), 1U);
  w.house.hear("12-01 17:01", "camper", "4.1");
  EXPECT_EQ(w.keep(w.state.changes(w.house.world(), utc("12-01 09:00"))), 1U);
}

}  // namespace
}  // namespace overwinter
