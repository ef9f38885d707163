// A journal that cannot be opened at the start: the watch goes on in memory, says so, and loses nothing when its folder
// comes at last.
#include <gtest/gtest.h>

#include <filesystem>

#include "config/site_file.h"
#include "daemon/caretaker.h"
#include "daemon/journal.h"
#include "tests/broker/rig.h"
#include "tests/places.h"

namespace overwinter::rig {
namespace {

using namespace std::chrono_literals;

class LateJournal : public testing::Test {
 protected:
  LateJournal() {
    broker.start();
    ear = std::make_unique<Ear>(broker.port());
  }
  // The journal's folder is one that can be taken away.
  void begin() {
    folder.write("rules.yaml", rules_text());
    SiteOptions site;
    site.more = "journal: {file: disk/journal.sqlite}\n";
    folder.write("site.yaml", site_text(broker.port(), site));
    daemon = std::make_unique<Process>(std::vector<std::string>{places::overwinterd(), folder / "site.yaml"},
                                       folder / "overwinterd.log");
    ear->await(root + "service", "ready");
  }
  void end(int signal) {
    daemon->signal(signal);
    daemon->exit_code();
    ear->forget();
  }
  std::string say(const std::string& id, const std::string& value) {
    ear->say(root + "do/record", pressure_record(id, value));
    return ear->await(root + "answer", "\"id\":\"" + id + "\",\"accepted\":true").payload;
  }
  bool logs(const std::string& part) const {
    return eventually([&] { return text_of(folder / "overwinterd.log").find(part) != std::string::npos; }, 60s);
  }
  std::string journal() const { return folder / "disk/journal.sqlite"; }
  // A fresh caretaker over all inputs, and the newest snapshot with those after it: byte for byte the same.
  void expect_whole() const {
    const Journal::Opened opened = Journal::open(journal(), Instant{});
    ASSERT_TRUE(opened.journal) << opened.said;
    LoadedSite site = load_site(std::filesystem::path(folder / "site.yaml"));
    const auto plan = std::make_shared<const Plan>(*std::move(site.plan));
    std::optional<Caretaker> caretaker;
    std::uint64_t number = 0;
    const Result<void> read = opened.journal->each_input_after(0, [&](const JournaledInput& input) {
      EXPECT_EQ(input.number, ++number) << "a number is missing";
      if (!caretaker) caretaker.emplace(plan, input.at);
      caretaker->step(input);
    });
    ASSERT_TRUE(read.has_value());
    ASSERT_TRUE(caretaker.has_value());
    const SavedSnapshot saved = *opened.journal->snapshot();
    Result<Caretaker> recovered = Caretaker::restore(plan, saved.bytes);
    ASSERT_TRUE(recovered.has_value());
    (void)opened.journal->each_input_after(saved.number, [&](const JournaledInput& input) { recovered->step(input); });
    EXPECT_TRUE(caretaker->snapshot() == recovered->snapshot());
  }
  std::string events() const {
    const Journal::Opened opened = Journal::open(journal(), Instant{});
    std::string all;
    if (opened.journal) (void)opened.journal->each_event_after(0, [&](std::string_view e) { all.append(e) += '\n'; });
    return all;
  }

  Folder folder;
  Broker broker{folder};
  std::unique_ptr<Ear> ear;
  std::unique_ptr<Process> daemon;
};

TEST_F(LateJournal, IsAnAlarmAndTakesWhatHappenedSinceTheStart) {
  begin();
  EXPECT_TRUE(logs("disk/journal.sqlite cannot be opened"));
  ear->await(root + "alarm/journal_unwritable/rig", "\"state\":\"unacknowledged\"");
  ear->await(root + "notice", "\"rule\":\"journal_unwritable\"");
  EXPECT_NE(say("first", "48.5 psi").find("Not in the journal yet: a restart would lose it."), std::string::npos);
  ear->say("garage/refrigerator", "shut");
  ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  std::filesystem::create_directory(folder / "disk");
  ASSERT_TRUE(logs("the journal can be written now; it took what happened since the start"));
  const std::string committed = say("second", "48.6 psi");  // its answer comes after its commit
  EXPECT_EQ(committed.find("Not in the journal"), std::string::npos) << committed;
  end(9);
  expect_whole();
  const std::string told = events();
  EXPECT_NE(told.find("\"value\":334"), std::string::npos) << told;  // Pa: 48.5 psi
  EXPECT_NE(told.find("refrigerator_shut"), std::string::npos) << told;
  // The state goes on, and a command of before is known.
  daemon = std::make_unique<Process>(std::vector<std::string>{places::overwinterd(), folder / "site.yaml"},
                                     folder / "overwinterd.log");
  ear->await(root + "service", "ready");
  ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  ear->await(root + "gear/left_front_tire/pressure", "\"value\":48.6");
  say("first", "40 psi");  // the same id: answered again, not carried out
  EXPECT_EQ(ear->last(root + "gear/left_front_tire/pressure")->find("\"value\":40"), std::string::npos);
}

TEST_F(LateJournal, WhoseTroubleIsAnotherOneNowSaysThat) {
  begin();
  ear->await(root + "alarm/journal_unwritable/rig", "cannot be opened");
  std::filesystem::create_directory(folder / "disk");
  folder.write("disk/journal.sqlite", "site: a text file, named by mistake\n");
  ear->await(root + "alarm/journal_unwritable/rig", "it is a text file");
}

TEST_F(LateJournal, ThatHoldsAnEarlierLifeGoesOnFromIt) {
  std::filesystem::create_directory(folder / "disk");
  begin();
  say("long ago", "48.5 psi");
  end(15);
  std::filesystem::rename(folder / "disk", folder / "unplugged");
  begin();
  EXPECT_NE(ear->await(root + "gear/left_front_tire/pressure").payload.find("\"value\":null"), std::string::npos)
      << "nothing is known without the journal";
  ear->say("garage/refrigerator", "shut");
  const std::string raised = ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"").payload;
  ear->forget();
  std::filesystem::rename(folder / "unplugged", folder / "disk");
  daemon->signal(1);  // SIGHUP: whoever mended it need not wait
  ASSERT_TRUE(logs("and the state goes on from what it held"));
  ear->await(root + "gear/left_front_tire/pressure", "\"value\":48.5");
  EXPECT_EQ(ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"").payload, raised)
      << "the alarm of meanwhile stands";
  say("long ago", "40 psi");  // answered again
  end(15);
  expect_whole();
}

}  // namespace
}  // namespace overwinter::rig
