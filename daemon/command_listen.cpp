#include "daemon/command_listen.h"

#include <fmt/format.h>

#include <ostream>

#include "daemon/broker_visit.h"
#include "daemon/listen_page.h"
#include "daemon/person_time.h"
#include "daemon/printable.h"
#include "daemon/site_choice.h"
#include "rules/quantity/age.h"

namespace overwinter {

int listen(const ListenOptions& options, const Console& console) {
  const auto plan = load_site_with_broker(options.site, console);
  if (!plan) return exit_no;
  const auto limit = parse_person_span(options.listen_for);
  if (!limit) {
    console.err << fmt::format(
        "error: --for: `{}` is no duration\nhint: write a number above 0 and one unit, as in 90s or 5min\n",
        options.listen_for);
    return exit_usage;
  }
  if (!is_topic_filter(options.topic)) {
    console.err << fmt::format("error: `{}` is no topic to listen to\nhint: as in garage/+/climate, or garage/#\n",
                               printable(options.topic));
    return exit_usage;
  }
  const auto visit = visit_broker(*plan);
  if (!visit) return tell_no_visit(visit.error(), options.json, console.out, console);
  BrokerClient& client = **visit;
  HeardTopics heard;
  const auto wall = [] { return std::chrono::floor<Span>(std::chrono::system_clock::now()); };
  const Instant from = wall();
  if (console.err_is_terminal) {
    client.each_second([&] {
      console.err << fmt::format("\r{} of {}, {} topics, {} messages ", age_text(wall() - from), age_text(*limit),
                                 heard.topics().size(), heard.messages())
                  << std::flush;
    });
  }
  client.subscribe(options.topic, 0);
  client.hear(*limit, Span::max(), [&](const BrokerMessage& message) {
    heard.take(wall(), message.topic, message.payload, message.retained);
    return BrokerClient::Go::on;
  });
  if (console.err_is_terminal) console.err << '\n';
  const Span listened = wall() - from;
  console.out << (options.json ? listen_json(heard, *plan, listened) : listen_page(heard, *plan, listened));
  if (heard.messages() > 0) return exit_done;
  console.err << "error: nothing was heard\nhint: may this user read these topics? a broker drops others in silence\n";
  return exit_no;
}

}  // namespace overwinter
