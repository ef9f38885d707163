// What the broker tests stand on: a folder, a broker and a service of their own, and an ear on the broker. Everything
// dies with its test, also with one that fails: children get SIGKILL when the test program ends. Nothing here sleeps
// for a fixed time; waits are for a condition, and their limit is only reached by a failure.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

namespace mqtt {
class async_client;
}

namespace overwinter::rig {

inline constexpr std::chrono::seconds patience{30};

// Topics of the site that site_text writes.
inline const std::string root = "overwinter/rig/";
inline const std::string refrigerator_alarm = root + "alarm/refrigerator_shut/refrigerator_door";
// What the service says last when it says its whole state: alarms, reminders, then quantities in the order of the site.
inline const std::string last_of_whole_state = root + "gear/refrigerator_door/as_it_should_be";

// A size of a test that the environment may set, for long runs by hand.
int setting(const char* name, int usual);

// Looks again and again until it is true; false: the limit was reached.
bool eventually(const std::function<bool()>& condition, std::chrono::milliseconds limit = patience);
std::string text_of(const std::string& file);  // empty: there is none

class Folder {
 public:
  Folder();
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  std::string operator/(const std::string& name) const { return (path_ / name).string(); }
  std::string write(const std::string& name, const std::string& text) const;  // the file's path
 private:
  std::filesystem::path path_;
};

class Process {
 public:
  // Standard output and error go to `log`; error to `errors` where that is given. A write beyond a size limit is an
  // error there, not a signal.
  Process(std::vector<std::string> arguments, const std::string& log, std::vector<std::string> environment = {},
          const std::string& errors = {});
  ~Process();
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;

  pid_t id() const { return id_; }
  void signal(int number) const;
  bool runs();
  // Its exit code; 128 + n when signal n ended it; nothing when it does not end.
  std::optional<int> exit_code(std::chrono::milliseconds limit = patience);
  double processor_seconds() const;
  std::size_t resident_kib() const;

 private:
  std::string errors_;  // the file to which its standard error goes
  pid_t id_ = -1;
  std::optional<int> ended_;
};

std::uint16_t free_port();

struct BrokerOptions {
  std::string more_lines;      // of its configuration
  std::string listener_lines;  // after `listener`
  bool anonymous = true;
  bool per_listener = false;  // anonymous and users are those of the listener whose lines they stand in
  std::uint16_t port = 0;     // 0: a free one
};

class Broker {
 public:
  explicit Broker(const Folder& folder, BrokerOptions options = {});
  void start();  // also again, on the same port
  void kill();
  void freeze() const { process_->signal(19); }  // SIGSTOP
  void thaw() const { process_->signal(18); }    // SIGCONT
  std::uint16_t port() const { return port_; }

 private:
  const Folder& folder_;
  BrokerOptions options_;
  std::uint16_t port_;
  std::unique_ptr<Process> process_;
};

struct Heard {
  std::string topic, payload;
  bool retained = false;
  std::string correlation;
};

// Subscribes to everything, at QoS 1, and speaks.
class Ear {
 public:
  explicit Ear(std::uint16_t port, const std::string& filter = "#", const std::string& user = "",
               const std::string& password = "");
  ~Ear();

  void say(const std::string& topic, const std::string& payload, bool retained = false) const;
  void ask(const std::string& topic, const std::string& payload, const std::string& response_topic,
           const std::string& correlation) const;
  std::vector<Heard> all() const;
  void forget();
  // The first one on `topic` with `part` in its payload; a failure after the limit, with what was heard instead.
  Heard await(const std::string& topic, const std::string& part = "") const;
  // The present retained payload of each topic, as a new subscriber would get it, is what `last` says after a wait.
  std::optional<std::string> last(const std::string& topic) const;
  bool eventually(const std::function<bool(const std::vector<Heard>&)>& condition) const;

 private:
  std::unique_ptr<mqtt::async_client> client_;
  mutable std::mutex mutex_;
  mutable std::condition_variable changed_;
  std::vector<Heard> heard_;
};

// The site of the tests: a garage with a thermometer, a refrigerator door that should be open (a high alarm at once),
// a tire by hand, a reminder. `broker_lines`: below `broker:`, indented by two.
struct SiteOptions {
  std::string broker_lines;
  std::string host = "127.0.0.1";
  bool has_door = true;
  std::string more;
};
// The command record: a person gauged the left front tire.
std::string pressure_record(const std::string& id, const std::string& value = "48.5 psi");
std::string site_text(std::uint16_t port, const SiteOptions& options = {});
std::string rules_text();

class Daemon {
 public:
  // Writes the site into the folder, and begins.
  Daemon(const Folder& folder, std::uint16_t port, const SiteOptions& site = {},
         const std::vector<std::string>& more_arguments = {}, std::vector<std::string> environment = {});
  Process& process() { return *process_; }
  void start();               // also again, with the same journal
  std::optional<int> stop();  // SIGTERM
  void kill();                // SIGKILL
  std::string log() const;
  bool logs(const std::string& part) const;  // eventually
  std::string journal() const { return folder_ / "journal.sqlite"; }
  std::string site() const { return folder_ / "site.yaml"; }
  ~Daemon();

 private:
  const Folder& folder_;
  std::vector<std::string> arguments_, environment_;
  std::unique_ptr<Process> process_;
};

}  // namespace overwinter::rig
