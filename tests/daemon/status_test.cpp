// Status, from what the service publishes to the table: the retained topics here are its own.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

#include "config/site_file.h"
#include "daemon/caretaker.h"
#include "daemon/json_lines.h"
#include "daemon/retained_state.h"
#include "daemon/status_report.h"
#include "daemon/status_table.h"
#include "rules/engine/world.h"
#include "rules/quantity/print.h"
#include "tests/config/golden.h"
#include "tests/daemon/household.h"
#include "tests/places.h"

namespace overwinter {
namespace {

const std::filesystem::path status_folder = places::repository() / "tests/daemon";

std::shared_ptr<const Plan> status_site() {
  static const auto plan = [] {
    LoadedSite loaded = load_site(status_folder / "data/site.yaml");
    return std::make_shared<const Plan>(*std::move(loaded.plan));
  }();
  return plan;
}

struct Morning {
  std::map<std::string, std::string> topics;
  Instant now{};
};

// What the broker holds after the morning: a slow tire and, when `leak` is set, a sudden loss.
Morning morning(bool leak) {
  std::ifstream file(status_folder / "data/morning.jsonl");
  JsonLines lines(file);
  CapturedMessage message;
  std::unique_ptr<Caretaker> caretaker;
  std::uint64_t number = 0;
  Morning m;
  const auto hear = [&](Instant at, std::string topic, std::string payload) {
    if (!caretaker) caretaker = std::make_unique<Caretaker>(status_site(), at);
    caretaker->step({++number, at, JournaledInput::Kind::message, std::move(topic), std::move(payload), false});
    m.now = at;
  };
  while (lines.next(message) != JsonLines::Read::end) {
    hear(message.at, std::string(message.topic), std::string(message.payload));
  }
  for (int i = 0; leak && i < 12; ++i) {
    hear(m.now + 10 * one_minute, "camper/tire/lf", R"({"kpa":205.0,"c":-11.0,"cell":2.9,"rssi":-71})");
  }
  RetainedState state(status_site());
  for (const Publication& p : state.whole(caretaker->world(), m.now)) {
    if (!p.payload.empty()) m.topics[p.topic] = p.payload;
  }
  m.topics["overwinter/alder_bend/service"] = "ready";
  m.topics["overwinter/alder_bend/watching_since"] = "2026-11-12T15:00:00Z";
  return m;
}

std::size_t widest_line(const std::string& text) {
  std::istringstream in(text);
  std::size_t widest = 0;
  for (std::string line; std::getline(in, line);) {
    std::size_t points = 0;
    for (const char c : line) points += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    widest = std::max(widest, points);
  }
  return widest;
}

TEST(Status, ATableOfEightyColumns) {
  const Morning m = morning(true);
  const std::string table = status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {80, false});
  expect_golden(status_folder / "data/status_80.txt", table);
  EXPECT_LE(widest_line(table), 80U);
}

TEST(Status, AServiceAheadOfThisComputerIsAskedAtItsOwnTime) {
  const Morning m = morning(true);
  const Status status = read_status(m.topics, *status_site());
  const Instant behind = m.now - 100 * one_day;
  EXPECT_EQ(status_table(status, *status_site(), behind, {80, false}),
            status_table(status, *status_site(), m.now, {80, false}));
}

TEST(Status, ANarrowTerminalGetsSentences) {
  const Morning m = morning(true);
  const std::string table = status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {40, false});
  expect_golden(status_folder / "data/status_40.txt", table);
  EXPECT_LE(widest_line(table), 40U);
}

TEST(Status, JsonHoldsThePayloadsAsPublished) {
  const Morning m = morning(true);
  const std::string json = status_json(read_status(m.topics, *status_site()), *status_site());
  EXPECT_NE(json.find(m.topics.at("overwinter/alder_bend/gear/left_front_tire/pressure")), std::string::npos) << json;
  EXPECT_NE(json.find(R"("needs_attention":true)"), std::string::npos);
}

TEST(Status, AnAlarmOfMediumPriorityNeedsAttentionAndAQuietSiteDoesNot) {
  EXPECT_TRUE(read_status(morning(true).topics, *status_site()).needs_attention());
  EXPECT_FALSE(read_status(morning(false).topics, *status_site()).needs_attention());
  Morning shelved = morning(true);
  for (auto& [topic, payload] : shelved.topics) {
    if (topic.find("/alarm/") == std::string::npos) continue;
    const std::size_t at = payload.find("unacknowledged");
    if (at != std::string::npos) payload.replace(at, std::string("unacknowledged").size(), "shelved");
  }
  EXPECT_FALSE(read_status(shelved.topics, *status_site()).needs_attention());
}

