// The retained topics of alarms and reminders: their states and words.
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/daemon/watched_site.h"

namespace overwinter {
namespace {

TEST(RetainedAlarms, AnAlarmStandsAtOnceWithAllItsKeysAndIsEmptiedWhenItIsNormal) {
  WatchedSite w;
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

TEST(RetainedAlarms, EvidenceIsStaleSinceTheSensorFellSilent) {
  WatchedSite w;
  w.hear("12-01 17:00", "camper", "-3");
  w.hear("12-01 17:10", "camper", "-3");
  EXPECT_NE(w.broker["alarm/camper_cold/camper"].find(R"("evidence":"fresh"})"), std::string::npos);
  w.house.wait_until("12-02 01:00");
  w.keep(w.state.changes(w.house.world(), utc("12-02 01:00")));
  EXPECT_NE(w.broker["alarm/camper_cold/camper"].find(R"("evidence":"stale","evidence_since":"2026-12-01T23:10:00Z"})"),
            std::string::npos)
      << w.broker["alarm/camper_cold/camper"];
}

TEST(RetainedAlarms, AShelvedAlarmSaysUntilWhen) {
  WatchedSite w;
  w.house.say("12-01 17:00", "shelve", R"({"rule":"hatch_open","gear":"hatch","for":"2 h"})");
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:00")));
  EXPECT_EQ(w.broker["alarm/hatch_open/hatch"],
            R"({"state":"shelved","priority":"high","title":"Hatch: hatch open",)"
            R"("message":"It is not active. Nobody is told of it until Tue Dec 1 13:00.",)"
            R"("consequence":"Mice.","response":"Shut and latch it.",)"
            R"("shelved_until":"2026-12-01T19:00:00Z"})");
}

TEST(RetainedAlarms, AShelvedAlarmThatIsOverHasNoWordsOfItsLastTime) {
  WatchedSite w;
  w.hear("12-01 17:00", "hatch", "open");
  w.house.say("12-01 17:01", "acknowledge", R"({"rule":"hatch_open","gear":"hatch"})");
  w.house.say("12-01 17:02", "shelve", R"({"rule":"hatch_open","gear":"hatch","for":"2 h"})");
  w.hear("12-01 17:03", "hatch", "shut");
  w.house.wait_until("12-01 17:04");
  w.keep(w.state.changes(w.house.world(), utc("12-01 17:04")));
  const std::string& payload = w.broker["alarm/hatch_open/hatch"];
  EXPECT_TRUE(payload.starts_with(R"({"state":"shelved","priority":"high","title":"Hatch: hatch open")")) << payload;
}

// out_of_service is a state of an alarm (after ISA-18.2, from memory): a person sees what is watched by nobody.
TEST(RetainedAlarms, EachAlarmOfGearThatIsOutOfServiceSaysSoUntilItIsPutBack) {
  WatchedSite w;
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

TEST(RetainedAlarms, TheSiteOutOfServiceSaysThatItsGearIsWatched) {
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

TEST(RetainedAlarms, AReminderTellsItsStateAndItsWork) {
  WatchedSite w;
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
TEST(RetainedAlarms, AReminderThatWaitsTellsItsWorkWithoutValues) {
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
TEST(RetainedAlarms, WorkThatRestsHasNoDayOnWhichItIsDue) {
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

}  // namespace
}  // namespace overwinter
