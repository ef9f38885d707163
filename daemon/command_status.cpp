#include "daemon/command_status.h"

#include <sys/ioctl.h>
#include <unistd.h>

#include <map>
#include <ostream>

#include "daemon/broker_visit.h"
#include "daemon/site_choice.h"
#include "daemon/status_table.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;

// Retained messages come at once after the subscription, in one stream: when nothing came for so long, that was all.
constexpr Span first_awaited = 2s, quiet_after_last = 300ms, longest = 10s;
constexpr std::size_t usual_columns = 80;

std::size_t columns_of(const Console& console) {
  winsize size{};
  if (!console.out_is_terminal || ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) {
    return usual_columns;
  }
  return size.ws_col;
}

std::map<std::string, std::string> retained_topics(BrokerClient& client, const std::string& root) {
  std::map<std::string, std::string> topics;
  const auto take = [&](const BrokerMessage& message) {
    if (message.retained) topics[message.topic] = message.payload;
    return BrokerClient::Go::on;
  };
  const auto first = [&](const BrokerMessage& message) {
    take(message);
    return BrokerClient::Go::enough;
  };
  for (const char* branch :
       {"/service", "/watching_since", "/last_gap", "/gear/#", "/place/#", "/alarm/#", "/reminder/#"}) {
    client.subscribe(root + branch, 0);
  }
  if (client.hear(first_awaited, Span::max(), first) == BrokerClient::Heard::enough) {
    client.hear(longest, quiet_after_last, take);
  }
  return topics;
}

}  // namespace

int status(const StatusOptions& options, const Console& console) {
  const auto plan = load_site_with_broker(options.site, console);
  if (!plan) return exit_no;
  const auto visit = visit_broker(*plan);
  if (!visit) return tell_no_visit(visit.error(), options.json, console.out, console);
  BrokerClient& client = **visit;
  const Status found = read_status(retained_topics(client, plan->topic_root), *plan);
  console.out << (options.json ? status_json(found, *plan)
                               : status_table(found, *plan, options.now, {columns_of(console), options.all}));
  if (found.service == "ready") return found.needs_attention() ? exit_no : exit_done;
  console.err << "error: the service is not watching: silence means nothing now\n"
                 "hint: is overwinterd running?\n";
  return exit_unreachable;
}

}  // namespace overwinter