TEST(Status, ALostServiceIsSaidFirst) {
  Morning m = morning(false);
  m.topics["overwinter/alder_bend/service"] = "lost";
  const std::string table = status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {80, false});
  EXPECT_TRUE(table.starts_with("Alder Bend: THE SERVICE IS LOST; what follows is old")) << table;
  m.topics.erase("overwinter/alder_bend/service");
  EXPECT_TRUE(status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {80, false})
                  .starts_with("Alder Bend: nothing is heard of the service"));
}

TEST(Status, ADayInWhichNothingWasHeardIsNoDayThatWasWatched) {
  Morning m = morning(false);
  const std::string root = "overwinter/alder_bend/";
  const auto head = [&](Instant now) {
    const std::string table = status_table(read_status(m.topics, *status_site()), *status_site(), now, {120, false});
    return table.substr(0, table.find('\n'));
  };
  m.topics[root + "last_gap"] = R"({"from":"2026-11-28T18:00:00Z","until":"2026-12-14T18:00:00Z"})";
  EXPECT_NE(head(m.now).find("), but heard nothing from Sat Nov 28 to Mon Dec 14."), std::string::npos) << head(m.now);
  EXPECT_EQ(head(m.now + 30 * one_day).find("heard nothing"), std::string::npos) << "long ago";
  const std::string json = status_json(read_status(m.topics, *status_site()), *status_site());
  EXPECT_NE(json.find(R"("last_gap":{"from":"2026-11-28T18:00:00Z","until":"2026-12-14T18:00:00Z"})"),
            std::string::npos)
      << json;
  m.topics.erase(root + "watching_since");
  EXPECT_NE(head(m.now).find("is watching; it heard nothing from Sat Nov 28"), std::string::npos) << head(m.now);
}

TEST(Status, AServiceThatWasStoppedIsNotSaidToBeStopping) {
  Morning m = morning(false);
  m.topics["overwinter/alder_bend/service"] = "stopping";
  const std::string table = status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {80, false});
  EXPECT_TRUE(table.starts_with("Alder Bend: THE SERVICE WAS STOPPED; what follows is old")) << table;
}

// What a person needs at the work, and the caution before it: what waits needs neither.
TEST(Status, WorkThatIsDueShowsItsCautionItsStepsAndItsList) {
  const auto table = [](const std::string& state) {
    Morning m = morning(false);
    m.topics["overwinter/alder_bend/reminder/charge_battery/house_battery"] =
        R"({"state":")" + state +
        R"(","due":"2026-12-01T14:00:00Z","message":"Charge it.","steps":["Look at the case first, for one that is bulged or split is not to be charged.","Charge it."],"look":["Plates covered?"],"safety":"Ventilate; no sparks."})";
    return status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {60, false});
  };
  const std::string work =
      "    Caution: Ventilate; no sparks.\n"
      "    1. Look at the case first, for one that is bulged or\n"
      "       split is not to be charged.\n"
      "    2. Charge it.\n"
      "    - Plates covered?\n";
  for (const char* state : {"due", "overdue"}) {
    EXPECT_NE(table(state).find("Charge it. (charge_battery\n    house_battery)\n" + work), std::string::npos)
        << table(state);
  }
  EXPECT_NE(table("waiting").find("  Tue Dec 1: Charge it.\n"), std::string::npos) << table("waiting");
  EXPECT_EQ(table("waiting").find("Caution: Ventilate"), std::string::npos) << table("waiting");
}

