// A broker of its own on a free loopback port, in a folder of its own, and the programs run against it. Everything that
// a rig started has ended when it ends.
#pragma once

#include <sys/types.h>

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace overwinter {

struct Ran {
  int code = -1;
  std::string out, err;
};

class Rig {
 public:
  Rig();
  ~Rig();
  Rig(const Rig&) = delete;
  Rig& operator=(const Rig&) = delete;

  void start_broker();
  void freeze_broker();  // SIGSTOP: it takes connections and says nothing
  void start_service();
  void stop_service();

  // `overwinter ARGUMENTS` with the rig's site, to its end.
  Ran overwinter(const std::vector<std::string>& arguments) const;
  // The same, with `meanwhile` called once it has subscribed, as its output file or the broker's log shows.
  Ran overwinter(const std::vector<std::string>& arguments, const std::function<void(pid_t)>& meanwhile) const;
  void publish(const std::string& topic, const std::string& payload) const;
  // The broker has logged so many subscriptions to the topic.
  bool waits_for_subscription(const std::string& topic, std::size_t count = 1) const;

  const std::filesystem::path& folder() const { return folder_; }
  std::string site() const { return (folder_ / "site.yaml").string(); }

 private:
  pid_t start(const std::vector<std::string>& words, const std::string& name) const;

  std::filesystem::path folder_;
  int port_ = 0;
  std::size_t services_ = 0;  // started so far
  pid_t broker_ = 0, service_ = 0;
};

// Looks until it is so, at most 20 s.
bool eventually(const std::function<bool()>& is_so);

}  // namespace overwinter
