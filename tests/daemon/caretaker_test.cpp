// What recovery rests on: a caretaker that was stopped goes on as if it had not been.
#include "daemon/caretaker.h"

#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "daemon/json_lines.h"
#include "daemon/retained_state.h"
#include "rules/archive.h"
#include "rules/engine/explain.h"
#include "tests/daemon/household.h"

namespace overwinter {
namespace {

constexpr std::string_view caretaker_site = R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, display_units: us}
season: {lay_up: 2026-10-31, return_to_service: 2027-04-20}
places:
  outdoors:
    temperature: {topic: yard, pointer: /c, unit: degC}
    humidity: {topic: yard, pointer: /rh, unit: "%"}
  camper:
    temperature: {topic: camper, pointer: /c, unit: degC}
    humidity: {topic: camper, pointer: /rh, unit: "%"}
gear:
  left_front_tire:
    {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: {topic: tire, unit: psi}}
  house_battery: {kind: lead_acid_battery, place: camper, capacity: 85 Ah, voltage: {topic: battery, unit: V}}
  hatch: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: hatch}}
)";

// Five weeks with a leak, a battery that runs down, an open hatch, a lost broker and a full disk.
std::vector<JournaledInput> five_weeks() {
  std::vector<JournaledInput> inputs;
  const auto add = [&](Instant at, JournaledInput::Kind kind, std::string topic = {}, std::string payload = {}) {
    inputs.push_back({inputs.size() + 1, at, kind, std::move(topic), std::move(payload), false});
  };
  using Kind = JournaledInput::Kind;
  const Instant start = utc("12-01 06:00");
  for (int hour = 0; hour < 35 * 24; ++hour) {
    const Instant at = start + hour * one_hour;
    const double cold = -10 + 8 * ((hour % 24) / 24.0) - (hour % 170) / 20.0;
    add(at, Kind::message, "yard", fmt::format(R"({{"c":{:.1f},"rh":{}}})", cold, 60 + hour % 30));
    add(at, Kind::message, "camper", fmt::format(R"({{"c":{:.1f},"rh":{}}})", cold + 2, 70 + hour % 20));
    add(at, Kind::message, "tire", fmt::format("{:.1f}", 45.5 - hour * 0.012));
    if (hour % 6 == 0) add(at, Kind::message, "battery", fmt::format("{:.2f}", 12.7 - hour * 0.0009));
    if (hour == 200) add(at, Kind::message, "hatch", "open");
    if (hour == 260) add(at, Kind::link_down);
    if (hour == 263) add(at, Kind::link_up);
    if (hour == 300) add(at, Kind::journal_unwritable);
    if (hour == 302) add(at, Kind::journal_writable);
    if (hour == 400) {
      add(at, Kind::message, "overwinter/alder_bend/do/acknowledge",
          R"({"rule":"door_or_vent_wrong","gear":"hatch","id":"7"})");
    }
    if (hour % 24 == 5) add(at + one_minute, Kind::tick);
  }
  return inputs;
}

std::string printed_told(const Told& told) {
  std::string out;
  for (const Event& e : told.events) out += format_rfc3339(e.at) + " " + e.id + std::string(name_of(e.kind)) + "\n";
  for (const Answer& a : told.answers) out += a.answer + a.why + "\n";
  for (const Notice& n : told.notices) {
    append_notice(out, n);
    out += "\n";
  }
  return out;
}

TEST(CaretakerTest, ASnapshotTakenFromARestoredOneHasTheSameBytes) {
  const auto plan = plan_of_files(caretaker_site, "rules: {}\n");
  Caretaker caretaker(plan, utc("12-01 06:00"));
  std::size_t n = 0;
  for (const JournaledInput& input : five_weeks()) {
    caretaker.step(input);
    if (++n % 97 != 0) continue;
    const std::string bytes = caretaker.snapshot();
    const Result<Caretaker> restored = Caretaker::restore(plan, bytes);
    ASSERT_TRUE(restored) << restored.error().text;
    ASSERT_EQ(restored->snapshot(), bytes) << "after input " << n;
    ASSERT_EQ(restored->next_deadline(), caretaker.next_deadline()) << "after input " << n;
  }
}

TEST(CaretakerTest, StoppedAnywhereItTellsTheSameAndEndsInTheSameState) {
  const auto plan = plan_of_files(caretaker_site, "rules: {}\n");
  const std::vector<JournaledInput> inputs = five_weeks();
  Caretaker whole(plan, utc("12-01 06:00"));
  Caretaker stopped(plan, utc("12-01 06:00"));
  std::size_t n = 0, notices = 0;
  for (const JournaledInput& input : inputs) {
    const Told told = whole.step(input);
    notices += told.notices.size();
    ASSERT_EQ(printed_told(stopped.step(input)), printed_told(told)) << "at input " << input.number;
    if (++n % 61 == 0) stopped = *Caretaker::restore(plan, stopped.snapshot());
  }
  EXPECT_EQ(stopped.snapshot(), whole.snapshot());
  EXPECT_GT(notices, 10U);
}