// A row for each thing that nobody can work out would be a page of "no reading".
TEST(Status, APlaceWithoutASensorIsOneLineThatSaysWhatIsMissing) {
  Morning m;
  const std::string garage = "overwinter/alder_bend/place/cabin/";
  const std::string unknown = R"({"value":null,"quality":"bad"})";
  const auto site = plan_of_files(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  cabin: {heated: true, set_temperature: 45 degF}
)",
                                  "rules: {}\n");
  const Plan& plan = *site;
  m.topics["overwinter/alder_bend/service"] = "ready";
  for (const char* quantity : {"heating_failed", "time_until_freezing", "mold_index"})
    m.topics[garage + quantity] = unknown;
  const auto table = [&](bool all) { return status_table(read_status(m.topics, plan), plan, m.now, {80, all}); };
  EXPECT_NE(table(false).find("\nCabin, not watched: no source for temperature, humidity\n\n"), std::string::npos)
      << table(false);
  EXPECT_EQ(table(false).find("no reading"), std::string::npos) << table(false);
  EXPECT_NE(table(true).find("heating failed"), std::string::npos) << table(true);
  m.topics[garage + "mold_index"] = R"({"value":0.1,"quality":"good"})";
  EXPECT_EQ(table(false).find("not watched"), std::string::npos) << table(false);
}

// 3,497 d are 9.57 years of 365.25 d.
TEST(Status, YearsAreToldInYearsAndWhatIsPastAsOverdue) {
  const auto site = plan_of_files(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
gear: {alarm: {kind: dated_item, test_every: 30 d, tested: {date: 2017-04-01}}}
)",
                                  "rules: {}\n");
  const auto shown = [&](double days) {
    const std::map<std::string, std::string> topics{
        {"overwinter/alder_bend/gear/alarm/time_until_test",
         fmt::format(R"({{"value":{},"unit":"h","quality":"good"}})", days * 24)}};
    const Status status = read_status(topics, *site);
    return status.entities.empty() ? std::string() : status.entities.front().readings.front().value;
  };
  EXPECT_EQ(shown(-3497), "9.6 years overdue");
  EXPECT_EQ(shown(-12), "12 d overdue");
  EXPECT_EQ(shown(12), "12 d");
  EXPECT_EQ(shown(1000), "2.7 years");
}

// Silence is no good news: it does not read like a quiet site.
TEST(Status, WhereNobodyWatchesNoAlarmIsNotSaidToBeNone) {
  const auto table = [](const Morning& m) {
    return status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {80, false});
  };
  Morning m = morning(false);
  EXPECT_NE(table(m).find("\nNo alarm.\n"), std::string::npos) << table(m);
  m.topics["overwinter/alder_bend/service"] = "lost";
  EXPECT_EQ(table(m).find("\nNo alarm.\n"), std::string::npos) << table(m);
  EXPECT_NE(table(m).find("\nNo alarm is known; nobody watches now.\n"), std::string::npos) << table(m);
  m.topics.clear();
  EXPECT_EQ(table(m),
            "Alder Bend: nothing is heard of the service.\n"
            "Nothing is known: no reading, no alarm, nothing that is due.\n");
}

TEST(Status, AnAlarmThatWasShelvedBeforeItStoodIsNamedByItsGear) {
  Morning m = morning(false);
  m.topics["overwinter/alder_bend/alarm/tire_leaking/left_front_tire"] =
      R"({"state":"shelved","priority":"medium","shelved_until":"2026-12-20T15:00:00Z"})";
  const std::string table = status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {80, false});
  EXPECT_NE(table.find("  medium: Left front tire: tire leaking, shelved until Sun Dec 20\n"
                       "    (tire_leaking left_front_tire)\n"),
            std::string::npos)
      << table;
}

// Of two hours the day alone says nothing: it is that of now.
TEST(Status, WhatIsOverWithinADayIsToldWithItsTime) {
  Morning m = morning(false);
  m.topics["overwinter/alder_bend/alarm/tire_leaking/left_front_tire"] =
      R"({"state":"shelved","priority":"medium","shelved_until":")" + format_rfc3339(m.now + one_hour) + R"("})";
  m.topics["overwinter/alder_bend/alarm/tire_sudden_loss/left_front_tire"] =
      R"({"state":"unacknowledged","priority":"high","title":"It is flat","respond_by":")" +
      format_rfc3339(m.now + 2 * one_hour) + R"("})";
  const std::string table = status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {80, false});
  const auto clock = [&](Instant t) {
    return print_date_and_time(t, status_site()->units, status_site()->zone, m.now);
  };
  EXPECT_NE(table.find(", shelved until " + clock(m.now + one_hour) + "\n"), std::string::npos) << table;
  EXPECT_NE(table.find(", respond by " + clock(m.now + 2 * one_hour) + "\n"), std::string::npos) << table;
}

