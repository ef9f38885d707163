// What a person may tell, checked against the site file before it is sent; and that the service takes what is sent.
#include "daemon/told_command.h"

#include <gtest/gtest.h>

#include <filesystem>

#include "config/site_file.h"
#include "daemon/event_json.h"
#include "daemon/intake.h"
#include "rules/engine/engine.h"
#include "tests/places.h"

namespace overwinter {
namespace {

const Instant told_now = *parse_rfc3339("2026-12-19T21:45:00Z");  // 15:45 in Winnipeg

std::shared_ptr<const Plan> told_site() {
  static const auto plan = [] {
    LoadedSite loaded = load_site(places::repository() / "tests/daemon/data/site.yaml");
    return std::make_shared<const Plan>(*std::move(loaded.plan));
  }();
  return plan;
}

std::string payload_of(const GivenCommand& given) {
  const auto message = check_command(given, told_site(), told_now);
  return message ? command_payload(*message) : "refused: " + message.error().text + " | " + message.error().hint;
}

std::string record(const std::string& gear, const std::string& quantity, const std::string& value,
                   const std::string& at = "") {
  return payload_of({"record", {{"gear", gear}, {"quantity", quantity}, {"value", value}, {"at", at}}, {}});
}

TEST(ToldCommand, IsWrittenWithTheMembersThatWereGiven) {
  EXPECT_EQ(record("left_front_tire", "pressure", "48.5 psi"),
            R"({"gear":"left_front_tire","quantity":"pressure","value":"48.5 psi"})");
}

TEST(ToldCommand, LocalTimesAreSentAsTheInstantTheyMean) {
  // Central Standard Time is 6 h behind UTC.
  EXPECT_NE(record("left_front_tire", "pressure", "48.5 psi", "15:30").find(R"("at":"2026-12-19T21:30:00Z")"),
            std::string::npos);
  EXPECT_NE(record("left_front_tire", "pressure", "48.5 psi", "16:00").find(R"("at":"2026-12-18T22:00:00Z")"),
            std::string::npos)
      << "16:00 has not come today";
  EXPECT_NE(
      record("left_front_tire", "pressure", "48.5 psi", "2026-12-10 08:05").find(R"("at":"2026-12-10T14:05:00Z")"),
      std::string::npos);
  EXPECT_NE(record("left_front_tire", "pressure", "48.5 psi", "2026-12-10").find(R"("at":"2026-12-10")"),
            std::string::npos);
  EXPECT_TRUE(
      record("left_front_tire", "pressure", "48.5 psi", "noon").starts_with("refused: `noon` of 'at' is no time"));
}

TEST(ToldCommand, ADayThatIsInNoCalendarIsRefusedWithTheFormOfADate) {
  const auto told = payload_of({"season", {{"lay_up", "2026-11-31"}}, {}});
  EXPECT_EQ(told, "refused: `2026-11-31` of 'lay_up' is no date | a day of the calendar, as 2026-10-31");
}

TEST(ToldCommand, ATimeOfDayThatIsTakenForYesterdaysIsSaid) {
  const auto taken = [](const std::string& at) {
    return time_taken({"record", {{"gear", "left_front_tire"}, {"at", at}}, {}}, *told_site(), told_now);
  };
  EXPECT_EQ(taken("23:59"), "23:59 is still to come today: taken for Fri Dec 18 23:59");
  for (const char* plain : {"", "15:30", "2026-12-18 23:59", "2026-12-18", "noon"})
    EXPECT_EQ(taken(plain), "") << plain;
}

TEST(ToldCommand, AnAlarmIsShelvedUntilTheNextTimeThatTheClockShowsIt) {
  const auto until = [](const std::string& time) {
    return payload_of({"shelve", {{"rule", "tire_leaking"}, {"gear", "left_front_tire"}, {"until", time}}, {}});
  };
  EXPECT_NE(until("18:00").find(R"("until":"2026-12-20T00:00:00Z")"), std::string::npos) << until("18:00");
  EXPECT_NE(until("08:00").find(R"("until":"2026-12-20T14:00:00Z")"), std::string::npos) << until("08:00");
}

TEST(ToldCommand, UnknownNamesAreRefusedHereWithASuggestion) {
  EXPECT_EQ(record("left_front_tyre", "pressure", "48.5 psi"),
            "refused: there is no gear or place 'left_front_tyre'; did you mean left_front_tire? | ");
  EXPECT_NE(record("canoe", "pressure", "48.5 psi").find("| this site has: alder_bend, outdoors, garage, camper_radio"),
            std::string::npos);
  EXPECT_NE(record("left_front_tire", "presure", "48.5 psi").find("it has: pressure, temperature"), std::string::npos);
  EXPECT_NE(record("left_front_tire", "pressure", "48.5").find("refused: 'value'"), std::string::npos)
      << "a bare number has no unit";
  EXPECT_NE(payload_of({"act", {{"gear", "left_front_tire"}, {"act", "filed"}}, {}}).find("it has: filled, moved"),
            std::string::npos);
  EXPECT_NE(payload_of({"acknowledge", {{"rule", "tire_leakin"}, {"gear", "left_front_tire"}}, {}})
                .find("did you mean tire_leaking?"),
            std::string::npos);
  EXPECT_NE(payload_of({"done", {{"reminder", "charge_batery"}}, {}}).find("did you mean charge_battery?"),
            std::string::npos);
}

TEST(ToldCommand, WhatDependsOnThePresentStateIsLeftToTheService) {
  // Nothing is active, shelved or out of service in an untouched site; here all of these may be sent.
  EXPECT_EQ(payload_of({"acknowledge", {{"rule", "tire_leaking"}, {"gear", "left_front_tire"}}, {}}),
            R"({"rule":"tire_leaking","gear":"left_front_tire"})");
  EXPECT_EQ(payload_of({"unshelve", {{"rule", "tire_leaking"}, {"gear", "left_front_tire"}}, {}}),
            R"({"rule":"tire_leaking","gear":"left_front_tire"})");
  EXPECT_EQ(payload_of({"put_back", {{"gear", "house_battery"}}, {}}), R"({"gear":"house_battery"})");
  EXPECT_EQ(payload_of({"season", {{"return_to_service", "2026-10-01"}}, {}}), R"({"return_to_service":"2026-10-01"})");
}

TEST(ToldCommand, ShelvingTooLongIsRefusedHere) {
  EXPECT_NE(payload_of({"shelve", {{"rule", "tire_leaking"}, {"gear", "left_front_tire"}, {"for", "31 d"}}, {}})
                .find("at most 30 d"),
            std::string::npos);
}

TEST(ToldCommand, ValuesOfAnActMayBeWrittenWithoutQuotes) {
  EXPECT_EQ(
      payload_of(
          {"act", {{"gear", "left_front_tire"}, {"act", "filled"}}, {"pressure=52", "psi", "temperature=61 degF"}}),
      R"({"gear":"left_front_tire","act":"filled","pressure":"52 psi","temperature":"61 degF"})");
  EXPECT_TRUE(payload_of({"act", {{"gear", "left_front_tire"}, {"act", "filled"}}, {"52", "psi"}})
                  .starts_with("refused: `52` is no value of an act"));
}

TEST(ToldCommand, TheServiceTakesWhatIsSentAndItsAnswerIsRecognized) {
  Intake intake(told_site());
  Engine engine(told_site(), told_now);
  const auto message = check_command(
      {"record", {{"gear", "right_front_tire"}, {"quantity", "pressure"}, {"value", "45.5 psi"}, {"id", "a1"}}, {}},
      told_site(), told_now);
  ASSERT_TRUE(message);
  const auto input = intake.decode(told_now, "overwinter/alder_bend/do/record", command_payload(*message), false);
  ASSERT_TRUE(input);
  const Output& output = engine.step(*input);
  ASSERT_EQ(output.answers.size(), 1U);
  std::string payload;
  append_answer(payload, output.answers.front());
  const auto answer = read_answer(payload, "record", "a1");
  ASSERT_TRUE(answer) << payload;
  EXPECT_TRUE(answer->accepted);
  EXPECT_TRUE(answer->answer.starts_with("45.5 psi")) << answer->answer;
  EXPECT_FALSE(read_answer(payload, "record", "a2")) << "another's";
  EXPECT_FALSE(read_answer(payload, "act", "a1")) << "another command's";
  EXPECT_FALSE(read_answer("not JSON", "record", "a1"));
  EXPECT_FALSE(read_answer(R"({"command":"record","id":"a1"})", "record", "a1")) << "it says neither yes nor no";
}

}  // namespace
}  // namespace overwinter
