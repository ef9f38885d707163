// Replay from JSON Lines beside parsing the same lines alone with simdjson.
#include <fmt/format.h>
#include <simdjson.h>

#include <sstream>

#include "daemon/event_json.h"
#include "daemon/intake.h"
#include "daemon/json_lines.h"
#include "rules/engine/engine.h"
#include "tests/bench/bench_site.h"
#include "tests/bench/median.h"

namespace overwinter::bench {
namespace {

// As the sensor of a topic writes it: a number or word alone, or an object with all of its members.
std::string payload_of(const Plan& plan, const std::vector<std::uint32_t>& sensors, std::uint32_t minute) {
  std::string members;
  for (const std::uint32_t s : sensors) {
    const Sensor& sensor = plan.sensors[s];
    if (plan.slots[sensor.slot].type.sort == Sort::boolean) return "true";
    double value = value_of(plan, s, minute);
    if (sensor.pointer == "/kpa") value /= 1000;
    if (sensor.pointer == "/rh") value *= 100;
    if (!sensor.has_pointer) return fmt::format("{:.3f}", value);
    members += fmt::format(R"({}\"{}\":{:.3f})", members.empty() ? "" : ",", sensor.pointer.substr(1), value);
  }
  return "{" + members + "}";
}

// Two days of 40 sensors, one message of each topic a minute.
std::string capture(const Plan& plan) {
  std::string lines;
  const auto topics = sensors_by_topic(plan);
  for (std::uint32_t minute = 0; minute < 2 * 1440; ++minute) {
    for (std::size_t t = 0; t < topics.size(); ++t) {
      lines += fmt::format("{{\"at\":\"{}\",\"topic\":\"{}\",\"payload\":\"{}\"}}\n",
                           format_rfc3339(start() + minute * one_minute + Span(t * 1000)),
                           plan.sensors[topics[t].front()].topic, payload_of(plan, topics[t], minute));
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
  std::vector<double> alone_of_each, lines_of_each, whole_of_each;  // by turns, so that all meet the same machine
  std::size_t messages = 0;
  for (auto _ : state) {
    alone_of_each.push_back(parse_alone(text));
    CapturedMessage message;
    double begin = seconds_now();
    {
      std::istringstream in(text);
      JsonLines lines(in);
      while (lines.next(message) == JsonLines::Read::message) benchmark::DoNotOptimize(message);
    }
    lines_of_each.push_back(seconds_now() - begin);
    messages = 0;
    std::string out;
    begin = seconds_now();
    std::istringstream in(text);
    JsonLines lines(in);
    Intake intake(plan);
    Engine engine(plan, start());
    while (lines.next(message) == JsonLines::Read::message) {
      ++messages;
      const Input* input = intake.decode(message.at, message.topic, message.payload, false);
      if (input == nullptr) continue;
      for (const Event& event : engine.step(*input).events) append_event(out, event);
    }
    whole_of_each.push_back(seconds_now() - begin);
  }
  const double alone = median(alone_of_each), lines_alone = median(lines_of_each), whole = median(whole_of_each);
  const double n = static_cast<double>(messages);
  state.counters["messages"] = n;
  state.counters["us_a_message"] = whole / n * 1e6;
  state.counters["us_simdjson_alone"] = alone / n * 1e6;
  state.counters["us_json_lines"] = lines_alone / n * 1e6;
  std::fprintf(stderr, "replay: %.2f us a message; its lines read %.2f us, by simdjson alone %.2f us: %.1f times\n",
               whole / n * 1e6, lines_alone / n * 1e6, alone / n * 1e6, whole / alone);
  tell("replay: a message, more than simdjson alone", (whole - alone) / n * 1e6, "us", 1.5);
}
BENCHMARK(replay)->Iterations(5)->Unit(benchmark::kSecond);

}  // namespace
}  // namespace overwinter::bench
