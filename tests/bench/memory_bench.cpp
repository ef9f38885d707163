// Bytes of memory a sensor takes: the plan, the engine, and what four days of readings add.
#include <malloc.h>

#include "rules/engine/engine.h"
#include "tests/bench/bench_site.h"

namespace overwinter::bench {
namespace {

std::size_t bytes_in_use() {
  const auto info = mallinfo2();
  return info.uordblks + info.hblkhd;
}

void memory(benchmark::State& state) {
  for (auto _ : state) {
    static_cast<void>(plan_of(1));  // what is made once: kinds, units, tables
    const std::size_t before = bytes_in_use();
    const auto plan = plan_of(40);
    const std::size_t planned = bytes_in_use();
    Engine engine(plan, start());
    const std::size_t empty = bytes_in_use();
    const auto sensors = static_cast<double>(plan->sensors.size());
    const auto topics = sensors_by_topic(*plan);
    for (std::uint32_t minute = 0; minute < 4 * 1440; minute += 10) {
      for (const auto& topic : topics) engine.step(message_of(*plan, topic, minute, start() + minute * one_minute));
    }
    const std::size_t full = bytes_in_use();
    const auto each = [&](std::size_t to, std::size_t from) {
      return (static_cast<double>(to) - static_cast<double>(from)) / sensors;
    };
    state.counters["sensors"] = sensors;
    state.counters["plan_bytes_a_sensor"] = each(planned, before);
    state.counters["engine_bytes_a_sensor"] = each(empty, planned);
    state.counters["four_days_bytes_a_sensor"] = each(full, empty);
    std::fprintf(stderr, "memory a sensor: plan %.0f, engine %.0f, after 4 days of 10 min %.0f bytes\n",
                 each(planned, before), each(empty, planned), each(full, empty));
  }
}
BENCHMARK(memory)->Iterations(1)->Unit(benchmark::kSecond);

}  // namespace
}  // namespace overwinter::bench
