// More readings than the journal may hold: it stays small, says so once, and keeps what counts.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>

#include "tests/broker/rig.h"
#include "tests/broker/wire.h"

namespace overwinter::rig {
namespace {

TEST(JournalLimit, AFloodLeavesTheJournalSmallAndWhatWasSaidInIt) {
  constexpr int bursts = 20, burst = 1000;
  constexpr std::uintmax_t limit = 10'000'000, said = 40'000'000;
  const Folder folder;
  Broker broker(folder);
  broker.start();
  const Ear ear(broker.port(), root + "#");
  Daemon daemon(folder, broker.port(), {}, {"--journal-limit", "10MB"});
  ear.await(root + "service", "ready");
  ear.say(root + "do/record", pressure_record("before"));
  ear.await(root + "answer", "\"id\":\"before\",\"accepted\":true");
  Wire sensors(broker.port(), "sensors");
  const std::string more(said / (bursts * burst), 'x');
  for (int n = 0; n < bursts; ++n) {
    for (int i = 0; i < burst; ++i) {
      sensors.publish("garage/climate",
                      "{\"temperature\": " + std::to_string(i % 30) + ", \"more\": \"" + more + "\"}");
    }
    const std::string id = "behind " + std::to_string(n);
    sensors.publish(root + "do/record", pressure_record(id), 1);
    sensors.settle();
    ear.await(root + "answer", "\"id\":\"" + id + "\",\"accepted\":true");  // the burst is taken
  }
  const Heard notice = ear.await(root + "notice", "The journal is full of readings");
  EXPECT_NE(notice.payload.find("came on garage/climate"), std::string::npos) << notice.payload;
  EXPECT_NE(notice.payload.find("10 MB"), std::string::npos) << notice.payload;
  const auto all = ear.all();
  EXPECT_EQ(std::ranges::count_if(
                all, [](const Heard& h) { return h.payload.find("The journal is full") != std::string::npos; }),
            1);
  // Beyond the limit lies what two snapshots still need, and a portion.
  EXPECT_LT(std::filesystem::file_size(daemon.journal()), 2 * limit);
  daemon.kill();
  daemon.start();
  EXPECT_TRUE(daemon.logs("goes on from"));
  // The id is known, so it is answered again; had it been forgotten, the journal would hold a second reading.
  ear.say(root + "do/record", pressure_record("before"));
  ASSERT_TRUE(ear.eventually([](const std::vector<Heard>& heard) {
    return std::ranges::count_if(heard, [](const Heard& h) {
             return h.topic == root + "answer" && h.payload.find("\"id\":\"before\"") != std::string::npos;
           }) >= 2;
  }));
}

}  // namespace
}  // namespace overwinter::rig
