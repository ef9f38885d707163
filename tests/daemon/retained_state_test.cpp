// The retained topics: payloads in display units, their rate, what is emptied, what a site's templates say.
#include "daemon/retained_state.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>

#include "daemon/self_description.h"
#include "tests/daemon/household.h"

namespace overwinter {
namespace {

constexpr std::string_view retained_rules = R"(
rules:
  hatch_open: {applies_to: {gear: hatch}, raise_when: open, priority: high, title: "{name} is open", message: Shut it.,
    consequence: Mice., response: Shut and latch it., respond_within: 3 h, off_delay: 1 s}
  camper_cold: {applies_to: {place: camper}, raise_when: temperature < 0 degC, clear_when: temperature > 2 degC,
    priority: low, message: Cold.}
  leaks: {applies_to: {kind: tire}, raise_when: verdict == "leaking" or time_until_minimum < 1 d, message: Leaks., off_delay: 1 s}
reminders:
  look_around: {every: 7 d, message: Look around., steps: [Walk., Look.], look: [Roof.], safety: Stay off the roof.}
)";

std::string retained_site(std::string_view units, std::string_view more = "") {
  return R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, display_units: )" +
         std::string(units) + R"(}
season: {lay_up: 2026-12-01}
places:
  outdoors:
    temperature: {topic: yard, unit: degC}
    humidity: {topic: yard_humidity, unit: "%"}
  camper:
    temperature: {topic: camper, unit: degC}
gear:
  tire:
    {kind: tire, place: outdoors, filled: {pressure: 350 kPa, temperature: 15 degC, date: 2026-11-24}, pressure: {topic: tire, unit: kPa}}
  spare: {kind: tire, place: outdoors, filled: {pressure: 350 kPa, temperature: 15 degC, date: 2026-11-24}}
  hatch: {kind: door_or_vent, place: camper, open: {topic: hatch}}
rules_from: [rules.yaml]
)" + std::string(more);
}

struct Watched {
  std::shared_ptr<const Plan> plan;
  Household house;
  RetainedState state;
  std::map<std::string, std::string> broker;  // topic without the root -> payload

  explicit Watched(std::string_view units = "us", std::string_view more = "")
      : plan(plan_of_files(retained_site(units, more), retained_rules)), house(plan, "12-01 16:00"), state(plan) {
    keep(state.whole(house.world(), utc("12-01 16:00")));
  }
  std::size_t keep(const std::vector<Publication>& publications) {
    for (const Publication& p : publications) {
      EXPECT_TRUE(p.retained);
      const std::string root = plan->topic_root + "/";
      broker[p.topic.starts_with(root) ? p.topic.substr(root.size()) : p.topic] = p.payload;
    }
    return publications.size();
  }
  std::size_t hear(std::string_view at, const std::string& topic, const std::string& payload) {
    house.hear(at, topic, payload);
    return keep(state.changes(house.world(), utc(at)));
  }
};

TEST(RetainedStateTest, AMeasuredQuantityHasValueUnitTimeAndQuality) {
  Watched w;
  w.hear("12-01 17:00", "camper", "-3.1");
  EXPECT_EQ(w.broker["place/camper/temperature"],
            R"({"value":26,"unit":"°F","at":"2026-12-01T17:00:00Z","quality":"good"})");
  w.hear("12-01 17:00", "hatch", "open");
  EXPECT_EQ(w.broker["gear/hatch/open"], R"({"value":true,"at":"2026-12-01T17:00:00Z","quality":"good"})");
  Watched metric("metric");
  metric.hear("12-01 17:00", "camper", "-3.1");
  EXPECT_EQ(metric.broker["place/camper/temperature"],
            R"({"value":-3.1,"unit":"°C","at":"2026-12-01T17:00:00Z","quality":"good"})");
}

TEST(RetainedStateTest, WhatIsUnknownIsNullWithItsUnitAndTheTimeItWasLastKnown) {
  Watched w;
  EXPECT_EQ(w.broker["place/camper/temperature"], R"({"value":null,"unit":"°F","quality":"bad"})");
  w.hear("12-01 17:00", "camper", "-3.1");
  w.house.wait_until("12-01 23:30");  // silent for 6 h
  w.keep(w.state.changes(w.house.world(), utc("12-01 23:30")));
  EXPECT_EQ(w.broker["place/camper/temperature"],
            R"({"value":null,"unit":"°F","at":"2026-12-01T17:00:00Z","quality":"bad"})");
}

