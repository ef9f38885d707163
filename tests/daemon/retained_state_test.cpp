// The retained state as a whole: said again after a connect, emptied where it is obsolete, and what a site's templates
// say of it.
#include "daemon/retained_state.h"

#include <gtest/gtest.h>

#include "daemon/self_description.h"
#include "tests/daemon/watched_site.h"

namespace overwinter {
namespace {

TEST(RetainedStateWhole, AfterAConnectAllOfItIsSaidAgain) {
  WatchedSite w;
  w.hear("12-01 17:00", "hatch", "open");
  const auto before = w.broker;
  w.broker.clear();
  w.keep(w.state.whole(w.house.world(), utc("12-01 17:00")));
  EXPECT_EQ(w.broker, before);
  EXPECT_EQ(w.keep(w.state.changes(w.house.world(), utc("12-01 17:00"))), 0U);
}

TEST(RetainedStateWhole, TopicsThatThePlanNoLongerHasAreObsolete) {
  WatchedSite w("us", R"(
self_description: [{for: alarms, topic: "found/{unique}", message: "{}"}]
)");
  const std::string root = "overwinter/alder_bend/";
  EXPECT_EQ(w.state.obsolete({root + "gear/tire/pressure", root + "gear/old/pressure",
                              "found/alder_bend_alarm_hatch_open_hatch", "found/alder_bend_alarm_old_hatch"}),
            (std::vector<std::string>{root + "gear/old/pressure", "found/alder_bend_alarm_old_hatch"}));
}

TEST(SelfDescriptionTest, TemplatesAreFilledForEachTopicOfTheirSort) {
  WatchedSite w("us", R"(
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
