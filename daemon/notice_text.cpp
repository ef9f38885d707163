#include "daemon/notice_text.h"

#include <algorithm>

#include "daemon/person_time.h"
#include "rules/engine/evidence.h"
#include "rules/engine/reminder.h"
#include "rules/limits.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

bool is_final(char c) { return c == '.' || c == '!' || c == '?'; }

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

std::string with_period(std::string text) {
  if (!text.empty() && !is_final(text.back())) text += '.';
  return text;
}

std::string first_sentence(std::string_view text) {
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (!is_final(text[at])) continue;
    const std::size_t next = text.find_first_not_of(" \n\t", at + 1);
    if (next == std::string_view::npos) return std::string(text.substr(0, at + 1));
    const auto begins = static_cast<unsigned char>(text[next]);
    // "min. 40 psi" goes on: a sentence begins with a capital letter, or with one that is not ASCII.
    const bool capital = (begins >= 'A' && begins <= 'Z') || begins >= 0x80;
    if (next > at + 1 && capital) return std::string(text.substr(0, at + 1));
  }
  const std::size_t last = text.find_last_not_of(" \n\t");
  return with_period(std::string(text.substr(0, last + 1)));  // of blanks alone: npos + 1 is 0
}

std::string with_short_first_sentence(const std::string& text, std::size_t most) {
  const std::string first = first_sentence(text);
  return shortened(first, most) + text.substr(std::min(first.size(), text.size()));
}

std::string text_of_alarm(const World& world, std::uint32_t alarm, const std::string& message) {
  std::string text = with_short_first_sentence(with_period(message), limits::notice_sentence_characters);
  std::string deed = first_sentence(world.plan->rules[world.plan->alarms[alarm].rule].response);
  const Instant respond_by = world.alarms[alarm].respond_by;
  if (respond_by != Instant{}) {
    const std::string date = date_near(*world.plan, respond_by, world.now);
    if (respond_by <= world.now) {
      deed += (deed.empty() ? "A response was asked for by " : " It was asked for by ") + date + ".";
    } else if (deed.empty()) {
      deed = "Respond by " + date + ".";
    } else {
      deed.insert(deed.size() - 1, " by " + date);
    }
  }
  if (!deed.empty()) text += (text.empty() ? "" : " ") + deed;
  if (const auto stale = stale_since(world, alarm)) {
    text += " Since " + date_near(*world.plan, *stale, world.now) + " nobody knows whether it still holds.";
  }
  return text + source_of(world, alarm);
}

std::string text_of_reminder(const World& world, std::uint32_t reminder, bool is_overdue, Instant told) {
  const Plan& plan = *world.plan;
  const ReminderDef& def = plan.reminder_defs[plan.reminders[reminder].def];
  const ReminderState& state = world.reminders[reminder];
  std::string text = with_short_first_sentence(with_period(state.message), limits::notice_sentence_characters);
  if (state.due) {
    const Instant day = is_overdue ? *state.due : overdue_at(def, *state.due, told);
    text += (is_overdue ? " It was due " : " Do it by ") + print_date(day, plan.units, plan.zone, world.now) + ".";
  }
  const std::string caution = first_sentence(def.safety);
  return caution.empty() ? text : text + " " + caution;
}

std::string title_of_reminder(const World& world, std::uint32_t reminder, bool is_overdue) {
  const ReminderSpec& spec = world.plan->reminders[reminder];
  return (is_overdue ? "Overdue: " : "To do: ") +
         (spec.entity == 0 ? world.plan->site_name : world.entity(spec.entity).name) + ", " +
         in_words(world.plan->reminder_defs[spec.def].name);
}

std::string title_of_end(const std::string& reason, const std::string& title) {
  return (reason == "cleared" ? "Over: " : "Watched no longer: ") + title;
}

std::string text_of_end(const std::string& reason) {
  if (reason == "cleared") return "It is over.";
  return "It is watched no longer: " + in_words(reason) + ".";
}

}  // namespace overwinter
