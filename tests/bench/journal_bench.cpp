// What the journal writes to the disk in a day of the demo site: a message of each topic every 10 min, committed as the
// service does it (a minute after the first that waits; at once and synced when something is told; a snapshot every 6
// h). Bytes are those of /proc/self/io `wchar`: handed to write(), before the file system adds its own.
#include <fmt/format.h>
#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "daemon/caretaker.h"
#include "daemon/event_json.h"
#include "daemon/journal.h"
#include "daemon/json_lines.h"
#include "daemon/retention.h"
#include "rules/limits.h"
#include "tests/bench/bench_site.h"
#include "tests/places.h"
#include "tests/winter/alder_bend.h"

namespace overwinter::bench {
namespace {

constexpr double aim_megabytes_a_day = 5;
constexpr Span snapshot_interval = 12 * one_hour;

double bytes_written() {
  std::ifstream in("/proc/self/io");
  std::string name;
  double value = 0;
  while (in >> name >> value) {
    if (name == "wchar:") return value;
  }
  return 0;
}

void alder_bend_days(benchmark::State& state) {
  constexpr int days = 45;  // so that the last ones also bring readings older than 30 d down to hours
  LoadedSite site = load_site(places::repository() / "config/examples/alder-bend/site.yaml");
  const auto plan = std::make_shared<const Plan>(std::move(*site.plan));
  std::string folder = (std::filesystem::temp_directory_path() / "overwinter-bench-XXXXXX").string();
  if (::mkdtemp(folder.data()) == nullptr) return;
  for (auto _ : state) {
    std::istringstream in(alder_bend_winter({7, days, 10 * one_minute}));
    JsonLines lines(in);
    CapturedMessage m;
    auto journal = std::move(Journal::open(folder + "/a.sqlite", start()).journal);
    std::unique_ptr<Caretaker> caretaker;
    std::uint64_t number = 0, commits = 0, synced = 0;
    Instant begin{}, waits_since = never, snapshot_at{}, small_at{};
    double snapshots = 0, hours = 0, all = bytes_written(), last_fortnight = 0;
    std::vector<OutboxEntry> outbox;
    while (lines.next(m) == JsonLines::Read::message) {
      if (!caretaker) {
        caretaker = std::make_unique<Caretaker>(plan, m.at);
        begin = snapshot_at = small_at = m.at;
      }
      if (last_fortnight == 0 && m.at > begin + (days - 14) * one_day) last_fortnight = bytes_written();
      if (waits_since != never && m.at - waits_since >= limits::readings_committed_within) {
        outbox.clear();
        if (!journal->commit({}, outbox, false)) state.SkipWithError("the journal cannot be written");
        ++commits;
        waits_since = never;
      }
      if (m.at - snapshot_at >= snapshot_interval) {
        snapshot_at = m.at;
        const double before = bytes_written();
        if (!journal->save_snapshot(number, caretaker->snapshot())) state.SkipWithError("no snapshot");
        snapshots += bytes_written() - before;
      }
      if (m.at - small_at >= one_day) {
        small_at = m.at;
        const double before = bytes_written();
        Result<bool> more = true;
        while (more && *more) more = thin_by_age(*journal, *plan, m.at);
        if (!more || !forget_old(*journal, *plan, m.at)) state.SkipWithError("it cannot be kept small");
        hours += bytes_written() - before;
      }
      const JournaledInput input{
          ++number, m.at, JournaledInput::Kind::message, std::string(m.topic), std::string(m.payload), m.retained};
      const Told told = caretaker->step(input);
      journal->add(input);
      if (told.nothing()) {
        if (waits_since == never) waits_since = m.at;
        continue;
      }
      outbox.clear();
      for (const Answer& answer : told.answers) {
        outbox.push_back({});
        append_answer(outbox.back().payload, answer);
      }
      for (const Notice& notice : told.notices) {
        outbox.push_back({});
        append_notice(outbox.back().payload, notice);
      }
      if (!journal->commit(told.events, outbox, true)) state.SkipWithError("the journal cannot be written");
      for (const OutboxEntry& entry : outbox) (void)journal->delivered(entry.id);
      ++synced;
      waits_since = never;
    }
    journal.reset();
    const double end = bytes_written(), megabyte = 1e6,
                 size = static_cast<double>(std::filesystem::file_size(folder + "/a.sqlite"));
    all = end - all;
    fmt::print(stderr, "{} inputs, {} commits a day of readings, {} synced in all; snapshot {} bytes; file {:.1f} MB\n",
               number, commits / days, synced, caretaker->snapshot().size(), size / megabyte);
    tell("journal, bytes written a day (mean)", all / days / megabyte, "MB", aim_megabytes_a_day);
    tell("  of these by snapshots", snapshots / days / megabyte, "MB", aim_megabytes_a_day);
    tell("  of these by old readings that become hours", hours / days / megabyte, "MB", aim_megabytes_a_day);
    tell("journal, bytes written a day (last 14)", (end - last_fortnight) / 14 / megabyte, "MB", aim_megabytes_a_day);
  }
  std::filesystem::remove_all(folder);
}
BENCHMARK(alder_bend_days)->Iterations(1)->Unit(benchmark::kSecond);

}  // namespace
}  // namespace overwinter::bench
