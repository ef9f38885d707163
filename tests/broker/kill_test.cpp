// Killed at any moment, it goes on as if nothing had been: what it did is what its journal says.
//   OVERWINTER_KILLS      how often (20)
//   OVERWINTER_KILL_SEED  of the moments; else a new one each time, which is printed
#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <iostream>
#include <map>
#include <random>
#include <set>
#include <thread>

#include "config/site_file.h"
#include "daemon/caretaker.h"
#include "daemon/event_json.h"
#include "daemon/journal.h"
#include "daemon/retained_state.h"
#include "tests/broker/rig.h"

namespace overwinter::rig {
namespace {

const std::string climate = "garage/climate";

std::shared_ptr<const Plan> plan_of(const std::string& site) {
  LoadedSite loaded = load_site(std::filesystem::path(site));
  return std::make_shared<const Plan>(*std::move(loaded.plan));
}

template <class What, class Append>
std::string appended(const What& what, const Append& append) {
  std::string text;
  append(text, what);
  return text;
}

// The value of a key, as it is written; empty: there is none.
std::string member(const std::string& json, const std::string& key) {
  const std::size_t at = json.find("\"" + key + "\":");
  if (at == std::string::npos) return {};
  const std::size_t begin = at + key.size() + 3;
  return json.substr(begin, json.find_first_of(",}", begin) - begin);
}

// A fresh caretaker over all inputs of the journal, from the first.
class Replay {
 public:
  explicit Replay(std::shared_ptr<const Plan> plan) : plan_(std::move(plan)), retained_(plan_) {}

  // Takes up the inputs since the last call.
  void go_on(Journal& journal) {
    const Result<void> read = journal.each_input_after(inputs, [this](const JournaledInput& input) { step(input); });
    EXPECT_TRUE(read.has_value());
  }
  std::string state() const { return caretaker_ ? caretaker_->snapshot() : std::string(); }

  std::uint64_t inputs = 0;
  std::set<std::string> answers, notices, readings;
  std::set<std::pair<std::string, std::string>> levels;  // what alarm and reminder topics held
  std::map<std::string, int> done;                       // acts, hand readings, reminders: how often

 private:
  void step(const JournaledInput& input) {
    EXPECT_EQ(input.number, ++inputs) << "a number is missing";
    if (!caretaker_) caretaker_.emplace(plan_, input.at);
    const Told told = caretaker_->step(input);
    if (input.topic == climate) readings.insert(input.payload);
    for (const Answer& answer : told.answers) answers.insert(appended(answer, append_answer));
    for (const Notice& notice : told.notices) notices.insert(appended(notice, append_notice));
    for (const Event& event : told.events) {
      const bool once = event.kind == EventKind::act || event.kind == EventKind::hand_reading ||
                        event.kind == EventKind::reminder_done;
      if (once) ++done[appended(event, append_event)];
    }
    if (input.kind == JournaledInput::Kind::message && told.nothing()) return;
    for (const Publication& p : retained_.whole(caretaker_->world(), input.at)) levels.emplace(p.topic, p.payload);
  }

  std::shared_ptr<const Plan> plan_;
  std::optional<Caretaker> caretaker_;
  RetainedState retained_;
};

// What a restart would make of it: the newest snapshot, and the inputs after it.
std::string recovered(Journal& journal, const std::shared_ptr<const Plan>& plan) {
  const SavedSnapshot saved = journal.snapshot().value_or(SavedSnapshot{});
  if (saved.bytes.empty()) return {};
  Result<Caretaker> caretaker = Caretaker::restore(plan, saved.bytes);
  EXPECT_TRUE(caretaker.has_value());
  (void)journal.each_input_after(saved.number, [&](const JournaledInput& input) { caretaker->step(input); });
  return caretaker->snapshot();
}

// All that a site is told, over and over. Each message has a number in it, so that no two are alike.
class Traffic {
 public:
  explicit Traffic(std::uint16_t port) : speaker_(port, "nothing"), thread_([this] { speak(); }) {}
  ~Traffic() { end(); }
  Traffic(const Traffic&) = delete;
  Traffic& operator=(const Traffic&) = delete;
  void end() {
    over_ = true;
    if (thread_.joinable()) thread_.join();
  }

