#include "daemon/notice_text.h"

#include <algorithm>

#include "rules/engine/evidence.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

// A date, and the time of day where it lies within a day of now.
std::string date_near(const World& world, Instant t) {
  const Plan& plan = *world.plan;
  const bool near = std::chrono::abs(t - world.now) < one_day;
  return (near ? print_date_and_time : print_date)(t, plan.units, plan.zone, world.now);
}

}  // namespace

std::string shortened(const std::string& text, std::size_t most) {
  std::size_t points = 0, word = 0, last = 0;
  for (std::size_t byte = 0; byte < text.size(); ++byte) {
    if ((static_cast<unsigned char>(text[byte]) & 0xC0U) == 0x80U) continue;  // inside a code point
    if (++points > most) return text.substr(0, word == 0 ? last : word) + "…";
    if (text[byte] == ' ') word = byte;
    last = byte;
  }
  return text;
}

std::string text_of_alarm(const World& world, std::uint32_t alarm, const std::string& message) {
  std::string text = message;
  if (!text.empty() && std::string_view(".!?").find(text.back()) == std::string_view::npos) text += '.';
  const Instant respond_by = world.alarms[alarm].respond_by;
  if (respond_by != Instant{}) {
    text += (respond_by <= world.now ? " It was asked for by " : " By ") + date_near(world, respond_by) + ".";
  }
  return text + source_of(world, alarm);
}

std::string title_of_reminder(const World& world, const Event& event) {
  const std::uint32_t entity = world.plan->find_entity(event.gear);
  const bool of_gear = entity != no_index && entity != 0;
  return (event.kind == EventKind::reminder_overdue ? "Overdue: " : "To do: ") +
         (of_gear ? world.entity(entity).name : world.plan->site_name) + ", " + in_words(event.reminder);
}

std::string text_of_end(const std::string& reason) {
  if (reason == "cleared") return "It is over.";
  return "It is watched no longer: " + in_words(reason) + ".";
}

}  // namespace overwinter
