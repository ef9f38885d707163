// What holds for any winter: random readings, gaps and hand readings on a small site.
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <ostream>
#include <set>
#include <string>
#include <vector>

#include "rules/engine/engine.h"
#include "tests/rules/engine/story.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

std::shared_ptr<const Plan> engine_site(const std::string& pressure, const std::string& temperature,
                                        const std::string& delays = "on_delay: 30 min\noff_delay: 1 h") {
  return plan_of("places:\n  outdoors: {temperature: {topic: yard, unit: " + temperature +
                     "}}\n  camper: {temperature: {topic: camper, unit: " + temperature +
                     "}}\ngear:\n"
                     "  hatch: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: hatch}}\n"
                     "  left: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: "
                     "2026-10-24}, pressure: {topic: left, unit: " +
                     pressure +
                     "}}\n"
                     "  right: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: "
                     "2026-10-24}, pressure: {topic: right, unit: " +
                     pressure +
                     "}}\n"
                     "rules_from: [standard, rules.yaml]\n",
                 camper_cold(delays));
}

struct Units {
  const char* pressure;
  const char* temperature;
  double per_psi;
  double per_degree, zero;
};
constexpr Units us{"psi", "degF", 1, 1.8, 32};
constexpr Units metric{"kPa", "degC", 6.894757293168361, 1, 0};

struct Reading {
  int minutes;  // after the one before
  int sensor;
  int value;  // in tenths of a psi or of a degree Celsius
};

[[maybe_unused]] std::ostream& operator<<(std::ostream& out, const Reading& r) {
  return out << '+' << r.minutes << " min: sensor " << r.sensor << ", " << r.value;
}

rc::Gen<std::vector<Reading>> readings() {
  const auto one =
      rc::gen::construct<Reading>(rc::gen::weightedElement<int>({{8, 10}, {4, 60}, {1, 0}, {1, 400}, {1, 2000}}),
                                  rc::gen::inRange(0, 6), rc::gen::inRange(0, 1000));
  return rc::gen::resize(120, rc::gen::container<std::vector<Reading>>(one));
}

std::vector<Input> inputs(const std::shared_ptr<const Plan>& plan, const Units& units,
                          const std::vector<Reading>& winter) {
  constexpr const char* topics[] = {"yard", "camper", "left", "right", "hatch"};
  std::string capture;
  Instant at = *parse_rfc3339("2026-11-10T00:00:00Z");
  for (const Reading& r : winter) {
    at += r.minutes * one_minute;
    std::string topic, payload;
    if (r.sensor < 2) {
      topic = topics[r.sensor];
      payload = std::to_string((r.value % 400 - 200) / 10.0 * units.per_degree + units.zero);
    } else if (r.sensor < 4) {
      topic = topics[r.sensor];
      payload = std::to_string((r.value % 7 == 0 ? 0.0 : 45 + r.value % 80 / 10.0) * units.per_psi);
    } else if (r.sensor == 4) {
      topic = topics[4];
      payload = r.value % 2 == 0 ? "open" : "closed";
    } else {
      topic = "overwinter/alder_bend/do/record";
      payload = R"({\"gear\":\"camper\",\"quantity\":\"temperature\",\"value\":\")" +
                std::to_string((r.value % 400 - 200) / 10.0) + R"( degC\"})";
    }
    capture += R"({"at":")" + format_rfc3339(at) + R"(","topic":")" + topic + R"(","payload":")" + payload + "\"}\n";
  }
  return inputs_of(plan, capture);
}

RC_GTEST_PROP(AnyWinter, RepeatsByteForByte, ()) {
  static const auto plan = engine_site("kPa", "degC");
  const auto winter = inputs(plan, metric, *readings());
  const Replayed once = replay_in_memory(plan, winter), again = replay_in_memory(plan, winter);
  RC_ASSERT(once.lines == again.lines);
  RC_ASSERT(once.snapshot == again.snapshot);
}

RC_GTEST_PROP(AnyWinter, TellsTheSameWhenTheEngineIsStoppedAnywhere, ()) {
  static const auto plan = engine_site("kPa", "degC");
  const auto winter = inputs(plan, metric, *rc::gen::nonEmpty(readings()));
  std::set<std::size_t> cuts =
      *rc::gen::container<std::set<std::size_t>>(rc::gen::inRange<std::size_t>(0, winter.size()));
  RC_ASSERT(replay_in_memory(plan, winter).lines == replay_in_memory(plan, winter, {cuts.begin(), cuts.end()}).lines);
}

