// What the running service costs on the demo site: processor time a message, memory and start, each beside a bare
// client with the same libraries, on the same broker, in the same run.
#include <benchmark/benchmark.h>

#include <csignal>
#include <memory>
#include <thread>

#include "config/site_file.h"
#include "daemon/caretaker.h"
#include "daemon/intake.h"
#include "daemon/journal.h"
#include "tests/bench/service_rig.h"

namespace overwinter::bench {
namespace {

using namespace std::chrono_literals;

const std::string root = "overwinter/alder_bend/";

double seconds_now() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

std::shared_ptr<const Plan> plan_at(const std::string& site) {
  LoadedSite loaded = load_site(std::filesystem::path(site));
  return std::make_shared<const Plan>(std::move(*loaded.plan));
}

void await_answer(rig::Wire& wire) {
  wire.publish(root + "do/unshelve", R"({"id":"end"})", 1);
  seconds_until(wire, root + "answer", "\"id\":\"end\"");
}

// Both hear the same messages of the same broker at the same time: what else the machine does meets them alike.
void a_message(benchmark::State& state) {
  constexpr double a_second = 4000;
  constexpr std::size_t count = 40'000;
  for (auto _ : state) {
    const rig::Folder folder;
    rig::Broker broker(folder);
    broker.start();
    const auto plan = plan_at(write_demo_site(folder, broker.port()));
    rig::Wire wire(broker.port(), "speaker");
    wire.subscribe(root + "service");
    wire.subscribe(root + "answer");
    wire.subscribe("bare/ready");
    std::vector<std::string> hears{"hear"};
    const Intake intake(plan);
    hears.insert(hears.end(), intake.sensor_topics().begin(), intake.sensor_topics().end());
    const rig::Process bare(bare_command(broker.port(), hears), folder / "bare.log");
    seconds_until(wire, "bare/ready", "ready");
    const rig::Process service(service_command(folder), folder / "overwinterd.log");
    seconds_until(wire, root + "service", "ready");
    await_answer(wire);

    const double ours_before = service.processor_seconds(), floor_before = bare.processor_seconds();
    const std::vector<Reading> readings = demo_readings(25);
    const double begin = seconds_now();
    for (std::size_t i = 0; i < count; ++i) {
      const Reading& reading = readings[i % readings.size()];
      wire.publish(reading.topic, reading.payload);
      if (i % 20 != 19) continue;
      wire.flush();
      const double early = static_cast<double>(i) / a_second - (seconds_now() - begin);
      if (early > 0) std::this_thread::sleep_for(std::chrono::duration<double>(early));
    }
    await_answer(wire);
    const double each = 1e6 / static_cast<double>(count);
    const double ours = (service.processor_seconds() - ours_before) * each;
    const double floor = (bare.processor_seconds() - floor_before) * each;
    state.counters["service_us"] = ours;
    state.counters["bare_client_us"] = floor;
    state.counters["ratio"] = ours / floor;
    tell_ratio(fmt::format("processor time a message, {:.0f} a second", a_second).c_str(), ours, floor, "us", 3);
    fmt::print(stderr, "  resident after {} messages: {:.1f} MB; the bare client {:.1f} MB\n", count,
               resident_megabytes(service), resident_megabytes(bare));
  }
}
BENCHMARK(a_message)->Iterations(1)->Unit(benchmark::kSecond);

void memory(benchmark::State& state) {
  for (auto _ : state) {
    const rig::Folder folder;
    rig::Broker broker(folder);
    broker.start();
    write_demo_site(folder, broker.port());
    rig::Wire wire(broker.port(), "speaker");
    wire.subscribe("#");
    const rig::Process bare(bare_command(broker.port(), {"idle"}), folder / "bare.log");
    seconds_until(wire, "bare/ready", "ready");
    const rig::Process service(service_command(folder), folder / "overwinterd.log");
    seconds_until(wire, root + "service", "ready");
    for (const Reading& reading : demo_readings(1)) wire.publish(reading.topic, reading.payload);
    await_answer(wire);
    const double ours = resident_megabytes(service), floor = resident_megabytes(bare);
    state.counters["service_mb"] = ours;
    state.counters["bare_client_mb"] = floor;
    tell_more("resident memory, a day of readings heard", ours, floor, "MB", 8);
  }
}
BENCHMARK(memory)->Iterations(1)->Unit(benchmark::kSecond);

// A journal that ends now, written as the service does: the most inputs that it leaves behind a snapshot are behind
// one.
void fill_journal(const std::string& file, const std::shared_ptr<const Plan>& plan, std::size_t inputs,
                  std::size_t behind_snapshot) {
  const auto journal = std::move(Journal::open(file, Instant{}).journal);
  const std::vector<Reading> readings = demo_readings(25);
  const Instant end = std::chrono::floor<std::chrono::milliseconds>(std::chrono::system_clock::now());
  constexpr Span apart = 30s;
  Caretaker caretaker(plan, end - static_cast<std::int64_t>(inputs) * apart);
  std::vector<OutboxEntry> none;
  for (std::uint64_t number = 1; number <= inputs; ++number) {
    const Reading& reading = readings[number % readings.size()];
    const JournaledInput input{number,
                               end - static_cast<std::int64_t>(inputs - number) * apart,
                               JournaledInput::Kind::message,
                               reading.topic,
                               reading.payload,
                               false};
    const Told told = caretaker.step(input);
    journal->add(input);
    if (number % 1000 == 0 || !told.events.empty()) (void)journal->commit(told.events, none, false);
    if (number == inputs - behind_snapshot) (void)journal->save_snapshot(number, caretaker.snapshot());
  }
  (void)journal->commit({}, none, true);
}

double start_seconds(rig::Wire& wire, const std::vector<std::string>& command, const std::string& log,
                     const std::string& ready) {
  while (wire.hear(0ms)) {
  }
  rig::Process process(command, log);
  const double took = seconds_until(wire, ready, "ready");
  process.signal(SIGTERM);
  process.exit_code();
  return took;
}

void start_to_ready(benchmark::State& state) {
  constexpr int rounds = 4;
  constexpr std::size_t inputs = 100'000, behind_snapshot = 49'000;
  for (auto _ : state) {
    const rig::Folder folder;
    rig::Broker broker(folder);
    broker.start();
    const auto plan = plan_at(write_demo_site(folder, broker.port()));
    rig::Wire wire(broker.port(), "speaker");
    wire.subscribe(root + "service");
    wire.subscribe("bare/ready");
    const std::string file = folder / "journal.sqlite", filled = folder / "filled.sqlite";
    fill_journal(filled, plan, inputs, behind_snapshot);
    std::vector<double> bare, empty, full, read;
    for (int round = 0; round < rounds; ++round) {
      bare.push_back(start_seconds(wire, bare_command(broker.port(), {"idle"}), folder / "log", "bare/ready"));
      std::filesystem::remove(file);
      empty.push_back(start_seconds(wire, service_command(folder), folder / "log", root + "service"));
      std::filesystem::copy_file(filled, file, std::filesystem::copy_options::overwrite_existing);
      const double begin = seconds_now();
      {
        const auto journal = std::move(Journal::open(file, Instant{}).journal);
        (void)journal->each_input_after(journal->snapshot()->number, [](const JournaledInput&) {});
      }
      read.push_back(seconds_now() - begin);
      full.push_back(start_seconds(wire, service_command(folder), folder / "log", root + "service"));
    }
    state.counters["empty_ms"] = median(empty) * 1e3;
    state.counters["filled_ms"] = median(full) * 1e3;
    tell_ratio("start to ready, empty journal", median(empty) * 1e3, median(bare) * 1e3, "ms", 0);
    tell_ratio(fmt::format("start to ready, {} inputs, {} to apply again", inputs, behind_snapshot).c_str(),
               median(full) * 1e3, (median(bare) + median(read)) * 1e3, "ms", 0);
  }
}
BENCHMARK(start_to_ready)->Iterations(1)->Unit(benchmark::kSecond);

}  // namespace
}  // namespace overwinter::bench
