// Some days of a site: messages in, events and answers out. Commands go through the same decoder as live ones.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "rules/engine/event.h"
#include "rules/engine/plan.h"

namespace overwinter {

struct Mail {
  std::string at, topic, payload;  // RFC 3339
  bool retained = false;
};

// A mail's topic that is the link itself: it goes "up" or "down".
inline constexpr std::string_view broker_link = "(link)";

struct Lived {
  std::vector<Event> events;
  std::vector<Answer> answers;
};

// A site below "site:" with its rules (standard rules with it only if the site file says so). Throws on a fault.
std::shared_ptr<const Plan> plan_with(std::string_view site, std::string_view rules = "rules: {}\n");

// Mail is taken in order of time. At `restart_at` the engine is stopped and goes on from its snapshot with `then`.
Lived live(const std::shared_ptr<const Plan>& plan, std::vector<Mail> mail);
Lived live_through_restart(const std::shared_ptr<const Plan>& plan, std::vector<Mail> mail, std::string_view restart_at,
                           const std::shared_ptr<const Plan>& then);

Mail command(std::string_view at, std::string_view name, std::string_view json);
// One reading an hour.
std::vector<Mail> hourly(std::string_view topic, std::string_view from, int hours,
                         const std::function<double(int)>& value);
std::vector<Mail> together(const std::vector<std::vector<Mail>>& mail);

// "2026-12-01T01:00:00Z reminder_due walkaround": of these kinds, in order.
std::vector<std::string> told(const Lived& lived, const std::vector<EventKind>& kinds);
// Reasons of the refused commands, in order.
std::vector<std::string> refusals(const Lived& lived);
// Messages of the digests, in order.
std::vector<std::string> digests(const Lived& lived);

}  // namespace overwinter
