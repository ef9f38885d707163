// Notices over a restart, a replay and another site file: the same ones, by the names of then.
#include <gtest/gtest.h>

#include <set>

#include "tests/daemon/notices_site.h"

namespace overwinter {
namespace {

// ------------------------------------------------------------------------------------------------- ids and replay

std::string printed_notices(const std::vector<Notice>& notices) {
  std::string out;
  for (const Notice& n : notices) {
    append_notice(out, n);
    out += '\n';
  }
  return out;
}

Household eventful_week() {
  Household house = with_reminders_at("12-01 16:00", "");
  house.hear("12-02 03:00", "valve", "open");
  house.hear("12-02 05:00", "hatch", "open");
  house.hear("12-02 05:10", "shutter", "open");
  house.say("12-02 06:00", "shelve", R"({"rule":"medium_one","gear":"hatch","for":"1 d"})");
  house.hear("12-02 17:00", "shutter", "shut");
  house.hear("12-03 17:00", "shutter", "open");
  house.say("12-04 17:00", "done", R"({"reminder":"look_around"})");
  house.hear("12-05 17:00", "hatch", "shut");
  house.hear("12-06 17:00", "valve", "shut");
  house.hear("12-06 18:00", "valve", "open");
  house.wait_until("12-09 00:00");
  return house;
}

TEST(Notices, NoTwoNoticesHaveTheSameId) {
  const Household house = eventful_week();
  std::set<std::string> ids;
  for (const Notice& n : house.everything) EXPECT_TRUE(ids.insert(n.id).second) << n.id;
  EXPECT_GT(ids.size(), 10U);
}

TEST(Notices, TheSameInputsGiveTheSameNoticesAlsoOverARestartAtEachOfThem) {
  const Household house = eventful_week();
  Household again = with_reminders_at("12-01 16:00", "");
  for (const JournaledInput& input : house.inputs) {
    again.step(input.kind, input.at, input.topic, input.payload);
    again.restart();
  }
  EXPECT_EQ(printed_notices(again.everything), printed_notices(house.everything));
}

TEST(Notices, TicksThatToldNothingNeedNotBeKept) {
  const Household house = eventful_week();
  Household again = with_reminders_at("12-01 16:00", "");
  Household fresh = with_reminders_at("12-01 16:00", "");
  for (const JournaledInput& input : house.inputs) {
    const Told told = again.caretaker().step(input);
    if (input.kind == JournaledInput::Kind::tick && told.nothing()) continue;
    fresh.step(input.kind, input.at, input.topic, input.payload);
  }
  EXPECT_EQ(printed_notices(fresh.everything), printed_notices(house.everything));
}

// --------------------------------------------------------------------------------------- over another site file

// The same household after its site file was edited; `names`: what it says differently, old text and new.
std::shared_ptr<const Plan> edited_site(const std::vector<std::pair<std::string, std::string>>& names,
                                        std::string_view more = no_digest) {
  std::string site = notices_site(more), rules(notices_rules);
  for (const auto& [before, after] : names) {
    for (std::string* text : {&site, &rules}) {
      const std::size_t found = text->find(before);
      if (found != std::string::npos) text->replace(found, before.size(), after);
    }
  }
  return plan_of_files(site, rules);
}

TEST(Notices, AnAlarmThatWaitsLeavesByTheNamesThatItHasThen) {
  Household house = at("12-08 16:00");
  house.hear("12-09 05:00", "hatch", "open");
  house.restart(
      edited_site({{"hatch: {", "lid: {was: hatch, name: Roof lid, "},
                   {"medium_one: {applies_to: {gear: hatch}", "shut_it: {was: medium_one, applies_to: {gear: lid}"}}));
  house.say("12-09 05:10", "unshelve", "{}");
  house.wait_until("12-09 14:00");
  EXPECT_EQ(house.told(), "12-09 14:00 alarm raised lid\n");
  EXPECT_EQ(house.last().title, "Roof lid is open");
  EXPECT_EQ(house.last().rule, "shut_it");
  // What the button under it says is understood.
  house.say("12-09 14:10", "acknowledge", R"({"rule":"shut_it","gear":"lid"})");
  EXPECT_TRUE(house.answers.back().accepted) << house.answers.back().answer;
}

TEST(Notices, TheEndOfAnAlarmThatWaitsLeavesByTheNamesThatItHasThen) {
  Household house = at("12-08 16:00");
  house.hear("12-09 16:00", "hatch", "open");
  house.hear("12-10 05:00", "hatch", "shut");
  house.hear("12-10 05:01", "hatch", "shut");
  house.restart(
      edited_site({{"hatch: {", "lid: {was: hatch, name: Roof lid, "},
                   {"medium_one: {applies_to: {gear: hatch}", "shut_it: {was: medium_one, applies_to: {gear: lid}"}}));
  house.say("12-10 05:10", "unshelve", "{}");
  house.wait_until("12-10 14:00");
  EXPECT_EQ(house.told(), "12-09 16:00 alarm raised hatch\n12-10 14:00 alarm cleared lid\n");
  EXPECT_EQ(house.last().title, "Over: Roof lid is open");
  EXPECT_EQ(house.last().message, "It is over.");
  EXPECT_EQ(house.last().rule, "shut_it");
}

// A reminder that was split by gear: what waits has the name of its own part.
TEST(Notices, AReminderThatWaitsLeavesByTheNameOfThePartThatItWasSplitInto) {
  const auto site = [](const std::string& reminders) { return hatch_and_vent("reminders:\n" + reminders); };
  const std::string more = "due_when: open, priority: medium, message: \"Shut {name}.\"}\n";
  Household house(site("  shut_it: {applies_to: {kind: door_or_vent}, " + more), "12-08 16:00");
  house.hear("12-09 05:00", "vent", "shut");
  house.hear("12-09 05:01", "vent", "open");
  house.restart(site("  shut_hatch: {was: shut_it, applies_to: {gear: hatch}, " + more +
                     "  shut_vent: {was: shut_it, applies_to: {gear: vent}, " + more));
  house.say("12-09 05:10", "unshelve", "{}");
  house.wait_until("12-09 14:00");
  EXPECT_EQ(house.told(), "12-09 14:00 reminder due vent\n");
  EXPECT_EQ(house.last().message.substr(0, 10), "Shut vent.");
  EXPECT_EQ(house.last().reminder, "shut_vent");
}

TEST(Notices, AReminderThatWaitsOutlivesItsOwnNewNameAndThatOfItsGear) {
  const auto site = [](const std::string& gear, const std::string& id, const std::string& reminder) {
    return plan_of_files(
        "site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg}\nplaces: {camper: {}}\ngear:\n  " +
            gear + "kind: door_or_vent, place: camper, open: {topic: hatch}}\nrules_from: [rules.yaml]\n" +
            std::string(no_digest),
        "reminders:\n  " + reminder + "applies_to: {gear: " + id +
            "}, due_when: open, priority: medium, message: \"Shut {name}.\"}\n");
  };
  Household house(site("hatch: {", "hatch", "shut_it: {"), "12-08 16:00");
  house.hear("12-09 05:00", "hatch", "shut");
  house.hear("12-09 05:01", "hatch", "open");
  house.restart(site("lid: {was: hatch, name: Roof lid, ", "lid", "shut_it: {"));
  house.say("12-09 05:10", "unshelve", "{}");
  house.restart(site("lid: {was: hatch, name: Roof lid, ", "lid", "close_it: {was: shut_it, "));
  house.say("12-09 05:20", "unshelve", "{}");
  house.wait_until("12-09 14:00");
  EXPECT_EQ(house.told(), "12-09 14:00 reminder due lid\n");
  EXPECT_EQ(house.last().title, "To do: Roof lid, close it");
  EXPECT_EQ(house.last().message.substr(0, 20), "Shut Roof lid. Do it");
  EXPECT_EQ(house.last().reminder, "close_it");
}

TEST(Notices, WhatWaitsLeavesAtTheHourOfTheNewSiteFile) {
  Household house = at("12-08 16:00");
  house.hear("12-09 05:00", "hatch", "open");  // 23:00
  house.restart(edited_site({}, "digest: {enabled: false}\nnotices: {at: \"06:30\", quiet: \"22:00-06:00\"}\n"));
  house.say("12-09 05:10", "unshelve", "{}");
  house.wait_until("12-09 12:29");
  EXPECT_EQ(house.told(), "");
  house.wait_until("12-09 12:30");
  EXPECT_EQ(house.told(), "12-09 12:30 alarm raised hatch\n");
}

}  // namespace
}  // namespace overwinter