TEST(RetainedStateTest, WhereAModelKnowsWhatToExpectItStandsBesideWithItsUncertainty) {
  Watched w;
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
TEST(RetainedStateTest, TheFirstReadingOfASensorIsSaidAtOnce) {
  Watched w;
  w.hear("12-01 17:00", "yard", "-11");
  EXPECT_EQ(w.broker["gear/tire/pressure"], R"({"value":null,"unit":"psi","quality":"bad"})");
  w.hear("12-01 17:00:05", "tire", "300");
  EXPECT_TRUE(w.broker["gear/tire/pressure"].starts_with(R"({"value":43.5,)")) << w.broker["gear/tire/pressure"];
}

TEST(RetainedStateTest, WordsStandAsConditionsWriteThemAndDurationsInOneUnit) {
  Watched w;
  EXPECT_TRUE(w.broker.contains("gear/tire/verdict"));
  EXPECT_NE(w.broker["gear/tire/time_until_minimum"].find("\"unit\":\"h\""), std::string::npos);
  w.hear("12-01 17:00", "yard", "-11");
  w.hear("12-01 17:00:30", "tire", "300");
  EXPECT_EQ(w.broker["gear/tire/verdict"].find("\"unit\""), std::string::npos);
  for (const auto& [topic, payload] : w.broker) EXPECT_EQ(payload.find("nan"), std::string::npos) << topic;
}

// Saturated over water at 0 degC: 611.2 Pa (ASHRAE Handbook Fundamentals 2017, chapter 1); 37.6 % of it are 230 Pa.
TEST(RetainedStateTest, APressureOfVaporKeepsItsDigits) {
  for (const auto& [units, value] :
       {std::pair{"us", R"({"value":0.033,"unit":"psi",)"}, std::pair{"metric", R"({"value":0.23,"unit":"kPa",)"}}) {
    Watched w(units, "publish: [outdoors.vapor_pressure]\n");
    w.hear("12-01 17:00", "yard_humidity", "37.6");
    w.hear("12-01 17:02", "yard", "0");
    EXPECT_TRUE(w.broker["place/outdoors/vapor_pressure"].starts_with(value))
        << w.broker["place/outdoors/vapor_pressure"];
  }
}

TEST(RetainedStateTest, GearWithoutASourceHasATopicOnceSomebodyRecordedIt) {
  Watched w;
  EXPECT_EQ(w.broker["gear/spare/pressure"], "");
  w.house.say("12-01 17:00", "record", R"({"gear":"spare","quantity":"pressure","value":"48 psi"})");
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:00")));
  EXPECT_TRUE(w.broker["gear/spare/pressure"].starts_with(R"({"value":48.0,"unit":"psi")"))
      << w.broker["gear/spare/pressure"];
}

TEST(RetainedStateTest, AQuantityIsPublishedWhenItChangesAndAtMostOnceAMinute) {
  Watched w("metric");
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
TEST(RetainedStateTest, TheTimeOfAReadingThatStaysTheSameIsSaidOnceAnHour) {
  Watched w("metric");
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

TEST(RetainedStateTest, AHandReadingOfTheSameValueIsSaidWithItsOwnTime) {
  Watched w("metric");
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
TEST(RetainedStateTest, AfterACommandAQuantityWaitsForASecondAtMost) {
  Watched w("metric");
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

TEST(RetainedStateTest, AClockThatWasSetBackHoldsNothingBack) {
  Watched w("metric");
  EXPECT_EQ(w.hear("12-01 17:00", "camper", "3.1"), 1U);
  w.house.hear("12-01 17:01", "camper", "4.1");
  EXPECT_EQ(w.keep(w.state.changes(w.house.world(), utc("12-01 09:00"))), 1U);
}

TEST(RetainedStateTest, AnAlarmStandsAtOnceWithAllItsKeysAndIsEmptiedWhenItIsNormal) {
  Watched w;
  EXPECT_EQ(w.broker["alarm/hatch_open/hatch"], "");
  w.hear("12-01 17:00", "hatch", "open");
  EXPECT_EQ(w.broker["alarm/hatch_open/hatch"],
            R"({"state":"unacknowledged","id":"hatch_open/hatch/2026-12-01T17:00:00Z","priority":"high",)"
            R"("since":"2026-12-01T17:00:00Z","title":"Hatch is open","message":"Shut it.","consequence":"Mice.",)"
            R"("response":"Shut and latch it.","respond_by":"2026-12-01T20:00:00Z","evidence":"fresh"})");
  w.house.say("12-01 17:01", "acknowledge", R"({"rule":"hatch_open","gear":"hatch"})");
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:01")));
  EXPECT_TRUE(w.broker["alarm/hatch_open/hatch"].starts_with(R"({"state":"acknowledged")"));
  w.hear("12-01 17:02", "hatch", "shut");
  w.house.wait_until("12-01 17:03");
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:03")));
  EXPECT_EQ(w.broker["alarm/hatch_open/hatch"], "");
}

TEST(RetainedStateTest, EvidenceIsStaleSinceTheSensorFellSilent) {
  Watched w;
  w.hear("12-01 17:00", "camper", "-3");
  w.hear("12-01 17:10", "camper", "-3");
  EXPECT_NE(w.broker["alarm/camper_cold/camper"].find(R"("evidence":"fresh"})"), std::string::npos);
  w.house.wait_until("12-02 01:00");
  w.keep(w.state.changes(w.house.world(), utc("12-02 01:00")));
  EXPECT_NE(w.broker["alarm/camper_cold/camper"].find(R"("evidence":"stale","evidence_since":"2026-12-01T23:10:00Z"})"),
            std::string::npos)
      << w.broker["alarm/camper_cold/camper"];
}

TEST(RetainedStateTest, AShelvedAlarmSaysUntilWhen) {
  Watched w;
  w.house.say("12-01 17:00", "shelve", R"({"rule":"hatch_open","gear":"hatch","for":"2 h"})");
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:00")));
  EXPECT_EQ(w.broker["alarm/hatch_open/hatch"],
            R"({"state":"shelved","priority":"high","consequence":"Mice.","response":"Shut and latch it.",)"
            R"("shelved_until":"2026-12-01T19:00:00Z"})");
}

TEST(RetainedStateTest, AShelvedAlarmThatIsOverHasNoWordsOfItsLastTime) {
  Watched w;
  w.hear("12-01 17:00", "hatch", "open");
  w.house.say("12-01 17:01", "acknowledge", R"({"rule":"hatch_open","gear":"hatch"})");
  w.house.say("12-01 17:02", "shelve", R"({"rule":"hatch_open","gear":"hatch","for":"2 h"})");
  w.hear("12-01 17:03", "hatch", "shut");
  w.house.wait_until("12-01 17:04");
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:04")));
  const std::string& payload = w.broker["alarm/hatch_open/hatch"];
  EXPECT_TRUE(payload.starts_with(R"({"state":"shelved","priority":"high","consequence")")) << payload;
}

// out_of_service is a state of an alarm (after ISA-18.2, from memory): a person sees what is watched by nobody.
TEST(RetainedStateTest, EachAlarmOfGearThatIsOutOfServiceSaysSoUntilItIsPutBack) {
  Watched w;
  w.hear("12-01 17:00", "hatch", "open");
  w.house.say("12-01 17:01", "shelve", R"({"rule":"hatch_open","gear":"hatch","for":"2 d"})");
  w.house.say("12-01 17:02", "take_out", R"({"gear":"hatch","at":"2026-12-01T16:30:00Z","why":"at the shop"})");
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:02")));
  EXPECT_EQ(w.broker["alarm/hatch_open/hatch"],
            R"({"state":"out_of_service","priority":"high","since":"2026-12-01T16:30:00Z",)"
            R"("title":"Hatch is out of service",)"
            R"("message":"Out of service since Tue Dec 1: at the shop. Nothing is said of it until put_back."})");
  EXPECT_EQ(w.broker["alarm/camper_cold/camper"], "") << "other gear is watched";
  w.house.restart();
  w.house.hear("12-01 18:00", "hatch", "open");
  w.keep(w.state.changes(w.house.world(), utc("12-01 18:00")));
  EXPECT_TRUE(w.broker["alarm/hatch_open/hatch"].starts_with(
      R"({"state":"out_of_service","priority":"high","since":"2026-12-01T16:30:00Z")"))
      << w.broker["alarm/hatch_open/hatch"];
  w.house.say("12-01 19:00", "unshelve", R"({"rule":"hatch_open","gear":"hatch"})");
  w.house.say("12-01 19:00", "put_back", R"({"gear":"hatch"})");
  w.keep(w.state.changes(w.house.world(), utc("12-01 19:00")));
  EXPECT_TRUE(w.broker["alarm/hatch_open/hatch"].starts_with(R"({"state":"unacknowledged")")) << "it is open";
  w.house.say("12-01 20:00", "take_out", R"({"gear":"hatch"})");
  w.hear("12-01 20:01", "hatch", "shut");
  EXPECT_TRUE(w.broker["alarm/hatch_open/hatch"].starts_with(R"({"state":"out_of_service")"));
  w.house.say("12-01 20:02", "put_back", R"({"gear":"hatch"})");
  w.keep(w.state.changes(w.house.world(), utc("12-01 20:02")));
  EXPECT_EQ(w.broker["alarm/hatch_open/hatch"], "");
}

TEST(RetainedStateTest, TheSiteOutOfServiceSaysThatItsGearIsWatched) {
  const auto plan = plan_of_files(retained_site("us"), R"(
rules:
  seen: {applies_to: site, raise_when: camper.temperature < -40 degC, message: Too cold to be true.}
)");
  Household house(plan, "12-01 16:00");
  house.say("12-01 17:00", "take_out", R"({"gear":"alder_bend"})");
  const auto held = RetainedState(plan).whole(house.world(), utc("12-01 17:00"));
  const auto seen = std::ranges::find(held, "overwinter/alder_bend/alarm/seen/alder_bend", &Publication::topic);
  ASSERT_NE(seen, held.end());
  EXPECT_EQ(seen->payload,
            R"({"state":"out_of_service","priority":"medium","since":"2026-12-01T17:00:00Z",)"
            R"("title":"Alder Bend itself is out of service","message":"Out of service since Tue Dec 1. )"
            R"(Nothing is asked of the site itself until put_back; its places and gear are watched as before."})");
}

TEST(RetainedStateTest, AReminderTellsItsStateAndItsWork) {
  Watched w;
  EXPECT_EQ(
      w.broker["reminder/look_around/alder_bend"],
      R"({"state":"waiting","due":"2026-12-08T14:00:00Z","message":"Look around.","steps":["Walk.","Look."],"look":["Roof."],)"
      R"("safety":"Stay off the roof."})");
  w.house.wait_until("12-08 14:00");
  w.keep(w.state.changes(w.house.world(), utc("12-08 14:00")));
  EXPECT_TRUE(w.broker["reminder/look_around/alder_bend"].starts_with(
      R"({"state":"due","due":"2026-12-08T14:00:00Z","message":"Look around.","steps":)"));
  w.house.wait_until("12-10 14:00");
  w.keep(w.state.changes(w.house.world(), utc("12-10 14:00")));
  EXPECT_TRUE(w.broker["reminder/look_around/alder_bend"].starts_with(R"({"state":"overdue")"));
}

// What it will say holds values that are still to come, and afterwards those of its last time.
TEST(RetainedStateTest, AReminderThatWaitsTellsItsWorkWithoutValues) {
  const auto plan = plan_of_files(retained_site("us"), R"(
reminders:
  warm_it: {applies_to: {place: camper}, due_when: temperature < 0 degC, message: "Warm {name}, 12.5 min at least: {temperature}. Look."}
  look_in: {applies_to: {place: camper}, due_when: temperature < 0 degC, message: "It is {temperature}. Look in."}
)");
  Household house(plan, "12-01 16:00");
  RetainedState state(plan);
  std::map<std::string, std::string> broker;
  const auto keep = [&](const std::vector<Publication>& publications) {
    for (const Publication& p : publications) {
      if (p.topic.starts_with(plan->topic_root + "/reminder/"))
        broker[p.topic.substr(plan->topic_root.size() + 1)] = p.payload;
    }
  };
  const std::string waits = R"({"state":"waiting","message":"Warm camper, 12.5 min at least."})";
  keep(state.whole(house.world(), utc("12-01 16:00")));
  EXPECT_EQ(broker["reminder/warm_it/camper"], waits);
  EXPECT_EQ(broker["reminder/look_in/camper"], R"({"state":"waiting","message":"Look in."})");
  house.hear("12-01 17:00", "camper", "-5");
  keep(state.changes(house.world(), utc("12-01 17:00")));
  EXPECT_NE(broker["reminder/warm_it/camper"].find(R"("message":"Warm camper, 12.5 min at least: 23 °F. Look.")"),
            std::string::npos)
      << broker["reminder/warm_it/camper"];
  house.hear("12-01 18:00", "camper", "5");
  house.say("12-01 18:01", "done", R"({"reminder":"warm_it"})");
  keep(state.changes(house.world(), utc("12-01 18:01")));
  EXPECT_EQ(broker["reminder/warm_it/camper"], waits);
}

// Else it stands among what is due next, for a day on which nobody will be asked for it.
TEST(RetainedStateTest, WorkThatRestsHasNoDayOnWhichItIsDue) {
  const auto plan = plan_of_files(retained_site("us"), R"(
reminders:
  roll: {every: 30 d, season: laid_up, message: Roll the camper.}
  oil: {applies_to: {gear: hatch}, every: 30 d, message: Oil it.}
)");
  Household house(plan, "12-01 16:00");
  RetainedState state(plan);
  const auto held = [&](std::string_view at, const std::string& topic) {
    for (const Publication& p : state.whole(house.world(), utc(at))) {
      if (p.topic == plan->topic_root + topic) return p.payload;
    }
    return std::string("none");
  };
  const std::string roll = "/reminder/roll/alder_bend", oil = "/reminder/oil/hatch";
  EXPECT_EQ(held("12-01 16:00", roll),
            R"({"state":"waiting","due":"2026-12-31T14:00:00Z","message":"Roll the camper."})");
  house.say("12-02 16:00", "season", R"({"return_to_service":"2026-12-02"})");
  EXPECT_EQ(held("12-02 16:00", roll), R"({"state":"waiting","message":"Roll the camper."})");
  EXPECT_EQ(held("12-02 16:00", oil), R"({"state":"waiting","due":"2026-12-31T14:00:00Z","message":"Oil it."})");
  house.say("12-03 16:00", "take_out", R"({"gear":"hatch"})");
  EXPECT_EQ(held("12-03 16:00", oil), R"({"state":"waiting","message":"Oil it."})");
  house.say("12-04 16:00", "put_back", R"({"gear":"hatch"})");
  EXPECT_EQ(held("12-04 16:00", oil), R"({"state":"waiting","due":"2026-12-31T14:00:00Z","message":"Oil it."})");
  house.say("12-05 16:00", "season", R"({"lay_up":"2026-12-05"})");
  EXPECT_EQ(held("12-05 16:00", roll),
            R"({"state":"waiting","due":"2027-01-04T14:00:00Z","message":"Roll the camper."})");
}

TEST(RetainedStateTest, AfterAConnectAllOfItIsSaidAgain) {
  Watched w;
  w.hear("12-01 17:00", "hatch", "open");
  const auto before = w.broker;
  w.broker.clear();
  w.keep(w.state.whole(w.house.world(), utc("12-01 17:00")));
  EXPECT_EQ(w.broker, before);
  EXPECT_EQ(w.keep(w.state.changes(w.house.world(), utc("12-01 17:00"))), 0U);
}

TEST(RetainedStateTest, TopicsThatThePlanNoLongerHasAreObsolete) {
  Watched w("us", R"(
self_description: [{for: alarms, topic: "found/{unique}", message: "{}"}]
)");
  const std::string root = "overwinter/alder_bend/";
  EXPECT_EQ(w.state.obsolete({root + "gear/tire/pressure", root + "gear/old/pressure",
                              "found/alder_bend_alarm_hatch_open_hatch", "found/alder_bend_alarm_old_hatch"}),
            (std::vector<std::string>{root + "gear/old/pressure", "found/alder_bend_alarm_old_hatch"}));
}

TEST(SelfDescriptionTest, TemplatesAreFilledForEachTopicOfTheirSort) {
  Watched w("us", R"(
self_description:
  - for: quantities
    topic: "found/{unique}/config"
    message: '{"name":"{gear_name} {quantity_name}","from":"{topic}","unit":"{unit}","as":"{{ json.value }}","{other}":{}}'
  - {for: alarms, topic: "found/{rule}/{gear}", message: "{rule_name}, {priority}, {site_name}"}
  - {for: reminders, topic: "found/{reminder}/{gear}", message: "{reminder_name} at {gear_name}, {topic_root}/do/done"}
)");
  EXPECT_EQ(w.broker["found/alder_bend_place_camper_temperature/config"],
            R"({"name":"camper temperature","from":"overwinter/alder_bend/place/camper/temperature","unit":"°F",)"
            R"("as":"{{ json.value }}","{other}":{}})");
  EXPECT_EQ(w.broker["found/hatch_open/hatch"], "hatch open, high, Alder Bend");
  EXPECT_EQ(w.broker["found/look_around/alder_bend"], "look around at Alder Bend, overwinter/alder_bend/do/done");
}

TEST(SelfDescriptionTest, NamesAreEscapedInAJsonMessageAndNowhereElse) {
  std::string named = retained_site("us", R"(
self_description:
  - {for: alarms, topic: "a/{gear}/{rule}", message: '{"n":"{gear_name}"}'}
  - {for: alarms, topic: "b/{gear}/{rule}", message: "{gear_name} {{gear_name}}"}
)");
  named.replace(named.find("hatch: {"), 8, "hatch: {name: 'The \"big\" hatch', ");
  std::map<std::string, std::string> said;
  for (const Publication& p : self_description(*plan_of_files(named, retained_rules))) said[p.topic] = p.payload;
  EXPECT_EQ(said["a/hatch/hatch_open"], R"({"n":"The \"big\" hatch"})");
  EXPECT_EQ(said["b/hatch/hatch_open"], R"(The "big" hatch {{gear_name}})");
}

}  // namespace
}  // namespace overwinter