// acknowledge and unshelve ask for both words.
TEST(Status, AnAlarmThatAPersonMayStillAnswerSaysItsRuleAndGear) {
  const auto table = [](const std::string& state) {
    Morning m = morning(false);
    m.topics["overwinter/alder_bend/alarm/tire_leaking/left_front_tire"] =
        R"({"state":")" + state + R"(","priority":"medium","title":"Left front tire is losing air"})";
    return status_table(read_status(m.topics, *status_site()), *status_site(), m.now, {80, false});
  };
  const auto names = [&](const std::string& state) {
    return table(state).find("\n    (tire_leaking left_front_tire)\n") != std::string::npos;
  };
  EXPECT_TRUE(names("unacknowledged"));
  EXPECT_TRUE(names("cleared_unacknowledged")) << table("cleared_unacknowledged");
  EXPECT_TRUE(names("shelved"));
  EXPECT_FALSE(names("suppressed")) << "another alarm says it all";
}

// Of each rule a topic says so; a person reads one line of the gear, and finds it marked.
TEST(Status, GearThatIsOutOfServiceIsNamedOnce) {
  Morning m = morning(false);
  const std::string out =
      R"({"state":"out_of_service","priority":"high","since":"2026-12-01T15:00:00Z","title":"House battery is out of service"})";
  for (const char* rule : {"battery_low", "battery_may_freeze"}) {
    m.topics[fmt::format("overwinter/alder_bend/alarm/{}/house_battery", rule)] = out;
  }
  const Status status = read_status(m.topics, *status_site());
  ASSERT_EQ(status.alarms.size(), 2U) << "both rules are of the site";
  EXPECT_FALSE(status.needs_attention());
  const std::string table = status_table(status, *status_site(), m.now, {80, false});
  EXPECT_NE(
      table.find("\nNo alarm.\n\nOut of service since Tue Dec 1: House battery (house_battery; put_back ends it)\n"
                 "\nDue\n"),
      std::string::npos)
      << table;
  EXPECT_NE(table.find("\nHouse battery, out of service\n"), std::string::npos) << table;
  const std::string json = status_json(status, *status_site());
  EXPECT_NE(json.find(R"("out_of_service":[{"gear":"house_battery","since":"2026-12-01T15:00:00Z"}])"),
            std::string::npos)
      << json;
}

// As a hand reading is answered: "50.0 psi is high: 4.0 psi above what it should read".
TEST(Status, AReadingAboveWhatIsExpectedIsNotFine) {
  Morning m = morning(false);
  m.topics["overwinter/alder_bend/gear/left_front_tire/verdict"] = R"({"value":"fine","quality":"good"})";
  const auto verdict = [&](const char* psi) {
    m.topics["overwinter/alder_bend/gear/left_front_tire/pressure"] = fmt::format(
        R"({{"value":{},"unit":"psi","quality":"good","expected":{{"value":46.0,"plus_minus":1.7}}}})", psi);
    for (const StatusEntity& entity : read_status(m.topics, *status_site()).entities) {
      for (const StatusReading& r : entity.readings) {
        if (r.quantity == "pressure" && r.value == std::string(psi) + " psi") return r.verdict;
      }
    }
    return std::string("none");
  };
  EXPECT_EQ(verdict("50.0"), "higher");
  EXPECT_EQ(verdict("46.5"), "fine");
  EXPECT_EQ(verdict("43.0"), "fine") << "the model knows a margin";
}

TEST(Status, PayloadsOfOthersDoNoHarm) {
  Morning m = morning(false);
  m.topics["overwinter/alder_bend/gear/left_front_tire/pressure"] = "42.6 psi";
  m.topics["overwinter/alder_bend/gear/house_battery/voltage"] = R"({"value":{"a":1},"at":7,"expected":[]})";
  m.topics["overwinter/alder_bend/alarm/tire_leaking/left_front_tire"] = "[]";
  m.topics["overwinter/alder_bend/gear/nobody/pressure"] = "{}";
  const Status status = read_status(m.topics, *status_site());
  EXPECT_EQ(status.unreadable, 2U);
  EXPECT_FALSE(status_table(status, *status_site(), m.now, {10, true}).empty());
}

TEST(Status, NothingHeardIsNoReading) {
  const Status status = read_status({}, *status_site());
  EXPECT_TRUE(status.entities.empty());
  EXPECT_FALSE(status.needs_attention());
  EXPECT_EQ(status.service, "");
}

}  // namespace
}  // namespace overwinter
