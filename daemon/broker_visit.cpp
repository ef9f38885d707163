#include "daemon/broker_visit.h"

#include <cstdlib>
#include <random>
#include <string>
#include <utility>

#include "daemon/json_text.h"
#include "daemon/password.h"
#include "daemon/tls_files.h"
#include "rules/limits.h"

namespace overwinter {

Result<std::unique_ptr<BrokerClient>> visit_broker(const Plan& plan) {
  const char* credentials = std::getenv("CREDENTIALS_DIRECTORY");  // NOLINT(concurrency-mt-unsafe): one thread
  const Result<std::string> password = read_password(plan.broker, credentials == nullptr ? "" : credentials);
  if (!password) return tl::unexpected(password.error());
  if (Result<void> files = check_tls_files(plan.broker); !files) return tl::unexpected(files.error());
  std::random_device random;
  const std::uint64_t seed = (std::uint64_t{random()} << 32U) | random();
  auto client = std::make_unique<BrokerClient>(plan.broker, *password, seed);
  if (Result<void> connected = client->connect(limits::answer_awaited); !connected)
    return tl::unexpected(connected.error());
  return client;
}

int tell_no_visit(const Fault& why, bool json, std::ostream& to_a_program, const Console& console) {
  if (json) {
    std::string out;
    JsonObject object(out);
    object.text("error", why.text);
    if (!why.hint.empty()) object.text("hint", why.hint);
    object.end();
    to_a_program << out << '\n';
    return exit_unreachable;
  }
  console.err << "error: " << why.text << '\n';
  if (!why.hint.empty()) console.err << "hint: " << why.hint << '\n';
  return exit_unreachable;
}

}  // namespace overwinter
