#include "daemon/intake.h"

#include <gtest/gtest.h>

#include <memory>
#include <string>

#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr std::string_view modes[] = {"idle", "charging_now"};

const KindSpec& probe_kind() {
  static const KindSpec kind = [] {
    KindSpec spec;
    spec.name = "probe";
    spec.quantities = {{.name = "heat", .type = Type::temperature(), .text = ""},
                       {.name = "open", .type = Type::boolean(), .text = ""},
                       {.name = "mode", .type = Type::word(modes), .text = ""}};
    return spec;
  }();
  return kind;
}

// One probe whose only sensor is bound to topic "t".
struct Bench {
  Plan plan;
  Instant now = *parse_rfc3339("2026-12-01T08:00:00Z");

  explicit Bench(std::uint32_t slot = 0) {
    plan.topic_root = "overwinter/x";
    Entity entity;
    entity.id = entity.name = "probe";
    entity.kind = &probe_kind();
    plan.entities.push_back(entity);
    for (const QuantitySpec& quantity : probe_kind().quantities) {
      Slot s;
      s.type = quantity.type;
      plan.slots.push_back(s);
    }
    Sensor sensor;
    sensor.slot = slot;
    sensor.topic = "t";
    sensor.unit = *parse_unit("degF", UnitContext::binding);
    sensor.minimum = -60;
    sensor.maximum = 90;
    plan.sensors.push_back(sensor);
  }
  Sensor& sensor() { return plan.sensors[0]; }
  Bench& pointer(std::string text) {
    sensor().has_pointer = true;
    sensor().pointer = std::move(text);
    return *this;
  }
  SensorValue read(std::string_view payload) const {
    Intake intake(std::make_shared<const Plan>(plan));
    return std::get<SensorMessage>(intake.decode(now, "t", payload, false)->what).values.at(0);
  }
  std::string why(std::string_view payload) const {
    const SensorValue value = read(payload);
    return value.rejected_because == nullptr ? "accepted" : value.rejected_because;
  }
  CommandMessage command(std::string_view payload) const {
    Intake intake(std::make_shared<const Plan>(plan));
    return std::get<CommandMessage>(intake.decode(now, "overwinter/x/do/record", payload, false)->what);
  }
};

TEST(Intake, PassesOverATopicThatNothingBinds) {
  Intake intake(std::make_shared<const Plan>(Bench().plan));
  EXPECT_FALSE(intake.decode({}, "u", "1", false));
  EXPECT_FALSE(intake.decode({}, "t/", "1", false));
}

// MQTT 5.0, 3.3.1.3: an empty retained message takes the retained one away, and is passed on to who subscribes.
TEST(Intake, TakingARetainedCommandAwayIsNone) {
  Intake intake(std::make_shared<const Plan>(Bench().plan));
  EXPECT_FALSE(intake.decode({}, "overwinter/x/do/record", "", true));
  EXPECT_TRUE(intake.decode({}, "overwinter/x/do/record", "", false));
  EXPECT_TRUE(intake.decode({}, "overwinter/x/do/record", "{}", true));
}

TEST(Intake, FeedsAllSensorsOfOneTopicInPlanOrder) {
  Bench bench;
  bench.plan.sensors.push_back(bench.sensor());
  Intake intake(std::make_shared<const Plan>(bench.plan));
  const auto message = std::get<SensorMessage>(intake.decode(bench.now, "t", "32", true)->what);
  ASSERT_EQ(message.values.size(), 2U);
  EXPECT_EQ(message.values[0].sensor, 0U);
  EXPECT_EQ(message.values[1].sensor, 1U);
  EXPECT_TRUE(message.retained);
  EXPECT_EQ(intake.sensor_topics().size(), 1U);
}

TEST(Intake, ConvertsPlainTextFromItsUnit) {  // 32 degF is 0 degC, 212 degF 100 degC (NIST SP 811, B.8)
  EXPECT_NEAR(Bench().read(" 32.0\n").value, 0, 1e-9);
  EXPECT_NEAR(Bench().read("+50").value, 10, 1e-9);
}

TEST(Intake, AppliesScaleAndOffsetInTheSensorsUnit) {
  Bench bench;
  bench.sensor().scale = 0.1;
  bench.sensor().offset = 2;
  EXPECT_NEAR(bench.read("300").value, 0, 1e-9);
}

