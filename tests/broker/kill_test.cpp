// Killed at any moment, it goes on as if nothing had been: what it did is what its journal says.
#include <gtest/gtest.h>

#include <atomic>
#include <map>
#include <random>
#include <set>
#include <thread>

#include "config/site_file.h"
#include "daemon/caretaker.h"
#include "daemon/event_json.h"
#include "daemon/journal.h"
#include "tests/broker/rig.h"

namespace overwinter::rig {
namespace {

const std::string root = "overwinter/rig/";

struct Replayed {
  std::string state;  // after the last input
  std::set<std::string> answers, notices;
  std::map<std::string, int> acts;  // by what was done: how often
  std::uint64_t inputs = 0;
};

std::shared_ptr<const Plan> plan_of(const std::string& site) {
  LoadedSite loaded = load_site(std::filesystem::path(site));
  return std::make_shared<const Plan>(*std::move(loaded.plan));
}

// A fresh caretaker over all inputs of the journal, from the first.
Replayed replay(Journal& journal, const std::shared_ptr<const Plan>& plan) {
  Replayed out;
  std::optional<Caretaker> caretaker;
  const Result<void> read = journal.each_input_after(0, [&](const JournaledInput& input) {
    EXPECT_EQ(input.number, out.inputs + 1) << "a number is missing";
    if (!caretaker) caretaker.emplace(plan, input.at);
    const Told told = caretaker->step(input);
    for (const Answer& answer : told.answers) {
      std::string text;
      append_answer(text, answer);
      out.answers.insert(text);
    }
    for (const Notice& notice : told.notices) {
      std::string text;
      append_notice(text, notice);
      out.notices.insert(text);
    }
    for (const Event& event : told.events) {
      if (event.kind != EventKind::act) continue;
      std::string text;
      append_event(text, event);
      ++out.acts[text];
    }
    ++out.inputs;
  });
  EXPECT_TRUE(read.has_value());
  if (caretaker) out.state = caretaker->snapshot();
  return out;
}

// What a restart would make of it: the newest snapshot, and the inputs after it.
std::string recovered(Journal& journal, const std::shared_ptr<const Plan>& plan) {
  const SavedSnapshot saved = journal.snapshot().value_or(SavedSnapshot{});
  if (saved.bytes.empty()) return {};
  Result<Caretaker> caretaker = Caretaker::restore(plan, saved.bytes);
  EXPECT_TRUE(caretaker.has_value());
  (void)journal.each_input_after(saved.number, [&](const JournaledInput& input) { caretaker->step(input); });
  return caretaker->snapshot();
}

TEST(Kill, AtAnyMomentLosesNothingThatWasTold) {
  const unsigned seed = std::random_device{}();
  SCOPED_TRACE("seed " + std::to_string(seed));
  std::mt19937 random(seed);
  const Folder folder;
  Broker broker(folder);
  broker.start();
  const Ear ear(broker.port(), root + "#");
  const Ear speaker(broker.port(), "nothing");
  Daemon daemon(folder, broker.port());
  ear.await(root + "service", "ready");
  const auto plan = plan_of(daemon.site());

  std::atomic<bool> over = false;
  std::thread traffic([&] {
    for (int i = 0; !over; ++i) {
      const std::string n = std::to_string(i);
      speaker.say("garage/climate", "{\"temperature\": " + std::to_string(i % 30) + "}");
      if (i % 5 == 0) speaker.say("garage/refrigerator", i % 10 == 0 ? "shut" : "open");
      if (i % 3 == 0) {
        speaker.say(root + "do/act", "{\"id\":\"" + n +
                                         "\",\"gear\":\"left_front_tire\",\"act\":\"filled\",\"pressure\":\"" +
                                         std::to_string(45 + i % 9) + " psi\",\"note\":\"" + n + "\"}");
      }
      eventually([&] { return over.load(); }, std::chrono::milliseconds(2));
    }
  });
  for (int round = 0; round < 20; ++round) {
    const std::chrono::milliseconds moment(std::uniform_int_distribution<int>(1, 300)(random));
    eventually([] { return false; }, moment);  // the moment is what is tested
    daemon.kill();
    {
      const Journal::Opened opened = Journal::open(daemon.journal(), Instant{});
      ASSERT_TRUE(opened.journal) << opened.said;
      EXPECT_EQ(opened.said, "");
      const std::string again = recovered(*opened.journal, plan);
      EXPECT_TRUE(again.empty() || replay(*opened.journal, plan).state == again) << "in round " << round;
    }
    daemon.start();
  }
  over = true;
  traffic.join();
  speaker.say(root + "do/unshelve", "{\"id\":\"last\"}");
  ear.await(root + "answer", "\"id\":\"last\"");
  EXPECT_EQ(daemon.stop(), 0);
  ear.await(root + "service", "stopping");

  const Journal::Opened opened = Journal::open(daemon.journal(), Instant{});
  ASSERT_TRUE(opened.journal);
  const Replayed whole = replay(*opened.journal, plan);
  EXPECT_TRUE(whole.state == opened.journal->snapshot()->bytes) << "the state at its end is not its journal's";
  std::map<std::string, std::set<std::string>> answers_by_id;
  std::size_t notices = 0;
  for (const Heard& heard : ear.all()) {
    if (heard.topic == root + "answer") {
      EXPECT_TRUE(whole.answers.contains(heard.payload)) << heard.payload;
      const std::size_t id = heard.payload.find("\"id\":");
      answers_by_id[heard.payload.substr(id, heard.payload.find(',', id) - id)].insert(
          heard.payload.substr(heard.payload.find("\"command\"")));
    }
    if (heard.topic == root + "notice") {
      ++notices;
      EXPECT_TRUE(whole.notices.contains(heard.payload)) << heard.payload;
    }
  }
  EXPECT_GT(answers_by_id.size(), 20U);
  EXPECT_GT(notices, 0U);
  for (const auto& [id, answers] : answers_by_id) EXPECT_EQ(answers.size(), 1U) << id << " has two answers";
  for (const auto& [act, times] : whole.acts) EXPECT_EQ(times, 1) << act;
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