RC_GTEST_PROP(AnyWinter, TellsTheSameWhateverTheUnits, ()) {
  static const auto metric_site = engine_site("kPa", "degC"), us_site = engine_site("psi", "degF");
  const auto winter = *readings();
  const auto kinds_of = [](const Replayed& replayed) {
    std::vector<std::string> kinds;
    for (const Event& e : replayed.events) {
      kinds.push_back(format_rfc3339(e.at) + " " + std::string(name_of(e.kind)) + " " + e.rule + " " + e.gear + " " +
                      e.quantity);
    }
    return kinds;
  };
  RC_ASSERT(kinds_of(replay_in_memory(metric_site, inputs(metric_site, metric, winter))) ==
            kinds_of(replay_in_memory(us_site, inputs(us_site, us, winter))));
}

// Nobody gauges anything; the camper goes out of service and back instead.
std::vector<Input> with_service(const std::shared_ptr<const Plan>& plan, const std::vector<Reading>& winter) {
  std::vector<Input> all;
  for (std::size_t i = 0; i < winter.size(); ++i) {
    Instant at = all.empty() ? *parse_rfc3339("2026-11-10T00:00:00Z") : all.back().at;
    at += winter[i].minutes * one_minute;
    const std::string service = winter[i].value % 2 == 0 ? "take_out" : "put_back";
    const std::vector<Input> one =
        winter[i].sensor == 5
            ? inputs_of(plan, R"({"at":")" + format_rfc3339(at) + R"(","topic":"overwinter/alder_bend/do/)" + service +
                                  R"(","payload":"{\"gear\":\"camper\"}"})" + "\n")
            : inputs(plan, metric, {winter[i]});
    for (Input input : one) {
      input.at = at;
      if (auto* message = std::get_if<SensorMessage>(&input.what)) {
        for (SensorValue& value : message->values) value.at = at;
      }
      all.push_back(std::move(input));
    }
  }
  return all;
}

// A rule on the camper's number alone, no person about: at least two readings since the last that was not cold.
RC_GTEST_PROP(AnyWinter, RaisesNothingOnOnePacket, ()) {
  static const auto delayed = engine_site("kPa", "degC"), at_once = engine_site("kPa", "degC", "");
  const auto plan = *rc::gen::element(delayed, at_once);
  const auto winter = with_service(plan, *readings());
  Engine engine(plan, winter.empty() ? Instant{} : winter.front().at);
  const auto raises = [&engine](const Input& input) {
    const auto& events = engine.step(input).events;
    return std::any_of(events.begin(), events.end(),
                       [](const Event& e) { return e.rule == "camper_cold" && e.kind == EventKind::alarm_raised; });
  };
  int cold = 0;
  for (const Input& input : winter) {
    RC_ASSERT(!raises({input.at, Tick{}}) || cold >= 2);  // what falls due before the message
    if (const auto* message = std::get_if<SensorMessage>(&input.what)) {
      for (const SensorValue& value : message->values) {
        const Slot& slot = plan->slots[plan->sensors[value.sensor].slot];
        if (plan->entities[slot.entity].id == "camper") cold = value.value < 0 ? cold + 1 : 0;
      }
    }
    RC_ASSERT(!raises(input) || cold >= 2);
  }
}

// The camper's sensor never speaks, nobody measures: its rule tells nothing, whatever the rest does.
RC_GTEST_PROP(AnyWinter, NeitherRaisesNorClearsWhatIsUnknown, ()) {
  static const auto plan = engine_site("kPa", "degC");
  auto winter = *readings();
  std::erase_if(winter, [](const Reading& r) { return r.sensor == 1 || r.sensor == 5; });
  const bool raised_first = *rc::gen::arbitrary<bool>();
  if (raised_first) winter.insert(winter.begin(), {{0, 1, 0}, {40, 1, 1}});
  int told = 0;
  for (const Event& e : replay_in_memory(plan, inputs(plan, metric, winter)).events) told += e.rule == "camper_cold";
  RC_ASSERT(told == (raised_first ? 1 : 0));
}

}  // namespace
}  // namespace overwinter