 private:
  void command(const std::string& name, int i, const std::string& members) {
    const std::string n = std::to_string(i);
    speaker_.say(root + "do/" + name, "{\"id\":\"" + name + n + "\"," + members + ",\"note\":\"" + n + "\"}");
  }
  void speak() {
    for (int i = 0; !over_; ++i) {
      const std::string psi = "\"" + std::to_string(45 + i % 9) + " psi\"";
      speaker_.say(climate, "{\"temperature\": " + std::to_string(i % 30) + ", \"n\": " + std::to_string(i) + "}");
      if (i % 5 == 0) speaker_.say("garage/refrigerator", i % 10 == 0 ? "shut" : "open");
      if (i % 3 == 0) command("act", i, R"("gear":"left_front_tire","act":"filled","pressure":)" + psi);
      if (i % 4 == 0) command("record", i, R"("gear":"left_front_tire","quantity":"pressure","value":)" + psi);
      if (i % 7 == 0) command("acknowledge", i, R"("rule":"refrigerator_shut","gear":"refrigerator_door")");
      if (i % 50 == 0) command("done", i, R"("reminder":"look_at_cover","gear":"rig")");
      eventually([&] { return over_.load(); }, std::chrono::milliseconds(2));
    }
  }

  Ear speaker_;
  std::atomic<bool> over_ = false;
  std::thread thread_;
};

// The readings that came while the service was ready, and of these the ones before the last command that it answered:
// an answer is committed together with every input before it.
struct Hearing {
  std::vector<std::string> readings;
  std::size_t answered_for = 0;
};

Hearing last_hearing(const std::vector<Heard>& heard, std::size_t from) {
  Hearing run;
  std::map<std::string, std::size_t> before;  // by a command's id: readings
  bool ready = false;
  for (std::size_t i = from; i < heard.size(); ++i) {
    const auto& [topic, payload, retained, correlation] = heard[i];
    if (topic == root + "service" && payload == "ready") ready = true;
    if (!ready) continue;
    if (topic == climate) run.readings.push_back(payload);
    if (topic.starts_with(root + "do/")) before[member(payload, "id")] = run.readings.size();
    if (topic != root + "answer") continue;
    const auto asked = before.find(member(payload, "id"));
    if (asked != before.end()) run.answered_for = std::max(run.answered_for, asked->second);
  }
  return run;
}

void await_ready(const Ear& ear, std::size_t from) {
  EXPECT_TRUE(ear.eventually([from](const std::vector<Heard>& heard) {
    return std::any_of(heard.begin() + static_cast<std::ptrdiff_t>(from), heard.end(),
                       [](const Heard& h) { return h.topic == root + "service" && h.payload == "ready"; });
  }));
}

// Every answer, notice, alarm and reminder that a subscriber saw.
void expect_all_in(const Replay& replay, const std::vector<Heard>& all, std::size_t least_answers) {
  std::map<std::string, std::set<std::string>> answers;
  std::size_t notices = 0, alarms = 0;
  for (const auto& [topic, payload, retained, correlation] : all) {
    if (topic == root + "answer") {
      EXPECT_TRUE(replay.answers.contains(payload)) << payload;
      answers[member(payload, "id")].insert(payload.substr(payload.find("\"command\"")));
    } else if (topic == root + "notice") {
      ++notices;
      EXPECT_TRUE(replay.notices.contains(payload)) << payload;
    } else if (topic.starts_with(root + "alarm/") || topic.starts_with(root + "reminder/")) {
      alarms += payload.empty() ? 0U : 1U;
      EXPECT_TRUE(replay.levels.contains({topic, payload})) << topic << ": " << payload;
    }
  }
  EXPECT_GT(answers.size(), least_answers);
  EXPECT_GT(notices, 0U);
  EXPECT_GT(alarms, 0U);
  for (const auto& [id, texts] : answers) EXPECT_EQ(texts.size(), 1U) << id << " has two answers";
  for (const auto& [what, times] : replay.done) EXPECT_EQ(times, 1) << what;
  std::cout << replay.inputs << " inputs; seen and found in them: " << answers.size() << " answers, " << notices
            << " notices, " << alarms << " levels of alarms and reminders; " << replay.done.size()
            << " acts, hand readings and reminders done once each\n";
}

TEST(Kill, AtAnyMomentLosesNothingThatWasTold) {
  const int kills = setting("OVERWINTER_KILLS", 100);
  const int seed = setting("OVERWINTER_KILL_SEED", static_cast<int>(std::random_device{}() >> 1U));
  std::cout << kills << " kills, OVERWINTER_KILL_SEED=" << seed << "\n";
  std::mt19937 random(static_cast<unsigned>(seed));
  const Folder folder;
  Broker broker(folder);
  broker.start();
  const Ear ear(broker.port());
  Daemon daemon(folder, broker.port());
  ear.await(root + "service", "ready");
  const auto plan = plan_of(daemon.site());

  Replay replay(plan);
  std::size_t heard_before = 0, lost_in_all = 0, lost_at_most = 0;
  int ready_when_killed = 0;
  Traffic traffic(broker.port());
  for (int round = 0; round < kills; ++round) {
    const std::chrono::milliseconds moment(std::uniform_int_distribution<int>(1, 300)(random));
    if (round % 2 == 0) await_ready(ear, heard_before);  // else it may still be starting
    eventually([] { return false; }, moment);            // the moment is what is tested
    daemon.kill();
    const std::vector<Heard> heard = ear.all();
    const Hearing run = last_hearing(heard, heard_before);
    heard_before = heard.size();
    {
      const Journal::Opened opened = Journal::open(daemon.journal(), Instant{});
      ASSERT_TRUE(opened.journal) << opened.said;
      EXPECT_EQ(opened.said, "");
      replay.go_on(*opened.journal);
      const std::string again = recovered(*opened.journal, plan);
      EXPECT_TRUE(again.empty() || replay.state() == again) << "in round " << round;
    }
    std::size_t lost = 0;
    for (std::size_t i = 0; i < run.readings.size(); ++i) {
      if (replay.readings.contains(run.readings[i])) continue;
      ++lost;
      EXPECT_GE(i, run.answered_for) << run.readings[i] << " came before what was answered, in round " << round;
    }
    ready_when_killed += run.readings.empty() ? 0 : 1;
    lost_in_all += lost;
    lost_at_most = std::max(lost_at_most, lost);
    daemon.start();
  }
  traffic.end();
  ear.say(root + "do/unshelve", "{\"id\":\"last\"}");
  ear.await(root + "answer", "\"id\":\"last\"");
  EXPECT_EQ(daemon.stop(), 0);
  ear.await(root + "service", "stopping");
  std::cout << ready_when_killed << " of the kills met it hearing; they lost " << lost_in_all
            << " readings that nothing told rests on, at most " << lost_at_most << " a kill\n";

  const Journal::Opened opened = Journal::open(daemon.journal(), Instant{});
  ASSERT_TRUE(opened.journal);
  Replay whole(plan);
  whole.go_on(*opened.journal);
  EXPECT_TRUE(whole.state() == opened.journal->snapshot()->bytes) << "the state at its end is not its journal's";
  expect_all_in(whole, ear.all(), static_cast<std::size_t>(kills));
}

TEST(Kill, WhatIsLeftInTheOutboxIsSentAfterTheStart) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Daemon daemon(folder, broker.port());
  const Ear ear(broker.port());
  ear.await(root + "service", "ready");
  daemon.kill();
  {
    const Journal::Opened opened = Journal::open(daemon.journal(), Instant{});
    ASSERT_TRUE(opened.journal) << opened.said;
    std::vector<OutboxEntry> outbox{{0, root + "notice", "{\"id\":\"left over\"}", {}, {}},
                                    {0, root + "answer", "{\"id\":\"late\"}", "phone/answers", "7"}};
    ASSERT_TRUE(opened.journal->commit({}, outbox, true));
  }
  daemon.start();
  ear.await(root + "notice", "left over");
  ear.await(root + "answer", "late");
  EXPECT_EQ(ear.await("phone/answers", "late").correlation, "7");
  EXPECT_EQ(daemon.stop(), 0);
  const Journal::Opened opened = Journal::open(daemon.journal(), Instant{});
  ASSERT_TRUE(opened.journal);
  EXPECT_TRUE(opened.journal->outbox()->empty()) << "what was delivered is sent no more";
}

}  // namespace
}  // namespace overwinter::rig
