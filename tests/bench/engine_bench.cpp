// The engine alone, from memory: cost of a reading with 40 sensors, beside one pow and one log a reading, the least
// physics can do; and how that cost grows with copies of the site in one plan. A site has one outdoors, and all copies
// lean on it: what only one copy reads is timed apart from what outdoors reads, and that by the gear that it touches.
#include <cmath>

#include "rules/engine/engine.h"
#include "rules/engine/world.h"
#include "tests/bench/bench_site.h"

namespace overwinter::bench {
namespace {

// ns a reading, of one pow and one log.
double floor_ns() {
  constexpr int count = 4'000'000;
  double sum = 0;
  const double begin = seconds_now();
  for (int i = 0; i < count; ++i) {
    double x = 250 + 1e-5 * i;
    benchmark::DoNotOptimize(x);
    sum += std::pow(x / 273.15, 5.0711) + std::log(x);
  }
  benchmark::DoNotOptimize(sum);
  return (seconds_now() - begin) / count * 1e9;
}

struct Run {
  double seconds = 0;
  std::size_t messages = 0, readings = 0, events = 0;

  void step(Engine& engine, const std::vector<Input>& inputs) {
    const double begin = seconds_now();
    for (const Input& input : inputs) events += engine.step(input).events.size();
    seconds += seconds_now() - begin;
    messages += inputs.size();
    for (const Input& input : inputs) readings += std::get<SensorMessage>(input.what).values.size();
  }
  double ns() const { return seconds * 1e9 / static_cast<double>(readings); }
};

struct Runs {
  Run own, outdoors;
};

// Every sensor once a minute, for an hour in one run of the clock: to read it costs as much as a reading.
Run run_whole(const Plan& plan, Engine& engine, std::uint32_t first_hour, std::uint32_t hours) {
  constexpr std::uint32_t minutes_an_hour = 60;
  Run run;
  std::vector<Input> inputs;
  const auto topics = sensors_by_topic(plan);
  for (std::uint32_t hour = first_hour; hour < first_hour + hours; ++hour) {
    inputs.clear();
    for (std::uint32_t minute = hour * minutes_an_hour; minute < (hour + 1) * minutes_an_hour; ++minute) {
      const Instant begin = start() + minute * one_minute;
      for (std::size_t t = 0; t < topics.size(); ++t) {
        inputs.push_back(message_of(plan, topics[t], minute, begin + Span(t * 59'000U / topics.size())));
      }
    }
    run.step(engine, inputs);
  }
  return run;
}

// The same in two parts, those of outdoors last.
Runs run_apart(const Plan& plan, Engine& engine, std::uint32_t first_minute, std::uint32_t minutes) {
  Runs runs;
  std::vector<std::vector<std::uint32_t>> own, outdoors;
  for (std::vector<std::uint32_t>& sensors : sensors_by_topic(plan)) {
    const bool is_outdoors = plan.slots[plan.sensors[sensors.front()].slot].entity == plan.outdoors;
    (is_outdoors ? outdoors : own).push_back(std::move(sensors));
  }
  std::vector<Input> inputs;
  for (std::uint32_t minute = first_minute; minute < first_minute + minutes; ++minute) {
    const Instant begin = start() + minute * one_minute;
    inputs.clear();
    for (std::size_t i = 0; i < own.size(); ++i) {
      inputs.push_back(message_of(plan, own[i], minute, begin + Span(i * 50'000U / own.size())));
    }
    runs.own.step(engine, inputs);
    inputs.clear();
    for (std::size_t i = 0; i < outdoors.size(); ++i) {
      inputs.push_back(message_of(plan, outdoors[i], minute, begin + Span(55'000U + i)));
    }
    runs.outdoors.step(engine, inputs);
  }
  return runs;
}

// How many models a reading of outdoors sets to work, on the average of its sensors.
double gear_touched(const Plan& plan, const Engine& engine) {
  double touched = 0, sensors = 0;
  for (const Sensor& sensor : plan.sensors) {
    if (plan.slots[sensor.slot].entity != plan.outdoors) continue;
    touched += static_cast<double>(engine.world().wiring.models[sensor.slot].size());
    sensors += 1;
  }
  return touched / sensors;
}

// Ten days of the 180: the ratio does not depend on the rest.
void forty_sensors(benchmark::State& state) {
  const auto plan = plan_of(4);
  Run run;
  double least = 0;
  for (auto _ : state) {
    Engine engine(plan, start());
    run_whole(*plan, engine, 0, 24);  // one day to fill the histories
    const double before = floor_ns();
    run = run_whole(*plan, engine, 24, 10 * 24);
    least = (before + floor_ns()) / 2;  // a processor does not always run at one speed
  }
  const auto sensors = static_cast<double>(plan->sensors.size());
  state.counters["sensors"] = sensors;
  state.counters["readings_a_message"] = static_cast<double>(run.readings) / static_cast<double>(run.messages);
  state.counters["ns_a_reading"] = run.ns();
  state.counters["ns_pow_and_log"] = least;
  state.counters["ratio"] = run.ns() / least;
  state.counters["events"] = static_cast<double>(run.events);
  tell("engine, 40 sensors: times one pow and one log", run.ns() / least, "x", 20);
  tell("engine, 40 sensors: a reading", run.ns() / 1000, "us", 1.5);
  std::fprintf(stderr, "180 days of %.0f sensors, scaled from 10: %.1f s\n", sensors,
               run.ns() * sensors * 180 * 1440 / 1e9);
}
BENCHMARK(forty_sensors)->Iterations(1)->Unit(benchmark::kSecond);

double own_of_one = 0, outdoors_of_one = 0;

void copies(benchmark::State& state) {
  const auto count = static_cast<std::size_t>(state.range(0));
  const auto plan = plan_of(count);
  const auto minutes = static_cast<std::uint32_t>(count >= 1000 ? 20 : count >= 100 ? 200 : 1440);
  Runs runs;
  double touched = 0;
  for (auto _ : state) {
    Engine engine(plan, start());
    touched = gear_touched(*plan, engine);
    run_apart(*plan, engine, 0, 10);
    runs = run_apart(*plan, engine, 10, minutes);
  }
  const double own = runs.own.ns(), outdoors = runs.outdoors.ns() / touched;
  if (count == 1) {
    own_of_one = own;
    outdoors_of_one = outdoors;
  }
  state.counters["sensors"] = static_cast<double>(plan->sensors.size());
  state.counters["ns_a_reading_of_its_own"] = own;
  state.counters["ns_outdoors_a_gear_touched"] = outdoors;
  const std::string copies = std::to_string(count) + (count == 1 ? " copy" : " copies");
  tell(("a reading of gear of one copy, " + copies + ": times one copy").c_str(), own / own_of_one, "x", 1.5);
  tell(("an outdoor reading, a gear touched, " + copies + ": times one copy").c_str(), outdoors / outdoors_of_one, "x",
       1.5);
}
BENCHMARK(copies)->Arg(1)->Arg(10)->Arg(100)->Arg(1000)->Iterations(1)->Unit(benchmark::kSecond);

}  // namespace
}  // namespace overwinter::bench
