#include "daemon/command_tell.h"

#include <fmt/format.h>

#include <cstdlib>
#include <optional>
#include <ostream>
#include <random>
#include <string_view>

#include "daemon/broker_visit.h"
#include "daemon/json_text.h"
#include "daemon/printable.h"
#include "daemon/site_choice.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

struct Sent {
  std::string command, id, payload;
};

std::string random_id() {
  std::random_device random;
  return fmt::format("{:08x}{:08x}", random(), random());
}

std::string user() {
  const char* name = std::getenv("USER");  // NOLINT(concurrency-mt-unsafe): one thread
  return name == nullptr ? std::string() : std::string(name).substr(0, limits::by_characters);
}

int refuse(const Sent& sent, const Fault& why, bool json, const Console& console) {
  if (json) {
    std::string out;
    JsonObject object(out);
    object.text("command", sent.command);
    object.text("id", sent.id);
    object.boolean("accepted", false);
    object.text("why", why.text);
    object.end();
    console.out << out << '\n';
    return exit_no;
  }
  console.err << "error: " << why.text << '\n';
  if (!why.hint.empty()) console.err << "hint: " << why.hint << '\n';
  return exit_no;
}

int tell_unconfirmed(const Sent& sent, std::string_view key, const std::string& text, const Console& console) {
  std::string out;
  JsonObject object(out);
  object.text("command", sent.command);
  object.text("id", sent.id);
  object.boolean("confirmed", false);
  object.text(key, text);
  object.end();
  console.out << out << '\n';
  return exit_unreachable;
}

int not_confirmed(const Sent& sent, const std::string& service, bool json, const Console& console) {
  if (json) return tell_unconfirmed(sent, "service", service.empty() ? "unknown" : service, console);
  console.err << "error: not confirmed; it may still arrive\n";
  if (service != "ready") {
    console.err << fmt::format("hint: the service is {}; is overwinterd running?\n",
                               service.empty() ? "not known to this broker" : service);
  }
  console.err << fmt::format("hint: say it again with --id {}: it is answered then, and not carried out twice\n",
                             sent.id);
  return exit_unreachable;
}

// It never arrives: the broker said so.
int not_taken(const Sent& sent, const std::string& refusal, bool json, const Console& console) {
  const std::string why = "the broker does not take it: " + refusal;
  if (json) return tell_unconfirmed(sent, "why", why, console);
  console.err << fmt::format("error: {}\nhint: see its access list for do/{}\n", why, sent.command);
  return exit_unreachable;
}

int send(const Sent& sent, const Plan& plan, bool json, const Console& console) {
  const auto visit = visit_broker(plan);
  if (!visit) {
    return json ? tell_unconfirmed(sent, "why", visit.error().text, console)
                : tell_no_visit(visit.error(), json, console.out, console);
  }
  BrokerClient& client = **visit;
  client.subscribe(plan.topic_root + "/service", 1);
  client.subscribe(plan.topic_root + "/answer", 1);
  const bool arrived = client.publish(plan.topic_root + "/do/" + sent.command, sent.payload, limits::answer_awaited);
  if (!arrived && !client.refusal().empty()) return not_taken(sent, client.refusal(), json, console);
  std::optional<HeardAnswer> answer;
  std::string as_heard, service;
  client.hear(arrived ? Span(limits::answer_awaited) : Span{}, Span::max(), [&](const BrokerMessage& message) {
    if (message.topic == plan.topic_root + "/service") {
      service = message.payload;
    } else {
      answer = read_answer(message.payload, sent.command, sent.id);
      as_heard = message.payload;
    }
    return answer ? BrokerClient::Go::enough : BrokerClient::Go::on;
  });
  if (!answer) return not_confirmed(sent, service, json, console);
  if (json) {
    console.out << as_heard << '\n';
  } else if (answer->accepted) {
    console.out << answer->answer << '\n';
  } else {
    console.err << "error: " << printable(answer->why) << '\n';
  }
  return answer->accepted ? exit_done : exit_no;
}

}  // namespace

int tell(TellOptions options, const Console& console) {
  const auto plan = load_site_with_broker(options.site, console);
  if (!plan) return exit_no;
  Sent sent{options.given.command, options.id.empty() ? random_id() : options.id, {}};
  options.given.members.emplace_back("by", options.by.empty() ? user() : options.by);
  options.given.members.emplace_back("id", sent.id);
  const Result<CommandMessage> message = check_command(options.given, plan, options.now);
  if (!message) return refuse(sent, message.error(), options.json, console);
  sent.payload = command_payload(*message);
  if (const std::string taken = time_taken(options.given, *plan, options.now); !taken.empty()) {
    console.err << "note: " << taken << '\n';
  }
  return send(sent, *plan, options.json, console);
}

}  // namespace overwinter
