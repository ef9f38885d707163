#include "tests/broker/rig.h"
#include "tests/places.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <mqtt/async_client.h>
#include <netinet/in.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <thread>

namespace overwinter::rig {
namespace {

using namespace std::chrono_literals;

constexpr auto look_again = 5ms;

sockaddr_in loopback(std::uint16_t port) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  return address;
}

bool listens(std::uint16_t port) {
  const int fd = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  const sockaddr_in address = loopback(port);
  const bool answered = ::connect(fd, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0;
  ::close(fd);
  return answered;
}

// Debian keeps it where a user's PATH does not reach.
std::string broker_program() {
  return ::access("/usr/sbin/mosquitto", X_OK) == 0 ? "/usr/sbin/mosquitto" : "mosquitto";
}

}  // namespace

int setting(const char* name, int usual) {
  const char* text = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): nobody sets it
  return text == nullptr ? usual : std::stoi(text);
}

bool eventually(const std::function<bool()>& condition, std::chrono::milliseconds limit) {
  const auto until = std::chrono::steady_clock::now() + limit;
  while (!condition()) {
    if (std::chrono::steady_clock::now() > until) return false;
    std::this_thread::sleep_for(look_again);
  }
  return true;
}

std::string text_of(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

// ---------------------------------------------------------------------------------------------------------------
// folder

Folder::Folder() {
  std::string name = (std::filesystem::temp_directory_path() / "overwinter_broker_XXXXXX").string();
  if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no folder for the test");
  path_ = name;
}

Folder::~Folder() {
  std::error_code error;
  std::filesystem::remove_all(path_, error);
}

std::string Folder::write(const std::string& name, const std::string& text) const {
  std::ofstream(path_ / name, std::ios::binary) << text;
  return *this / name;
}

// --------------------------------------------------------------------------------------------------------------
// process

Process::Process(std::vector<std::string> arguments, const std::string& log, std::vector<std::string> environment,
                 const std::string& errors)
    : errors_(errors.empty() ? log : errors) {
  std::vector<char*> words;
  for (std::string& argument : arguments) words.push_back(argument.data());
  words.push_back(nullptr);
  const auto opened = [](const std::string& file) {
    return ::open(file.c_str(), O_CREAT | O_WRONLY | O_APPEND | O_CLOEXEC, 0600);
  };
  const int out = opened(log), err = errors.empty() ? ::dup(out) : opened(errors);
  id_ = ::fork();
  if (id_ == 0) {
    ::prctl(PR_SET_PDEATHSIG, SIGKILL);
    ::signal(SIGXFSZ, SIG_IGN);
    ::dup2(out, STDOUT_FILENO);
    ::dup2(err, STDERR_FILENO);
    for (std::string& variable : environment) ::putenv(variable.data());
    ::execvp(words[0], words.data());
    ::_exit(127);
  }
  ::close(out);
  ::close(err);
}

Process::~Process() {
  if (runs()) {
    signal(SIGCONT);
    signal(SIGKILL);
    exit_code();
  }
  // Of one that is killed no exit code tells that a sanitizer found something in it.
  const std::string said = text_of(errors_);
  if (said.find("Sanitizer: ") != std::string::npos) ADD_FAILURE() << said;
}

void Process::signal(int number) const { ::kill(id_, number); }

bool Process::runs() {
  if (ended_) return false;
  int status = 0;
  if (::waitpid(id_, &status, WNOHANG) != id_) return true;
  ended_ = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  return false;
}

std::optional<int> Process::exit_code(std::chrono::milliseconds limit) {
  eventually([this] { return !runs(); }, limit);
  return ended_;
}

double Process::processor_seconds() const {
  const std::string text = text_of("/proc/" + std::to_string(id_) + "/stat");
  std::istringstream fields(text.substr(text.rfind(')') + 2));  // proc(5): from `state`, field 3
  std::string skipped;
  for (int field = 3; field < 14; ++field) fields >> skipped;
  double user = 0, system = 0;
  fields >> user >> system;
  return (user + system) / static_cast<double>(::sysconf(_SC_CLK_TCK));
}

std::size_t Process::resident_kib() const {
  std::ifstream status("/proc/" + std::to_string(id_) + "/status");
  for (std::string line; std::getline(status, line);) {
    if (line.starts_with("VmRSS:")) return std::stoul(line.substr(6));
  }
  return 0;
}

// ---------------------------------------------------------------------------------------------------------------
// broker

std::uint16_t free_port() {
  const int fd = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in address = loopback(0);
  socklen_t size = sizeof address;
  ::bind(fd, reinterpret_cast<const sockaddr*>(&address), size);
  ::getsockname(fd, reinterpret_cast<sockaddr*>(&address), &size);
  ::close(fd);
  return ntohs(address.sin_port);
}

Broker::Broker(const Folder& folder, BrokerOptions options)
    : folder_(folder), options_(std::move(options)), port_(options_.port != 0 ? options_.port : free_port()) {}

void Broker::start() {
  const std::string anonymous = options_.anonymous ? "allow_anonymous true\n" : "allow_anonymous false\n";
  const std::string file = folder_.write(
      "mosquitto.conf", std::string("per_listener_settings ") + (options_.per_listener ? "true" : "false") +
                            "\nuser root\nset_tcp_nodelay true\nmax_queued_messages 100000\n" +
                            (options_.per_listener ? "" : anonymous) + options_.more_lines + "listener " +
                            std::to_string(port_) + " 127.0.0.1\n" + (options_.per_listener ? anonymous : "") +
                            options_.listener_lines);
  process_ =
      std::make_unique<Process>(std::vector<std::string>{broker_program(), "-c", file}, folder_ / "mosquitto.log");
  const bool up = eventually([this] { return listens(port_) || !process_->runs(); });
  if (!up || !process_->runs())
    throw std::runtime_error("the broker does not start: " + text_of(folder_ / "mosquitto.log"));
}

void Broker::kill() {
  process_->signal(SIGKILL);
  process_->exit_code();
}

// ------------------------------------------------------------------------------------------------------------------
// ear

Ear::Ear(std::uint16_t port, const std::string& filter, const std::string& user, const std::string& password)
    : client_(std::make_unique<mqtt::async_client>("tcp://127.0.0.1:" + std::to_string(port), "",
                                                   mqtt::create_options(MQTTVERSION_5))) {
  client_->set_message_callback([this](const mqtt::const_message_ptr& message) {
    Heard heard{message->get_topic(), message->to_string(), message->is_retained(), {}};
    const mqtt::properties& properties = message->get_properties();
    if (properties.contains(mqtt::property::CORRELATION_DATA)) {
      heard.correlation = mqtt::get<std::string>(properties, mqtt::property::CORRELATION_DATA);
    }
    const std::lock_guard lock(mutex_);
    heard_.push_back(std::move(heard));
    changed_.notify_all();
  });
  mqtt::connect_options options;
  options.set_mqtt_version(MQTTVERSION_5);
  options.set_clean_start(true);
  options.set_max_inflight(1000);
  if (!user.empty()) options.set_user_name(user);
  if (!user.empty()) options.set_password(password);
  if (!client_->connect(options)->wait_for(patience)) throw std::runtime_error("the ear does not connect");
  if (!client_->subscribe(filter, 1)->wait_for(patience)) throw std::runtime_error("the ear does not subscribe");
}

Ear::~Ear() {
  try {
    client_->disconnect()->wait_for(2s);
  } catch (const std::exception&) {  // the broker of the test is gone
  }
}

void Ear::say(const std::string& topic, const std::string& payload, bool retained) const {
  if (!client_->publish(topic, payload.data(), payload.size(), 1, retained)->wait_for(patience)) {
    throw std::runtime_error("the broker does not take " + topic);
  }
}

void Ear::ask(const std::string& topic, const std::string& payload, const std::string& response_topic,
              const std::string& correlation) const {
  mqtt::properties properties;
  properties.add(mqtt::property(mqtt::property::RESPONSE_TOPIC, response_topic));
  properties.add(mqtt::property(mqtt::property::CORRELATION_DATA, mqtt::binary_ref(correlation)));
  client_->publish(std::make_shared<mqtt::message>(topic, payload.data(), payload.size(), 1, false, properties))
      ->wait_for(patience);
}

std::vector<Heard> Ear::all() const {
  const std::lock_guard lock(mutex_);
  return heard_;
}

void Ear::forget() {
  const std::lock_guard lock(mutex_);
  heard_.clear();
}

bool Ear::eventually(const std::function<bool(const std::vector<Heard>&)>& condition) const {
  std::unique_lock lock(mutex_);
  return changed_.wait_for(lock, patience, [&] { return condition(heard_); });
}

Heard Ear::await(const std::string& topic, const std::string& part) const {
  Heard found;
  const bool came = eventually([&](const std::vector<Heard>& all) {
    const auto hit = std::ranges::find_if(
        all, [&](const Heard& h) { return h.topic == topic && h.payload.find(part) != std::string::npos; });
    if (hit != all.end()) found = *hit;
    return hit != all.end();
  });
  if (!came) {
    std::string instead;
    for (const Heard& h : all()) instead += "  " + h.topic + ": " + h.payload.substr(0, 200) + "\n";
    ADD_FAILURE() << "nothing on " << topic << " with " << part << "; heard:\n" << instead;
  }
  return found;
}

std::optional<std::string> Ear::last(const std::string& topic) const {
  std::optional<std::string> payload;
  for (const Heard& heard : all()) {
    if (heard.topic == topic) payload = heard.payload;
  }
  return payload;
}

// ---------------------------------------------------------------------------------------------------------------
// daemon

std::string rules_text() {
  return R"(rules:
  refrigerator_shut:
    applies_to: {kind: door_or_vent}
    raise_when: not as_it_should_be
    priority: high
    title: "{name} is not {should_be}"
    message: "{name} should be {should_be} and is not."
    consequence: A refrigerator shut for the winter grows mold.
    response: Prop it open.
    why: common practice, no source
reminders:
  look_at_cover:
    applies_to: site
    every: 28 d
    message: Look at the cover.
    why: our own habit
)";
}

