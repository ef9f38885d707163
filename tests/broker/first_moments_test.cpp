// A signal that comes before the service listens to any: while it reads its site file, which here is a pipe that the
// test holds open.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "tests/broker/rig.h"
#include "tests/places.h"

namespace overwinter::rig {
namespace {

class FirstMoments : public testing::Test {
 protected:
  FirstMoments() {
    broker.start();
    folder.write("rules.yaml", rules_text());
    if (::mkfifo(site.c_str(), 0600) != 0) throw std::runtime_error("no pipe");
    start();
  }
  ~FirstMoments() override {
    if (pipe >= 0) ::close(pipe);
  }
  void start() {
    if (pipe >= 0) ::close(std::exchange(pipe, -1));
    process = std::make_unique<Process>(
        std::vector<std::string>{places::overwinterd(), "--journal", folder / "journal.sqlite", site}, log);
    // It can be opened for writing once somebody reads it.
    eventually([&] { return (pipe = ::open(site.c_str(), O_WRONLY | O_NONBLOCK | O_CLOEXEC)) >= 0; });
  }
  // Through the pipe; whoever reads the file again finds the same in a plain one.
  void tell_site() {
    const std::string text = site_text(broker.port());
    std::filesystem::rename(folder.write("site.yaml.new", text), site);
    ASSERT_EQ(::write(pipe, text.data(), text.size()), static_cast<ssize_t>(text.size()));
    ::close(std::exchange(pipe, -1));
  }

  Folder folder;
  Broker broker{folder};
  const std::string site = folder / "site.yaml", log = folder / "overwinterd.log";
  std::unique_ptr<Process> process;
  int pipe = -1;
};

// Until then nothing is to be put in order. Exit code 0: MESSAGES, Programs.
TEST_F(FirstMoments, EndAtOnceAtASignalThatStops) {
  for (const int number : {SIGTERM, SIGINT}) {
    ASSERT_GE(pipe, 0);
    process->signal(number);
    EXPECT_EQ(process->exit_code(), 0) << text_of(log);
    start();
  }
}

TEST_F(FirstMoments, KeepAReloadForLater) {
  ASSERT_GE(pipe, 0);
  const Ear ear(broker.port());
  process->signal(SIGHUP);
  tell_site();
  EXPECT_TRUE(eventually([&] { return text_of(log).find("reloaded") != std::string::npos; })) << text_of(log);
  ear.await(root + "service", "ready");
  process->signal(SIGTERM);
  EXPECT_EQ(process->exit_code(), 0);
}

}  // namespace
}  // namespace overwinter::rig