TEST(Intake, FollowsPointersWithEscapes) {  // RFC 6901, section 5
  EXPECT_NEAR(Bench().pointer("/a~1b/1").read(R"({"a/b":[0,32]})").value, 0, 1e-9);
  EXPECT_NEAR(Bench().pointer("/m~0n").read(R"({"m~n":"32"})").value, 0, 1e-9);
  EXPECT_NEAR(Bench().pointer("").read("32").value, 0, 1e-9);
  EXPECT_NEAR(Bench().pointer("/").read(R"({"":32})").value, 0, 1e-9);
  EXPECT_NEAR(Bench().pointer("/1").read("[0,32]").value, 0, 1e-9);
  EXPECT_NEAR(Bench().pointer("/1").read(R"({"1":32})").value, 0, 1e-9);
}

TEST(Intake, SaysWhyAPayloadHasNoNumber) {
  const Bench text;
  EXPECT_EQ(text.why(""), "the payload is empty");
  EXPECT_EQ(text.why("\xFF"), "the payload is not UTF-8");
  EXPECT_EQ(text.why("nan"), "the value is not a finite number");
  EXPECT_EQ(text.why("inf"), "the value is not a finite number");
  EXPECT_EQ(text.why("1e999"), "the value is not a finite number");
  EXPECT_EQ(text.why("32 degF"), "the value is not a number");
  EXPECT_EQ(text.why("1,5"), "the value is not a number");
  EXPECT_EQ(text.why("1000"), "the value is outside the range that is valid for the sensor");
  EXPECT_NE(text.why(R"({"a":1})").find("pointer"), std::string::npos);
  EXPECT_EQ(text.why(std::string(limits::payload_bytes + 1, '1')), "the payload is larger than 64 KiB");
  const Bench json = Bench().pointer("/a");
  EXPECT_EQ(json.why("hello"), "the payload is not JSON");
  EXPECT_EQ(json.why(R"({"b":1})"), "the payload has nothing where the pointer leads");
  EXPECT_EQ(json.why(R"({"a":null})"), "the value is null");
  EXPECT_EQ(json.why(R"({"a":true})"), "the value is of the wrong type: a number is expected");
  EXPECT_EQ(json.why(R"({"a":"NaN"})"), "the value is not a finite number");
  EXPECT_EQ(json.why(R"({"a":[1]})"), "the pointer leads to an array, not to a value");
  EXPECT_EQ(json.why(R"({"a":)" + std::string(100, '[') + std::string(100, ']') + "}"), "the payload nests too deeply");
}

TEST(Intake, ReadsNumbersAsTheyAreWritten) {
  const Bench text;
  for (const char* same : {"50", " 50 ", "+50", "50.", "5e1", "5E+1", "500e-1", "0.5e2", "050"})
    EXPECT_NEAR(text.read(same).value, 10, 1e-9) << same;  // 50 degF is 10 degC
  const Bench json = Bench().pointer("/a");
  for (const char* same : {R"({"a":50})", R"({"a":"50"})", R"({"a":" 5e1 "})", R"({"a":5.0E+1})"})
    EXPECT_NEAR(json.read(same).value, 10, 1e-9) << same;
  for (const char* none : {"0x32", "5_0", "--50", "+-50", "5 0", "e5", "on", "true", "null", ".", "-"})
    EXPECT_EQ(text.why(none), "the value is not a number") << none;
}

// The range of a double is that of IEEE 754 binary64: 4.9e-324 to 1.8e308.
TEST(Intake, TakesWhatIsTooSmallForANumberAsZeroAndRefusesWhatIsTooLarge) {
  Bench bench;
  bench.sensor().unit = *parse_unit("degC", UnitContext::binding);
  const std::string zeros(400, '0');
  const std::string tiny[] = {
      "1e-400", "-1E-400", "0." + zeros + "1", "0." + zeros + "1e2", "1" + zeros + "e-1000", "1e-99999999999999999999"};
  const std::string huge[] = {
      "1e400", "-1E+400", "1" + zeros, "1" + zeros + "e-1", "0." + zeros + "1e1000", "1e99999999999999999999"};
  for (const std::string& number : tiny) {
    EXPECT_EQ(bench.why(number), "accepted") << number;
    EXPECT_EQ(bench.read(number).value, 0) << number;
  }
  for (const std::string& number : huge) EXPECT_EQ(bench.why(number), "the value is not a finite number") << number;
}

