// Replay from JSON Lines beside parsing the same lines alone with simdjson.
#include <fmt/format.h>
#include <simdjson.h>

#include <sstream>

#include "daemon/event_json.h"
#include "daemon/intake.h"
#include "daemon/json_lines.h"
#include "rules/engine/engine.h"
#include "tests/bench/bench_site.h"

namespace overwinter::bench {
namespace {

// Two days of 40 sensors, one message a minute each.
std::string capture(const Plan& plan) {
  std::string lines;
  for (std::uint32_t minute = 0; minute < 2 * 1440; ++minute) {
    for (std::uint32_t s = 0; s < plan.sensors.size(); ++s) {
      const Sensor& sensor = plan.sensors[s];
      double value = value_of(plan, s, minute);
      if (sensor.pointer == "/kpa") value /= 1000;
      if (sensor.pointer == "/rh") value *= 100;
      const std::string payload = sensor.has_pointer
                                      ? fmt::format(R"({{\"{}\":{:.3f}}})", sensor.pointer.substr(1), value)
                                      : fmt::format("{:.3f}", value);
      const bool boolean = plan.slots[sensor.slot].type.sort == Sort::boolean;
      lines += fmt::format("{{\"at\":\"{}\",\"topic\":\"{}\",\"payload\":\"{}\"}}\n",
                           format_rfc3339(start() + minute * one_minute + Span(s * 1000)), sensor.topic,
                           boolean ? "true" : payload);
    }
  }
  return lines;
}

double parse_alone(const std::string& text) {
  const simdjson::padded_string padded(text);
  simdjson::dom::parser parser;
  std::size_t bytes = 0;
  const double begin = seconds_now();
  simdjson::dom::document_stream stream;
  if (parser.parse_many(padded).get(stream) != simdjson::SUCCESS) return 0;
  for (const auto line : stream) {
    std::string_view payload;
    if (line["payload"].get_string().get(payload) == simdjson::SUCCESS) bytes += payload.size();
  }
  benchmark::DoNotOptimize(bytes);
  return seconds_now() - begin;
}

void replay(benchmark::State& state) {
  const auto plan = plan_of(4);
  const std::string text = capture(*plan);
  double alone = 0, lines_alone = 0, whole = 0;
  std::size_t messages = 0;
  for (auto _ : state) {
    alone = parse_alone(text);
    CapturedMessage message;
    double begin = seconds_now();
    {
      std::istringstream in(text);
      JsonLines lines(in);
      while (lines.next(message) == JsonLines::Read::message) benchmark::DoNotOptimize(message);
    }
    lines_alone = seconds_now() - begin;
    messages = 0;
    std::string out;
    begin = seconds_now();
    std::istringstream in(text);
    JsonLines lines(in);
    Intake intake(plan);
    Engine engine(plan, start());
    while (lines.next(message) == JsonLines::Read::message) {
      ++messages;
      const auto input = intake.decode(message.at, message.topic, message.payload, false);
      if (!input) continue;
      for (const Event& event : engine.step(*input).events) append_event(out, event);
    }
    whole = seconds_now() - begin;
  }
  const double n = static_cast<double>(messages);
  state.counters["messages"] = n;
  state.counters["us_a_message"] = whole / n * 1e6;
  state.counters["us_simdjson_alone"] = alone / n * 1e6;
  state.counters["us_json_lines"] = lines_alone / n * 1e6;
  std::fprintf(stderr, "replay: %.2f us a message; its lines read %.2f us, by simdjson alone %.2f us: %.1f times\n",
               whole / n * 1e6, lines_alone / n * 1e6, alone / n * 1e6, whole / alone);
  tell("replay: a message, more than simdjson alone", (whole - alone) / n * 1e6, "us", 1.5);
}
BENCHMARK(replay)->Iterations(1)->Unit(benchmark::kSecond);

}  // namespace
}  // namespace overwinter::bench
