#include "daemon/broker_visit.h"

#include <cstdlib>
#include <ostream>
#include <random>

#include "daemon/password.h"
#include "rules/limits.h"

namespace overwinter {

std::unique_ptr<BrokerClient> visit_broker(const Plan& plan, const Console& console) {
  const auto tell = [&](const Fault& why) {
    console.err << "error: " << why.text << '\n';
    if (!why.hint.empty()) console.err << "hint: " << why.hint << '\n';
  };
  const char* credentials = std::getenv("CREDENTIALS_DIRECTORY");  // NOLINT(concurrency-mt-unsafe): one thread
  const Result<std::string> password = read_password(plan.broker, credentials == nullptr ? "" : credentials);
  if (!password) {
    tell(password.error());
    return nullptr;
  }
  std::random_device random;
  const std::uint64_t seed = (std::uint64_t{random()} << 32U) | random();
  auto client = std::make_unique<BrokerClient>(plan.broker, *password, seed);
  if (Result<void> connected = client->connect(limits::answer_awaited); !connected) {
    tell(connected.error());
    return nullptr;
  }
  return client;
}

}  // namespace overwinter
