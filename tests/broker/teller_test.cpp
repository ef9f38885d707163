// An answer that is sent again, over a link that the test holds in its hand.
#include <gtest/gtest.h>

#include <functional>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "config/site_file.h"
#include "daemon/publisher.h"
#include "daemon/teller.h"
#include "rules/engine/world.h"

namespace overwinter {
namespace {

struct HeldLink final : Publisher {
  struct Said {
    std::string topic, payload, correlation;
    std::function<void(bool)> done;
  };
  std::vector<Said> said;
  bool up = true;

  bool connected() const override { return up; }
  void publish(const std::string& topic, const std::string& payload, int, bool, std::function<void(bool)> done,
               const std::string& correlation) override {
    said.push_back({topic, payload, correlation, std::move(done)});
  }
  // What is under way is told to have arrived, or not.
  void end_all(bool delivered) {
    for (const Said& each : std::exchange(said, {})) {
      if (each.done) each.done(delivered);
    }
  }
  std::vector<std::string> topics_of(const std::string& payload) const {
    std::vector<std::string> topics;
    for (const Said& each : said) {
      if (each.payload == payload) topics.push_back(each.topic);
    }
    return topics;
  }
};

class TellerOfAnswers : public testing::Test {
 protected:
  TellerOfAnswers() {
    FilesInMemory files;
    files.files["site.yaml"] = "site: {id: rig, local_time: UTC}\nrules_from: []\n";
    LoadedSite site = load_site("site.yaml", files);
    if (!site.plan) throw std::runtime_error(render_faults(site));
    plan = std::make_shared<const Plan>(*std::move(site.plan));
    world = std::make_unique<World>(plan, Instant{});
    teller = std::make_unique<Teller>(plan, nullptr);
    teller->use_link(&link);
  }
  void connect_again() {
    link.up = true;
    teller->connected(*world, Instant{});
  }
  void lose_the_line() {
    link.up = false;
    link.end_all(false);
    teller->disconnected();
  }

  const std::string answer = "overwinter/rig/answer", asker = "phone/answers";
  const std::vector<std::string> asker_first{asker, answer}, ours_alone{answer}, asker_alone{asker}, none;
  HeldLink link;
  std::shared_ptr<const Plan> plan;
  std::unique_ptr<World> world;
  std::unique_ptr<Teller> teller;
};

TEST_F(TellerOfAnswers, GoesToItsAskerAtOnce) {
  teller->send({0, answer, "fine", asker, "7"});
  EXPECT_EQ(link.topics_of("fine"), asker_first);
  EXPECT_EQ(link.said.front().correlation, "7");
  link.end_all(true);
  EXPECT_EQ(link.topics_of("fine"), none) << "once";
  lose_the_line();
  connect_again();
  EXPECT_EQ(link.topics_of("fine"), none) << "it has arrived";
}

// A broker may have ended the connection over the topic that the asker named (MQTT 3.1.1, 3.3.5): said first each time,
// ours would never leave.
TEST_F(TellerOfAnswers, SentAgainGoesToItsAskerOnceOurTopicHasIt) {
  teller->send({0, answer, "fine", asker, "7"});
  for (int lost = 0; lost < 3; ++lost) {
    lose_the_line();
    connect_again();
    EXPECT_EQ(link.topics_of("fine"), ours_alone);
  }
  link.end_all(true);
  ASSERT_EQ(link.topics_of("fine"), asker_alone);
  EXPECT_EQ(link.said.front().correlation, "7");
  lose_the_line();
  connect_again();
  EXPECT_EQ(link.topics_of("fine"), none) << "the receipt of our topic ended it";
}

TEST_F(TellerOfAnswers, ToldWithoutALineGoesToItsAskerAtOnceWhenThereIsOne) {
  link.up = false;
  teller->send({0, answer, "fine", asker, "7"});
  connect_again();
  EXPECT_EQ(link.topics_of("fine"), asker_first);
}

}  // namespace
}  // namespace overwinter
