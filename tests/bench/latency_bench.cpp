// From a sensor's message to the alarm that it means, by way of the broker, beside a bare client that echoes at once.
// One message is under way at a time; every socket has TCP_NODELAY. The sensor speaks at QoS 0, the alarm is published
// at QoS 1 and heard at QoS 0, as the echo is. On a disk the alarm waits for the synced commit before it.
#include <benchmark/benchmark.h>
#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <cstdlib>

#include "tests/bench/service_rig.h"

namespace overwinter::bench {
namespace {

constexpr int rounds = 1000;
const std::string alarm_topic = rig::root + "alarm/refrigerator_shut/refrigerator_door";

double seconds_now() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

// ms, of writing a page over another and syncing it: what a commit to a log that has grown cannot do without.
double median_sync_ms(const std::string& file) {
  constexpr int pages = 200;
  const int fd = ::open(file.c_str(), O_CREAT | O_WRONLY | O_CLOEXEC, 0600);
  std::array<char, 4096> page{};
  const auto write_page = [&](int at) {
    const off_t offset = static_cast<off_t>(at) * static_cast<off_t>(page.size());
    return ::pwrite(fd, page.data(), page.size(), offset) == static_cast<ssize_t>(page.size());
  };
  bool written = true;
  for (int i = 0; i < pages; ++i) written = written && write_page(i);
  std::vector<double> took;
  for (int i = 0; written && ::fsync(fd) == 0 && i < pages; ++i) {
    page[0] = 'x';
    const double begin = seconds_now();
    if (!write_page(i) || ::fdatasync(fd) != 0) break;
    took.push_back((seconds_now() - begin) * 1e3);
  }
  ::close(fd);
  return median(took);
}

// Of many times in ms, the one that `part` of them do not exceed.
double at(std::vector<double> times, double part) {
  if (times.empty()) return 0;
  std::ranges::sort(times);
  return times[static_cast<std::size_t>(part * static_cast<double>(times.size() - 1))];
}

double once(rig::Wire& wire, const std::string& topic, const std::string& says, const std::string& answer,
            std::string_view part) {
  const double begin = seconds_now();
  wire.publish(topic, says);
  seconds_until(wire, answer, part);
  return (seconds_now() - begin) * 1e3;
}

struct Run {
  std::vector<double> echo, notice, alarm;
  double sync = 0;
};

// By turns, so that what else the machine does meets both alike.
Run run_in(const char* place) {
  ::setenv("TMPDIR", place, 1);
  const rig::Folder folder;
  rig::Broker broker(folder);
  broker.start();
  rig::Wire wire(broker.port(), "speaker");
  wire.subscribe(alarm_topic);
  wire.subscribe(rig::root + "notice");
  wire.subscribe(rig::root + "service");
  wire.subscribe("bare/ready");
  wire.subscribe("bare/alarm");
  const rig::Process bare(bare_command(broker.port(), {"echo", "bare/door", "bare/alarm"}), folder / "bare.log");
  seconds_until(wire, "bare/ready", "ready");
  const rig::Daemon daemon(folder, broker.port());
  seconds_until(wire, rig::root + "service", "ready");
  Run run;
  for (int round = 0; round < rounds; ++round) {
    run.echo.push_back(once(wire, "bare/door", "shut", "bare/alarm", ""));
    const double begin = seconds_now();
    wire.publish("garage/refrigerator", "shut");
    seconds_until(wire, alarm_topic, "\"state\":\"unacknowledged\"");  // leaves first
    run.alarm.push_back((seconds_now() - begin) * 1e3);
    seconds_until(wire, rig::root + "notice", "\"event\":\"raised\"");
    run.notice.push_back((seconds_now() - begin) * 1e3);
    once(wire, "garage/refrigerator", "open", alarm_topic, "\"state\":\"cleared_unacknowledged\"");
  }
  run.sync = median_sync_ms(folder / "sync");
  return run;
}

void sensor_to_alarm(benchmark::State& state) {
  for (auto _ : state) {
    const Run memory = run_in("/dev/shm");
    tell_ratio("sensor to alarm, journal in memory, median", at(memory.alarm, 0.5), at(memory.echo, 0.5), "ms", 1.5);
    tell_ratio("sensor to its notice, journal in memory, median", at(memory.notice, 0.5), at(memory.echo, 0.5), "ms",
               0);
    tell_ratio("  99 of 100", at(memory.alarm, 0.99), at(memory.echo, 0.99), "ms", 0);
    const Run disk = run_in("/var/tmp");
    const double floor = at(disk.echo, 0.5) + disk.sync;
    tell_ratio("sensor to its notice, journal on disk", at(disk.notice, 0.5), floor, "ms", 0);
    tell_ratio("sensor to alarm, journal on disk; floor: echo and sync", at(disk.alarm, 0.5), floor, "ms", 0);
    tell_ratio("  99 of 100", at(disk.alarm, 0.99), floor, "ms", 0);
    fmt::print(stderr, "  a page written and synced: {:.3f} ms\n", disk.sync);
    state.counters["memory_ratio"] = at(memory.alarm, 0.5) / at(memory.echo, 0.5);
    state.counters["disk_ms"] = at(disk.alarm, 0.5);
  }
}
BENCHMARK(sensor_to_alarm)->Iterations(1)->Unit(benchmark::kSecond);

}  // namespace
}  // namespace overwinter::bench