TEST(Intake, SurvivesAPayloadOfAMebibyte) {
  const std::string big(std::size_t{1} << 20, '[');
  EXPECT_EQ(Bench().pointer("/a").why(big), "the payload is larger than 64 KiB");
  EXPECT_EQ(Bench().command(big).unreadable, "the payload is larger than 64 KiB");
  EXPECT_EQ(Bench().pointer("/a").why(std::string(limits::payload_bytes / 2, '[') +
                                      std::string(limits::payload_bytes / 2, ']')),
            "the payload nests too deeply");
}

TEST(Intake, ReadsTheSensorsOwnCellAndSignal) {
  Bench bench = Bench().pointer("/v");
  bench.sensor().battery_pointer = "/own/cell";
  bench.sensor().link_pointer = "/rssi";
  const SensorValue both = bench.read(R"({"v":32,"own":{"cell":"2.91"},"rssi":-71})");
  EXPECT_EQ(both.battery, 2.91);
  EXPECT_EQ(both.link, -71);
  const SensorValue neither = bench.read(R"({"v":32,"own":{"cell":"low"},"rssi":true})");
  EXPECT_EQ(neither.rejected_because, nullptr);
  EXPECT_FALSE(neither.battery);
  EXPECT_FALSE(neither.link);
  // A dying cell sends rubbish: its state is worth more than the reading.
  const SensorValue rubbish = bench.read(R"({"v":"---","own":{"cell":1.8}})");
  EXPECT_NE(rubbish.rejected_because, nullptr);
  EXPECT_EQ(rubbish.battery, 1.8);
  EXPECT_FALSE(bench.read("not JSON").battery);
}

TEST(Intake, KnowsTheUsualWordsInAnyCase) {
  const Bench bench(1);
  for (const char* word : {"true", "ON", "Yes", "1", "open", "up"}) EXPECT_EQ(bench.read(word).value, 1) << word;
  for (const char* word : {"false", "Off", "no", "0", "closed", "shut", "DOWN"}) {
    EXPECT_EQ(bench.why(word), "accepted") << word;
    EXPECT_EQ(bench.read(word).value, 0) << word;
  }
  EXPECT_NE(bench.why("maybe"), "accepted");
  const Bench json = Bench(1).pointer("/a");
  EXPECT_EQ(json.read(R"({"a":true})").value, 1);
  EXPECT_EQ(json.read(R"({"a":1})").value, 1);
  EXPECT_EQ(json.why(R"({"a":0})"), "accepted");
  EXPECT_EQ(json.why(R"({"a":-0.0})"), "accepted");
  EXPECT_EQ(json.read(R"({"a":1.0})").value, 1);
  for (const char* neither : {R"({"a":2})", R"({"a":""})", R"({"a":"1.0"})"}) EXPECT_NE(json.why(neither), "accepted");
}

TEST(Intake, ComparesGivenWordsExactly) {
  Bench bench(1);
  bench.sensor().yes = {"up"};
  bench.sensor().no = {"down"};
  EXPECT_EQ(bench.read("up").value, 1);
  EXPECT_EQ(bench.why("down"), "accepted");
  EXPECT_NE(bench.why("UP"), "accepted");
  EXPECT_NE(bench.why("on"), "accepted");
}

TEST(Intake, FindsWordsOfAQuantity) {
  EXPECT_EQ(Bench(2).read("charging_now").value, 1);
  EXPECT_NE(Bench(2).why("flying"), "accepted");
}

