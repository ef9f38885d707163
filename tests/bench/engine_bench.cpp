// The engine alone, from memory: cost of a reading with 40 sensors, beside one pow and one log a reading, the least
// physics can do; and how that cost grows with copies of the site in one plan.
#include <chrono>
#include <cmath>

#include "rules/engine/engine.h"
#include "tests/bench/bench_site.h"

namespace overwinter::bench {
namespace {

double seconds_now() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

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
  double ns = 0;
  std::size_t readings = 0, events = 0;
};

// Every sensor once a minute; `most` readings of it are timed.
Run run_engine(const Plan& plan, Engine& engine, std::uint32_t first_minute, std::uint32_t minutes) {
  Run run;
  const auto sensors = static_cast<std::uint32_t>(plan.sensors.size());
  std::vector<Input> inputs;
  for (std::uint32_t minute = first_minute; minute < first_minute + minutes; ++minute) {
    inputs.clear();
    for (std::uint32_t s = 0; s < sensors; ++s) {
      inputs.push_back(reading(plan, s, minute, start() + minute * one_minute + Span(s * 50'000U / sensors)));
    }
    const double begin = seconds_now();
    for (const Input& input : inputs) run.events += engine.step(input).events.size();
    run.ns += (seconds_now() - begin) * 1e9;
    run.readings += inputs.size();
  }
  run.ns /= static_cast<double>(run.readings);
  return run;
}

// Ten days of the 180: the ratio does not depend on the rest.
void forty_sensors(benchmark::State& state) {
  const auto plan = plan_of(4);
  Run run;
  double least = 0;
  for (auto _ : state) {
    Engine engine(plan, start());
    run_engine(*plan, engine, 0, 1440);  // one day to fill the histories
    least = floor_ns();
    run = run_engine(*plan, engine, 1440, 10 * 1440);
  }
  state.counters["sensors"] = static_cast<double>(plan->sensors.size());
  state.counters["ns_a_reading"] = run.ns;
  state.counters["ns_pow_and_log"] = least;
  state.counters["ratio"] = run.ns / least;
  state.counters["events"] = static_cast<double>(run.events);
  tell("engine, 40 sensors: times one pow and one log", run.ns / least, "x", 20);
  tell("engine, 40 sensors: a reading", run.ns / 1000, "us", 1.5);
  std::fprintf(stderr, "180 days of 42 sensors, scaled from 10: %.1f s\n", run.ns * 42 * 180 * 1440 / 1e9);
}
BENCHMARK(forty_sensors)->Iterations(1)->Unit(benchmark::kSecond);

double cost_of_one = 0;

void copies(benchmark::State& state) {
  const auto count = static_cast<std::size_t>(state.range(0));
  const auto plan = plan_of(count);
  const auto minutes = static_cast<std::uint32_t>(count >= 1000 ? 20 : count >= 100 ? 200 : 1440);
  Run run;
  for (auto _ : state) {
    Engine engine(plan, start());
    run_engine(*plan, engine, 0, 10);
    run = run_engine(*plan, engine, 10, minutes);
  }
  if (count == 1) cost_of_one = run.ns;
  state.counters["sensors"] = static_cast<double>(plan->sensors.size());
  state.counters["ns_a_reading"] = run.ns;
  state.counters["times_one_copy"] = run.ns / cost_of_one;
  const std::string what = "a reading with " + std::to_string(count) + " copies, times one copy";
  tell(what.c_str(), run.ns / cost_of_one, "x", 1.5);
}
BENCHMARK(copies)->Arg(1)->Arg(10)->Arg(100)->Arg(1000)->Iterations(1)->Unit(benchmark::kSecond);

}  // namespace
}  // namespace overwinter::bench