// The journal keeps no tick that told nothing; what it holds leads to the same state.
TEST(CaretakerTest, WithoutTheTicksThatToldNothingTheStateIsTheSame) {
  const auto plan = plan_of_files(caretaker_site, "rules: {}\n");
  Caretaker live(plan, utc("12-01 06:00"));
  Caretaker recovered(plan, utc("12-01 06:00"));
  std::size_t left_out = 0;
  const auto tick = [&](Instant at) {
    const JournaledInput input{0, at, JournaledInput::Kind::tick, {}, {}, false};
    if (live.step(input).nothing()) {
      ++left_out;
    } else {
      recovered.step(input);
    }
  };
  for (const JournaledInput& input : five_weeks()) {
    for (Instant next = live.next_deadline(); next < input.at; next = live.next_deadline()) {
      tick(std::max(next, live.world().now));
    }
    live.step(input);
    recovered.step(input);
  }
  EXPECT_GT(left_out, 1000U);
  EXPECT_EQ(recovered.snapshot(), live.snapshot());
}

// Who looks at it (topics, status, explain) is in no journal: were anything kept of it, a restart would not know.
TEST(CaretakerTest, ToBeAskedChangesNothing) {
  constexpr std::string_view never_read = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places:
  garage: {temperature: {topic: garage, unit: degC}}
gear:
  left_front_tire:
    {kind: tire, place: garage, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
  hatch: {kind: door_or_vent, place: garage, should_be: open, open: {topic: hatch}}
)";
  const auto plan = plan_of_files(never_read, "rules: {}\n");
  Caretaker caretaker(plan, utc("12-01 06:00"));
  RetainedState topics(plan);
  std::uint64_t number = 0;
  const auto hear = [&](std::string_view at, const char* topic, const char* payload) {
    caretaker.step({++number, utc(at), JournaledInput::Kind::message, topic, payload, false});
    const std::string before = caretaker.snapshot();
    (void)topics.whole(caretaker.world(), utc(at));
    for (std::uint32_t e = 0; e < plan->entities.size(); ++e) (void)explain(caretaker.world(), e);
    EXPECT_TRUE(caretaker.snapshot() == before) << "after " << topic;
  };
  hear("12-01 06:00:10", "garage", "5");
  hear("12-01 06:00:20", "hatch", "shut");
}

TEST(CaretakerTest, AMessageThatNothingBindsIsNotApplied) {
  Caretaker caretaker(plan_of_files(caretaker_site, "rules: {}\n"), utc("12-01 06:00"));
  const std::string before = caretaker.snapshot();
  const Told told = caretaker.step({1, utc("12-01 07:00"), JournaledInput::Kind::message, "elsewhere", "1", false});
  EXPECT_FALSE(told.applied);
  EXPECT_EQ(caretaker.snapshot(), before);
}

TEST(CaretakerTest, BytesThatAreNoSnapshotAreRefused) {
  const auto plan = plan_of_files(caretaker_site, "rules: {}\n");
  Caretaker caretaker(plan, utc("12-01 06:00"));
  for (const JournaledInput& input : five_weeks()) {
    if (input.number > 300) break;
    caretaker.step(input);
  }
  const std::string bytes = caretaker.snapshot();
  EXPECT_FALSE(Caretaker::restore(plan, ""));
  EXPECT_FALSE(Caretaker::restore(plan, "overwinter caretaker 1"));
  EXPECT_FALSE(Caretaker::restore(plan, bytes + "x"));
  for (std::size_t size = 0; size < bytes.size(); size += 1 + bytes.size() / 200) {
    EXPECT_FALSE(Caretaker::restore(plan, std::string_view(bytes).substr(0, size))) << size;
  }
}

TEST(CaretakerTest, ARuleThatAReloadTakesAwayEndsItsAlarmAndItsRepeats) {
  constexpr std::string_view hatch = R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg}
places: {camper: {}}
gear: {hatch: {kind: door_or_vent, place: camper, open: {topic: hatch}}}
digest: {enabled: false}
rules_from: [rules.yaml]
)";
  Household house(plan_of_files(hatch, R"(
rules:
  hatch_open: {applies_to: {gear: hatch}, raise_when: open, priority: critical, title: "{name} is open", message: Shut it.}
)"),
                  "12-01 16:00");
  house.hear("12-01 17:00", "hatch", "open");
  house.restart(plan_of_files(hatch, "rules: {}\n"));
  house.step(JournaledInput::Kind::tick, utc("12-01 17:00"), {}, {});
  house.wait_until("12-03 17:00");
  EXPECT_EQ(house.told(), "12-01 17:00 alarm raised hatch\n12-01 17:00 alarm cleared hatch\n");
}

}  // namespace
}  // namespace overwinter
