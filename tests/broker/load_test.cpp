// More than any household sends: ten thousand messages a second, and a million messages.
//   OVERWINTER_LOAD_SECONDS   how long the first lasts (3; the whole is 60)
//   OVERWINTER_SOAK_MESSAGES  how many the second sends (30 000; the whole is 1 000 000)
#include <gtest/gtest.h>
#include <sqlite3.h>

#include <algorithm>
#include <iostream>
#include <map>
#include <thread>

#include "daemon/journal.h"
#include "rules/limits.h"
#include "tests/broker/rig.h"
#include "tests/broker/wire.h"

namespace overwinter::rig {
namespace {

using namespace std::chrono_literals;
using LoadClock = std::chrono::steady_clock;

// The sanitizers make the service several times slower and keep what is freed for a while.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool is_sanitized = true;
#else
constexpr bool is_sanitized = false;
#endif

double seconds_since(LoadClock::time_point begin) {
  return std::chrono::duration<double>(LoadClock::now() - begin).count();
}

std::string load_climate(int i) {
  return "{\"temperature\": " + std::to_string(i % 300 / 10) + "." + std::to_string(i % 10) + ", \"battery\": 2.9}";
}

std::string filled(const std::string& id, int i) {
  return "{\"id\":\"" + id + R"(","gear":"left_front_tire","act":"filled","pressure":")" + std::to_string(45 + i % 9) +
         " psi\"}";
}

// The `id` of an answer; empty: it is none.
std::string answered(const Wire::Publication& heard) {
  if (heard.topic != root + "answer") return {};
  const std::string key = "\"id\":\"";
  const std::size_t at = heard.payload.find(key) + key.size();
  return heard.payload.substr(at, heard.payload.find('"', at) - at);
}

void await_answer(Wire& person, const std::string& id) {
  const auto until = LoadClock::now() + patience;
  for (;;) {
    const auto heard = person.hear(1s);
    if (heard && answered(*heard) == id) return;
    ASSERT_LT(LoadClock::now(), until) << "no answer to " << id;
  }
}

void await_ready_service(Wire& person) {
  const auto until = LoadClock::now() + patience;
  for (;;) {
    const auto heard = person.hear(1s);
    if (heard && heard->topic == root + "service" && heard->payload == "ready") return;
    ASSERT_LT(LoadClock::now(), until) << "it is not ready";
  }
}

// The state that an alarm's topic took; empty: it is none.
std::string alarm_state(const Wire::Publication& heard) {
  if (heard.topic != root + "alarm/refrigerator_shut/refrigerator_door" || heard.retained) return {};
  const std::string key = "\"state\":\"";
  const std::size_t at = heard.payload.find(key);
  if (at == std::string::npos) return {};
  return heard.payload.substr(at + key.size(), heard.payload.find('"', at + key.size()) - at - key.size());
}

struct Journaled {
  std::uint64_t readings = 0, commands = 0;
};

Journaled journaled(const std::string& file) {
  Journaled out;
  const Journal::Opened opened = Journal::open(file, Instant{});
  if (!opened.journal) {
    ADD_FAILURE() << opened.said;
    return out;
  }
  std::uint64_t last = 0;
  EXPECT_TRUE(opened.journal->each_input_after(0, [&](const JournaledInput& input) {
    EXPECT_EQ(input.number, ++last) << "a number is missing";
    if (input.kind != JournaledInput::Kind::message) return;
    ++(input.topic.starts_with("garage/") ? out.readings : out.commands);
  }));
  return out;
}

// What another program reads in the journal while the service runs.
std::int64_t committed_inputs(const std::string& file) {
  sqlite3* db = nullptr;
  sqlite3_stmt* count = nullptr;
  std::int64_t inputs = 0;
  sqlite3_open_v2(file.c_str(), &db, SQLITE_OPEN_READONLY, nullptr);
  if (sqlite3_prepare_v2(db, "SELECT count(*) FROM inputs", -1, &count, nullptr) == SQLITE_OK &&
      sqlite3_step(count) == SQLITE_ROW) {
    inputs = sqlite3_column_int64(count, 0);
  }
  sqlite3_finalize(count);
  sqlite3_close(db);
  return inputs;
}

class Load : public testing::Test {
 protected:
  Load() {
    broker.start();
    person = std::make_unique<Wire>(broker.port(), "person");
    sensors = std::make_unique<Wire>(broker.port(), "sensors");
    person->subscribe(root + "#");
    daemon = std::make_unique<Daemon>(folder, broker.port());
    await_ready_service(*person);
  }
  Folder folder;
  Broker broker{folder};
  std::unique_ptr<Wire> person, sensors;
  std::unique_ptr<Daemon> daemon;
};

// Readings come at QoS 0: a broker that cannot hand them over, and the service beyond 16 MiB that wait, drop them, and
// a sensor says it again. What counts is lost nowhere: commands, at QoS 1, their answers, and alarms.
TEST_F(Load, TenThousandMessagesASecondLoseNothingThatCounts) {
  const int seconds = setting("OVERWINTER_LOAD_SECONDS", 3);
  const int a_second = is_sanitized ? 1000 : 10'000;
  constexpr int ticks_a_second = 100;
  const std::size_t before = daemon->process().resident_kib();
  const double processor_before = daemon->process().processor_seconds();
  std::map<std::string, LoadClock::time_point> asked;
  std::map<std::string, int> answers, states;
  std::size_t most = before;
  double slowest = 0, slowest_tick = 0;
  const auto hear = [&](std::chrono::milliseconds limit) {
    const auto heard = person->hear(limit);
    if (!heard) return false;
    if (const std::string state = alarm_state(*heard); !state.empty()) ++states[state];
    if (const std::string id = answered(*heard); !id.empty()) {
      EXPECT_NE(heard->payload.find("\"accepted\":true"), std::string::npos) << heard->payload;
      if (++answers[id] == 1) slowest = std::max(slowest, seconds_since(asked[id]));
    }
    return true;
  };

  const auto begin = LoadClock::now();
  int readings = 0, toggles = 0;
  for (int tick = 0; tick < seconds * ticks_a_second; ++tick) {
    for (int i = 0; i < a_second / ticks_a_second; ++i) sensors->publish("garage/climate", load_climate(readings++));
    if (tick % ticks_a_second == 50) {
      sensors->publish("garage/refrigerator", toggles++ % 2 == 0 ? "shut" : "open");
      ++readings;
    }
    sensors->flush();
    if (tick % 10 == 0) {
      const std::string id = std::to_string(tick);
      asked[id] = LoadClock::now();
      person->publish(root + "do/act", filled(id, tick), 1);
    }
    while (hear(0ms)) {
    }
    if (tick % ticks_a_second == 0) most = std::max(most, daemon->process().resident_kib());
    const auto next = begin + (tick + 1) * 1000ms / ticks_a_second;
    slowest_tick = std::max(slowest_tick, seconds_since(next));
    std::this_thread::sleep_until(next);
  }
  sensors->publish("garage/climate", load_climate(readings++), 1);
  sensors->settle();
  const double took = seconds_since(begin);
  asked["end"] = LoadClock::now();
  person->publish(root + "do/act", filled("end", 0), 1);
  const auto all_answered = [&] { return answers.size() == asked.size(); };
  while (!all_answered() && seconds_since(begin) < took + 30) hear(1s);
  const double caught_up = seconds_since(begin) - took;
  most = std::max(most, daemon->process().resident_kib());
  const double processor = daemon->process().processor_seconds() - processor_before;

  EXPECT_TRUE(all_answered()) << answers.size() << " of " << asked.size();
  for (const auto& [id, times] : answers) EXPECT_EQ(times, 1) << id;
  EXPECT_TRUE(daemon->process().runs());
  EXPECT_EQ(daemon->log().find("the broker is gone"), std::string::npos);
  const bool has_dropped = daemon->log().find("were dropped") != std::string::npos;
  EXPECT_EQ(daemon->stop(), 0);
  while (hear(200ms)) {
  }
  const Journaled kept = journaled(daemon->journal());
  EXPECT_EQ(kept.commands, asked.size());
  std::cout << readings << " readings in " << took << " s, " << kept.readings << " in the journal; " << asked.size()
            << " commands answered, the slowest after " << slowest << " s, the last " << caught_up
            << " s after the end; resident " << before / 1024 << " MB before, at most " << most / 1024
            << " MB; processor " << processor << " s; the speaker late by " << slowest_tick << " s at most\n";
  if (kept.readings == static_cast<std::uint64_t>(readings)) {
    EXPECT_EQ(states["unacknowledged"], (toggles + 1) / 2);
    EXPECT_EQ(states["cleared_unacknowledged"], toggles / 2);
  } else {
    std::cout << "readings were dropped by the " << (has_dropped ? "service" : "broker") << "\n";
  }
  if (!is_sanitized) {
    EXPECT_LT(most, before + 64 * 1024) << "what waits is bounded by 16 MiB";
  }
}

// Readings that tell nothing are committed together: after a minute, which is longer than the rig's patience, or when a
// thousand wait.
TEST_F(Load, AKillTakesBackAtMostABatchOfReadings) {
  constexpr int readings = 5500, batch = 1000;
  for (int i = 0; i < readings; ++i) sensors->publish("garage/climate", load_climate(i));
  sensors->flush();
  EXPECT_TRUE(eventually([&] { return committed_inputs(daemon->journal()) > readings - batch; }));
  daemon->kill();
  EXPECT_GT(journaled(daemon->journal()).readings, static_cast<std::uint64_t>(readings - batch));
}

// Each burst waits for the answer to the command behind it, so that nothing is dropped and all of it is worked on.
TEST_F(Load, ManyMessagesLeaveItAsSmallAsItWas) {
  const int messages = setting("OVERWINTER_SOAK_MESSAGES", 30'000);
  int sent = 0, commands = 0;
  const auto send = [&](int count, int burst) {
    for (const int until = sent + count; sent < until;) {
      for (int i = 0; i < burst; ++i) sensors->publish("garage/climate", load_climate(sent++));
      sensors->publish("garage/refrigerator", ++commands % 2 == 0 ? "open" : "shut", 1);
      ++sent;
      sensors->settle();
      const std::string id = std::to_string(commands);
      person->publish(root + "do/act", filled(id, commands), 1);
      await_answer(*person, id);
      if (testing::Test::HasFatalFailure()) return;
    }
  };
  send(messages / 10, 100);  // what is bounded fills up: command ids, rows of the page cache, windows
  const std::size_t before = daemon->process().resident_kib();
  const double processor_before = daemon->process().processor_seconds();
  const auto begin = LoadClock::now();
  const int first = sent;
  send(messages, 1000);
  const double took = seconds_since(begin);
  const std::size_t after = daemon->process().resident_kib();
  const double processor = daemon->process().processor_seconds() - processor_before;
  EXPECT_EQ(daemon->stop(), 0);
  const Journaled kept = journaled(daemon->journal());
  EXPECT_EQ(kept.commands, static_cast<std::uint64_t>(commands));
  std::cout << sent - first << " messages in " << took << " s, " << kept.readings << " readings of " << sent
            << " in the journal; resident " << before << " KiB before, " << after << " KiB after; processor "
            << processor * 1e6 / (sent - first) << " us a message\n";
  if (!is_sanitized) {
    EXPECT_LT(after, before + 4 * 1024) << "it grows";
  }
}

}  // namespace
}  // namespace overwinter::rig