std::string pressure_record(const std::string& id, const std::string& value) {
  return R"({"id":")" + id + R"(","gear":"left_front_tire","quantity":"pressure","value":")" + value + R"("})";
}

std::string site_text(std::uint16_t port, const SiteOptions& options) {
  std::string text = "site: {id: rig, name: Rig, local_time: America/Winnipeg, display_units: us}\n";
  text += "broker:\n  host: " + options.host + "\n  port: " + std::to_string(port) + "\n" + options.broker_lines;
  text += R"(season: {lay_up: 2026-10-31}
places:
  garage:
    temperature: {topic: garage/climate, pointer: /temperature, unit: degC}
gear:
  left_front_tire:
    kind: tire
    place: garage
    minimum_pressure: 40 psi
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}
    pressure: by_hand
)";
  if (options.has_door) {
    text += R"(  refrigerator_door:
    kind: door_or_vent
    place: garage
    should_be: open
    open: {topic: garage/refrigerator, yes_is: open, no_is: shut}
)";
  }
  return text + "rules_from: [standard, rules.yaml]\n" + options.more;
}

Daemon::Daemon(const Folder& folder, std::uint16_t port, const SiteOptions& site,
               const std::vector<std::string>& more_arguments, std::vector<std::string> environment)
    : folder_(folder),
      arguments_{places::overwinterd(), "--journal", folder / "journal.sqlite"},
      environment_(std::move(environment)) {
  folder_.write("rules.yaml", rules_text());
  folder_.write("site.yaml", site_text(port, site));
  arguments_.insert(arguments_.end(), more_arguments.begin(), more_arguments.end());
  arguments_.push_back(folder_ / "site.yaml");
  start();
}

void Daemon::start() { process_ = std::make_unique<Process>(arguments_, folder_ / "overwinterd.log", environment_); }

std::optional<int> Daemon::stop() {
  process_->signal(SIGTERM);
  return process_->exit_code();
}

void Daemon::kill() {
  process_->signal(SIGKILL);
  process_->exit_code();
}

std::string Daemon::log() const { return text_of(folder_ / "overwinterd.log"); }

bool Daemon::logs(const std::string& part) const {
  return rig::eventually([&] { return log().find(part) != std::string::npos; });
}

Daemon::~Daemon() {
  if (testing::Test::HasFailure()) std::fputs(("--- overwinterd said:\n" + log()).c_str(), stderr);
}

}  // namespace overwinter::rig