TEST(Intake, TakesThePayloadsOwnTime) {
  Bench bench = Bench().pointer("/v");
  bench.sensor().has_time_pointer = true;
  bench.sensor().time_pointer = "/t";
  const SensorValue value = bench.read(R"({"v":32,"t":"2026-12-01T07:00:00Z"})");
  EXPECT_TRUE(value.own_time);
  EXPECT_EQ(value.at, bench.now - one_hour);
  EXPECT_EQ(bench.why(R"({"v":32,"t":"2026-12-01T08:05:00Z"})"), "accepted");
  EXPECT_EQ(bench.why(R"({"v":32,"t":"2026-12-01T08:05:01Z"})"), "the payload's time lies in the future");
  EXPECT_EQ(bench.why(R"({"v":32})"), "the payload has no time where the time pointer leads");
  for (const char* no_time :
       {"null", "true", "\"soon\"", "[1]", "\"2026-02-30T00:00:00Z\"", "\"1969-01-01T00:00:00Z\""})
    EXPECT_EQ(bench.why(std::string(R"({"v":32,"t":)") + no_time + "}"), "the payload's time cannot be read")
        << no_time;
  EXPECT_NE(bench.why(R"({"v":32,"t":1764576000})"), "accepted");  // a number, but in which unit?
  bench.sensor().time_unit_seconds = 0.001;
  EXPECT_EQ(bench.read(R"({"v":32,"t":1700000000000})").at, Instant(Span(1'700'000'000'000)));
}

TEST(Intake, ReadsTheMembersOfACommand) {
  const CommandMessage command = Bench().command(R"({"gear":"tire","value":true,"n":2})");
  EXPECT_EQ(command.command, "record");
  ASSERT_EQ(command.members.size(), 3U);
  EXPECT_EQ(std::get<std::string>(command.members[0].value), "tire");
  EXPECT_EQ(std::get<bool>(command.members[1].value), true);
  EXPECT_EQ(std::get<double>(command.members[2].value), 2);
}

TEST(Intake, SaysWhyAPayloadIsNoCommand) {
  EXPECT_EQ(Bench().command("").unreadable, "the payload is empty");
  EXPECT_EQ(Bench().command("hello").unreadable, "the payload is not JSON");
  EXPECT_EQ(Bench().command("[1]").unreadable, "the payload is not a JSON object");
  EXPECT_EQ(Bench().command(R"({"a":{}})").unreadable, "'a' is neither text, number nor true or false");
  std::string many = "{";
  for (int i = 0; i < 65; ++i) many += (i > 0 ? ",\"k" : "\"k") + std::to_string(i) + "\":1";
  EXPECT_EQ(Bench().command(many + "}").unreadable, "the payload has more than 64 members");
}

// "root/do/#" brings "root/do" as well (MQTT 5.0, 4.7.1.2): who sends there waits for an answer.
TEST(Intake, TakesACommandWithoutANameForOne) {
  Plan plan;
  plan.topic_root = "root";
  Intake intake(std::make_shared<const Plan>(std::move(plan)));
  for (const char* topic : {"root/do", "root/do/"}) {
    const auto input = intake.decode(Instant{}, topic, R"({"id":"n1"})", false);
    ASSERT_TRUE(input) << topic;
    const auto& command = std::get<CommandMessage>(input->what);
    EXPECT_EQ(command.command, "");
    EXPECT_EQ(command.members.size(), 1U);
  }
  EXPECT_FALSE(intake.decode(Instant{}, "root/d", "{}", false));
}

TEST(Intake, KeepsNoLongNameOfACommandThatIsNone) {
  Plan plan;
  plan.topic_root = "root";
  Intake intake(std::make_shared<const Plan>(std::move(plan)));
  const auto input = intake.decode(Instant{}, "root/do/" + std::string(60'000, 'r'), "{}", false);
  ASSERT_TRUE(input);
  EXPECT_EQ(std::get<CommandMessage>(input->what).command, std::string(40, 'r'));
}

// Its answer goes to who waits for this id.
TEST(Intake, KeepsTheIdOfACommandThatIsNone) {
  Intake intake(std::make_shared<const Plan>(Bench().plan));
  const auto message = std::get<CommandMessage>(
      intake.decode({}, "overwinter/x/do/done", R"({"found":null,"reminder":"walk","id":"q1"})", false)->what);
  EXPECT_EQ(message.unreadable, "'found' is neither text, number nor true or false");
  ASSERT_EQ(message.members.size(), 1U);
  EXPECT_EQ(std::get<std::string>(message.members[0].value), "q1");
}

}  // namespace
}  // namespace overwinter
