// Clocks that are wrong and are set while the service runs: a board without a clock chip, one with an empty cell, hands
// and time services that set it. What the house sees of it; the rules of trust are ours, no source.
#include <gtest/gtest.h>

#include "tests/broker/rig.h"
#include "tests/broker/stepped_clock.h"

namespace overwinter::rig {
namespace {

using namespace std::chrono_literals;

const std::string garage = root + "place/garage/temperature", cover = root + "reminder/look_at_cover/rig";

class SteppedTime : public testing::Test {
 protected:
  SteppedTime() {
    broker.start();
    ear = std::make_unique<Ear>(broker.port());
  }
  void begin(const std::string& wall, bool synchronized) {
    clock = std::make_unique<SteppedClock>(folder, wall, synchronized);
    daemon = std::make_unique<Daemon>(folder, broker.port(), SiteOptions{}, std::vector<std::string>{},
                                      clock->environment());
    ear->await(root + "service", "ready");
  }
  // A command's answer carries the time as the service sees it; to the hour.
  std::string hour_it_is() {
    const std::string id = "hour" + std::to_string(++asked);
    ear->say(root + "do/unshelve", "{\"id\":\"" + id + "\"}");
    const std::string answer = ear->await(root + "answer", "\"id\":\"" + id + "\"").payload;
    return answer.substr(7, 13);  // {"at":"2026-12-10T15
  }
  bool is_hour(const std::string& hour) {
    return eventually([&] { return hour_it_is() == hour; }, 60s);
  }
  // Hours in which the service is awake.
  void pass(int hours) {
    for (int i = 0; i < hours * 15; ++i) {
      clock->elapse(4min);
      hour_it_is();
    }
  }
  void expect_door_alarm() {
    ear->forget();
    ear->say("garage/refrigerator", "shut");
    ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  }

