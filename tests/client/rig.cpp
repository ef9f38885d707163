#include "tests/client/rig.h"
#include "tests/places.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <signal.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace overwinter {
namespace {

constexpr const char* site_text =
    R"(site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, altitude: 232 m, display_units: us}
places:
  outdoors:
    temperature: {topic: yard/weather, pointer: /temp_c, unit: degC}
  garage:
    temperature: {topic: garage/climate, pointer: /temperature, unit: degC}
gear:
  left_front_tire:
    kind: tire
    place: outdoors
    minimum_pressure: 40 psi
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}
    pressure: {topic: camper/tire/lf, pointer: /kpa, unit: kPa}
  right_front_tire:
    kind: tire
    place: outdoors
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}
    pressure: by_hand
  refrigerator_door: {kind: door_or_vent, place: garage, should_be: open, open: {topic: camper/fridge}}
rules_from: [standard, my-rules.yaml]
broker: {host: 127.0.0.1, port: )";

constexpr const char* rules_text = R"(rules:
  door_shut:
    applies_to: {kind: door_or_vent}
    raise_when: not open
    on_delay: 0 s
    off_delay: 1 min
    priority: medium
    message: "{name} is shut."
)";

int bound_socket(int port) {
  const int fd = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  if (port == 0 && ::bind(fd, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0) return fd;
  if (port != 0 && ::connect(fd, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0) return fd;
  ::close(fd);
  return -1;
}

int free_port() {
  const int fd = bound_socket(0);
  sockaddr_in address{};
  socklen_t size = sizeof address;
  ::getsockname(fd, reinterpret_cast<sockaddr*>(&address), &size);
  ::close(fd);
  return ntohs(address.sin_port);
}

bool listens(int port) {
  const int fd = bound_socket(port);
  if (fd >= 0) ::close(fd);
  return fd >= 0;
}

std::string text_of(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

void end(pid_t& process) {
  if (process == 0) return;
  ::kill(process, SIGCONT);
  ::kill(process, SIGTERM);
  ::waitpid(process, nullptr, 0);
  process = 0;
}

}  // namespace

bool eventually(const std::function<bool()>& is_so) {
  const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(20);
  while (!is_so()) {
    if (std::chrono::steady_clock::now() > end) return false;
    ::poll(nullptr, 0, 10);
  }
  return true;
}

Rig::Rig() : port_(free_port()) {
  std::string name = (std::filesystem::temp_directory_path() / "overwinter_client_XXXXXX").string();
  if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no folder for the rig");
  folder_ = name;
  std::ofstream(site()) << site_text << port_ << "}\n";
  std::ofstream(folder_ / "my-rules.yaml") << rules_text;
  std::ofstream(folder_ / "broker.conf") << "listener " << port_ << " 127.0.0.1\nallow_anonymous true\n"
                                         << "log_dest file " << (folder_ / "broker.log").string() << "\nlog_type all\n"
                                         << (::getuid() == 0 ? "user root\n" : "");
}

Rig::~Rig() {
  end(service_);
  end(broker_);
  std::filesystem::remove_all(folder_);
}

pid_t Rig::start(const std::vector<std::string>& words, const std::string& name) const {
  const std::string out = (folder_ / (name + ".out")).string(), err = (folder_ / (name + ".err")).string();
  std::vector<char*> argv;
  for (const std::string& word : words) argv.push_back(const_cast<char*>(word.c_str()));
  argv.push_back(nullptr);
  const pid_t child = ::fork();
  if (child != 0) return child;
  ::dup2(::open(out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), STDOUT_FILENO);
  ::dup2(::open(err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), STDERR_FILENO);
  ::setenv("USER", "ada", 1);
  ::execvp(argv.front(), argv.data());
  ::_exit(127);
}

void Rig::start_broker() {
  broker_ = start({"mosquitto", "-c", (folder_ / "broker.conf").string()}, "broker");
  if (!eventually([&] { return listens(port_); })) throw std::runtime_error(text_of(folder_ / "broker.err"));
}

void Rig::freeze_broker() { ::kill(broker_, SIGSTOP); }

void Rig::start_service() {
  service_ = start({places::overwinterd(), "--journal", (folder_ / "journal.sqlite").string(), site()}, "service");
  // Commands come last of what it subscribes to at a start that must be over before a test goes on.
  if (!waits_for_subscription("camper/fridge", ++services_)) throw std::runtime_error(text_of(folder_ / "service.err"));
}

void Rig::stop_service() { end(service_); }

Ran Rig::overwinter(const std::vector<std::string>& arguments, const std::function<void(pid_t)>& meanwhile) const {
  static std::atomic<int> number = 0;
  const std::string name = "command" + std::to_string(++number);
  std::vector<std::string> words{places::overwinter()};
  words.insert(words.end(), arguments.begin(), arguments.end());
  words.insert(words.end(), {"--site", site()});
  const pid_t child = start(words, name);
  if (meanwhile) meanwhile(child);
  int status = 0;
  ::waitpid(child, &status, 0);
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, text_of(folder_ / (name + ".out")),
          text_of(folder_ / (name + ".err"))};
}

Ran Rig::overwinter(const std::vector<std::string>& arguments) const { return overwinter(arguments, {}); }

void Rig::publish(const std::string& topic, const std::string& payload) const {
  const pid_t child =
      start({"mosquitto_pub", "-h", "127.0.0.1", "-p", std::to_string(port_), "-q", "1", "-t", topic, "-m", payload},
            "publish");
  ::waitpid(child, nullptr, 0);
}

bool Rig::waits_for_subscription(const std::string& topic, std::size_t count) const {
  return eventually([&] {
    const std::string log = text_of(folder_ / "broker.log"), line = "\t" + topic + " (QoS";
    std::size_t seen = 0;
    for (std::size_t at = log.find(line); at != std::string::npos; at = log.find(line, at + 1)) ++seen;
    return seen >= count;
  });
}

}  // namespace overwinter
