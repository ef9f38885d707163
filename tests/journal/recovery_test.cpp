// A restart: the newest snapshot and the inputs after it give the state of a run that was never cut, byte for byte.
#include <gtest/gtest.h>

#include <iostream>
#include <sstream>

#include "config/site_file.h"
#include "daemon/caretaker.h"
#include "daemon/journal.h"
#include "daemon/json_lines.h"
#include "daemon/retention.h"
#include "tests/journal/journal_contents.h"
#include "tests/journal/temporary_folder.h"
#include "tests/places.h"
#include "tests/winter/alder_bend.h"
#include "tests/winter/splitmix.h"

namespace overwinter {
namespace {

std::shared_ptr<const Plan> alder_bend() {
  LoadedSite site = load_site(places::repository() / "config/examples/alder-bend/site.yaml");
  if (!site.sound()) throw std::runtime_error(render_faults(site));
  return std::make_shared<const Plan>(std::move(*site.plan));
}

// The winter's messages as the service numbers them, with the link going down and up between.
std::vector<JournaledInput> inputs_of_winter(const WinterOptions& options) {
  std::istringstream in(alder_bend_winter(options));
  JsonLines lines(in);
  std::vector<JournaledInput> inputs;
  CapturedMessage m;
  while (lines.next(m) == JsonLines::Read::message) {
    const auto number = static_cast<std::uint64_t>(inputs.size() + 1);
    if (number % 1000 == 0) {
      const bool up = number % 2000 == 0;
      inputs.push_back(
          {number, m.at, up ? JournaledInput::Kind::link_up : JournaledInput::Kind::link_down, {}, {}, false});
      continue;
    }
    inputs.push_back(
        {number, m.at, JournaledInput::Kind::message, std::string(m.topic), std::string(m.payload), m.retained});
  }
  return inputs;
}

Caretaker recovered(const std::shared_ptr<const Plan>& plan, Journal& journal, Instant start) {
  const SavedSnapshot saved = *journal.snapshot();
  Result<Caretaker> restored = saved.bytes.empty() ? Caretaker(plan, start) : Caretaker::restore(plan, saved.bytes);
  if (!restored) throw std::runtime_error(restored.error().text);
  const auto read = journal.each_input_after(saved.number, [&](const JournaledInput& i) { restored->step(i); });
  EXPECT_TRUE(read.has_value());
  return *std::move(restored);
}

TEST(Recovery, GivesTheStateOfARunThatWasNeverCut) {
  const auto plan = alder_bend();
  const std::vector<JournaledInput> inputs = inputs_of_winter({7, 60, 30 * one_minute});
  ASSERT_GT(inputs.size(), 10'000U);
  const char* given = std::getenv("OVERWINTER_SEED");
  SplitMix random(given == nullptr ? 20261031 : std::strtoull(given, nullptr, 10));
  TemporaryFolder folder;
  auto journal = open_sound(folder / "a.sqlite");
  Caretaker uncut(plan, inputs.front().at), cut(plan, inputs.front().at);
  std::size_t cuts = 0, events = 0;
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    uncut.step(inputs[i]);
    const Told told = cut.step(inputs[i]);
    events += told.events.size();
    if (told.applied) journal->add(inputs[i]);
    const std::uint64_t chance = random.next() % 1500;
    std::vector<OutboxEntry> none;
    if (!told.events.empty() || chance < 60) {
      ASSERT_TRUE(journal->commit(told.events, none, !told.events.empty()));
    }
    if (chance == 61) {
      ASSERT_TRUE(journal->save_snapshot(inputs[i].number, cut.snapshot()));
    }
    if (chance == 62) {  // a day passes: what a snapshot holds and is older than a day leaves
      const Instant now = inputs[i].at;
      for (auto old = *journal->messages_before(now - one_day, 500); !old.empty();
           old = *journal->messages_before(now - one_day, 500)) {
        ASSERT_TRUE(journal->replace_by_hourly(old, hourly_values(*plan, old)));
      }
      ASSERT_TRUE(journal->forget_before(now - 20 * one_day));
    }
    if (chance > 62 && chance < 70) {
      ASSERT_TRUE(commit(*journal));
      for (std::size_t lost = i + 1; lost < std::min(inputs.size(), i + 5); ++lost) journal->add(inputs[lost]);
      journal.reset();  // with the last ones still waiting
      journal = open_sound(folder / "a.sqlite");
      ASSERT_LE(journal->last_number(), inputs[i].number);
      cut = recovered(plan, *journal, inputs.front().at);
      ASSERT_TRUE(cut.snapshot() == uncut.snapshot()) << "after input " << inputs[i].number;
      ++cuts;
    }
  }
  EXPECT_TRUE(cut.snapshot() == uncut.snapshot());
  EXPECT_GT(cuts, 20U);
  EXPECT_GT(events, 10U);
  std::cout << cuts << " cuts over " << inputs.size() << " inputs; the state takes " << uncut.snapshot().size()
            << " bytes\n";
}

TEST(Recovery, TakesTheOlderSnapshotWhenTheNewestCannotBeRead) {
  const auto plan = alder_bend();
  std::vector<JournaledInput> inputs = inputs_of_winter({7, 6, 30 * one_minute});
  TemporaryFolder folder;
  const auto journal = open_sound(folder / "a.sqlite");
  Caretaker caretaker(plan, inputs.front().at);
  for (const JournaledInput& input : inputs) {
    caretaker.step(input);
    journal->add(input);
    if (input.number == inputs.size() / 2) {
      ASSERT_TRUE(journal->save_snapshot(input.number, caretaker.snapshot()));
      ASSERT_TRUE(journal->save_snapshot(input.number + 1, "no state"));
    }
  }
  ASSERT_TRUE(commit(*journal));
  const SavedSnapshot newest = *journal->snapshot();
  EXPECT_FALSE(Caretaker::restore(plan, newest.bytes).has_value());
  const SavedSnapshot older = *journal->snapshot(newest.number);
  Result<Caretaker> restored = Caretaker::restore(plan, older.bytes);
  ASSERT_TRUE(restored.has_value());
  ASSERT_TRUE(journal->each_input_after(older.number, [&](const JournaledInput& i) { restored->step(i); }));
  EXPECT_TRUE(restored->snapshot() == caretaker.snapshot());
}

}  // namespace
}  // namespace overwinter