  Folder folder;
  Broker broker{folder};
  std::unique_ptr<Ear> ear;
  std::unique_ptr<SteppedClock> clock;
  std::unique_ptr<Daemon> daemon;
  int asked = 0;
};

TEST_F(SteppedTime, AStartIn1970WatchesAndDoesNoCalendarWorkUntilTheTimeIsKnown) {
  begin("1970-01-01T00:00:20Z", false);
  EXPECT_EQ(hour_it_is(), "2026-10-01T00") << "no earlier than the program";
  expect_door_alarm();
  EXPECT_NE(ear->await(refrigerator_alarm).payload.find("\"since\":\"2026-10-01T00:"), std::string::npos);
  clock->show("2026-12-10T15:00:30Z", true);
  EXPECT_TRUE(is_hour("2026-12-10T15"));
  ear->say("garage/climate", R"({"temperature": 10.0})");
  ear->await(garage, "\"at\":\"2026-12-10T15:");
  ear->await(cover, "\"state\":\"overdue\",\"due\":\"2026-11-28T");  // 28 d after lay-up, Oct 31
  EXPECT_EQ(ear->last(root + "alarm/sensor_silent/garage").value_or(""), "") << "a step forward is a gap, no silence";
  int digests = 0, others = 0;
  for (const Heard& heard : ear->all()) {
    if (heard.topic != root + "notice" || heard.payload.find("refrigerator_shut") != std::string::npos) continue;
    ++(heard.payload.find("\"about\":\"digest\"") != std::string::npos ? digests : others);
  }
  EXPECT_LE(digests, 1);
  EXPECT_LE(others, 1) << "what fell due in the gap is told in one notice";
}

// The journal was empty, so the wrong year was believed. Then a time service set it right.
TEST_F(SteppedTime, AStartIn2036IsSetRightAndTheAlarmsOfThatYearEnd) {
  begin("2036-02-07T06:28:16Z", false);  // where NTP's era 0 ends (RFC 5905)
  EXPECT_EQ(hour_it_is(), "2036-02-07T06");
  expect_door_alarm();
  ear->say(root + "do/record", pressure_record("in 2036"));
  ear->await(root + "answer", "\"id\":\"in 2036\",\"accepted\":true");
  ear->forget();
  clock->show("2026-12-10T15:00:30Z", true);
  EXPECT_TRUE(is_hour("2026-12-10T15"));
  EXPECT_TRUE(daemon->logs("the state is made anew from the journal"));
  ear->await(root + "notice", "\"event\":\"cleared\",\"rule\":\"refrigerator_shut\"");
  EXPECT_EQ(ear->last(refrigerator_alarm).value_or("not emptied"), "");
  // What a person said counts as said now; what falls due falls due by the right calendar.
  ear->await(root + "gear/left_front_tire/pressure", "\"at\":\"2026-12-10T15:");
  ear->await(cover, "\"due\":\"2026-11-28T");
  expect_door_alarm();
  EXPECT_EQ(daemon->stop(), 0);
  ear->forget();
  daemon->start();
  ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  EXPECT_EQ(hour_it_is(), "2026-12-10T15");
}

TEST_F(SteppedTime, AStepOfHoursBackIsWaitedForAndEndsNothing) {
  begin("2026-12-10T15:00:30Z", true);
  expect_door_alarm();
  clock->step(-3h);
  EXPECT_EQ(hour_it_is(), "2026-12-10T15") << "the time never goes back";
  pass(2);  // at half speed, and the wall has 14:00
  EXPECT_EQ(hour_it_is(), "2026-12-10T16");
  pass(4);
  EXPECT_EQ(hour_it_is(), "2026-12-10T18");
  ear->forget();
  ear->say("garage/refrigerator", "open");
  ear->await(refrigerator_alarm, "\"state\":\"cleared_unacknowledged\"");
}

TEST_F(SteppedTime, AStepOfHoursForwardIsAGapAndNoSilence) {
  begin("2026-12-10T15:00:30Z", true);
  ear->say("garage/climate", R"({"temperature": 10.0})");
  ear->await(garage, "\"value\":50");
  clock->step(5h);  // the thermometer may be silent for 6 h
  EXPECT_EQ(hour_it_is(), "2026-12-10T20");
  pass(2);
  EXPECT_EQ(hour_it_is(), "2026-12-10T22");
  EXPECT_EQ(ear->last(root + "alarm/sensor_silent/garage").value_or(""), "");
  pass(5);
  ear->await(root + "alarm/sensor_silent/garage", "\"state\":\"unacknowledged\"");
}

// A laptop's lid, a frozen program: time passes and nobody hears.
TEST_F(SteppedTime, ASleepOfTheComputerIsAGapAndNoSilence) {
  begin("2026-12-10T15:00:30Z", true);
  ear->say("garage/climate", R"({"temperature": 10.0})");
  ear->await(garage, "\"value\":50");
  clock->elapse(8h);
  EXPECT_EQ(hour_it_is(), "2026-12-10T23");
  pass(1);
  EXPECT_EQ(ear->last(root + "alarm/sensor_silent/garage").value_or(""), "");
  EXPECT_EQ(ear->last(root + "last_gap").value_or("not said"), "") << "a night is none that must be told";
  clock->elapse(30h);
  EXPECT_EQ(hour_it_is(), "2026-12-12T06");
  ear->await(root + "last_gap", R"({"from":"2026-12-11T00:)");
  EXPECT_NE(ear->last(root + "last_gap").value_or("").find(R"("until":"2026-12-12T06:)"), std::string::npos);
}

TEST_F(SteppedTime, AnUnconfirmedStepIsNotBelieved) {
  begin("2026-12-10T15:00:30Z", false);
  EXPECT_EQ(hour_it_is(), "2026-12-10T15");
  for (const auto step : {6h, -6h}) {
    clock->step(step);
    EXPECT_EQ(hour_it_is(), "2026-12-10T15");
  }
  clock->elapse(1h);
  EXPECT_EQ(hour_it_is(), "2026-12-10T16") << "it elapses on";
}

TEST_F(SteppedTime, AWeekOfDowntimeIsAGapAndItsWorkIsToldInOneNotice) {
  begin("2026-11-25T15:00:30Z", true);
  ear->say("garage/climate", R"({"temperature": 10.0})");
  ear->await(garage, "\"value\":50");
  EXPECT_EQ(daemon->stop(), 0);
  ear->forget();
  clock->elapse(7 * 24h);
  daemon->start();
  ear->await(root + "service", "ready");
  EXPECT_EQ(hour_it_is(), "2026-12-02T15");
  const std::string gap = ear->await(root + "last_gap", "from").payload;
  EXPECT_TRUE(gap.starts_with(R"({"from":"2026-11-25T15:)")) << gap;
  EXPECT_NE(gap.find(R"("until":"2026-12-02T15:)"), std::string::npos) << gap;
  ear->await(cover, "\"state\":\"due\"");
  ear->await(root + "notice", "Look at the cover.");
  int reminders = 0;
  for (const Heard& heard : ear->all()) {
    if (heard.topic != root + "notice") continue;
    reminders += heard.payload.find("\"about\":\"reminder\"") != std::string::npos;
    EXPECT_EQ(heard.payload.find("sensor_silent"), std::string::npos) << heard.payload;
  }
  EXPECT_EQ(reminders, 1);
  EXPECT_EQ(ear->last(root + "alarm/sensor_silent/garage").value_or(""), "");
}

}  // namespace
}  // namespace overwinter::rig
