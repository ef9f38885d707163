#include "daemon/status_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "daemon/json_text.h"
#include "daemon/notice_text.h"
#include "daemon/person_time.h"
#include "rules/gear/kind.h"
#include "rules/limits.h"
#include "rules/quantity/age.h"
#include "rules/quantity/characters.h"
#include "rules/quantity/in_words.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

constexpr std::size_t narrowest_table = 72;
constexpr std::size_t narrowest = 24;  // a width below is taken for this one
constexpr std::size_t waiting_told = 3;

// What stands on this screen takes one column a character.
std::size_t width(std::string_view text) { return characters(text); }

std::string padded(std::string text, std::size_t columns) {
  const std::size_t w = width(text);
  if (w < columns) text.append(columns - w, ' ');
  return text;
}

// Breaks between words; the first line begins with `first`, further ones with as many blanks as `indent`.
std::string wrapped(std::string_view first, std::string_view text, std::size_t indent, std::size_t columns) {
  std::string out, line(first);
  bool is_fresh = true;  // no word stands on the line yet
  while (!text.empty()) {
    const std::size_t end = std::min(text.find_first_of(" \n"), text.size());
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (word.empty()) continue;
    if (!is_fresh && width(line) + 1 + width(word) > columns) {
      out += line + '\n';
      line.assign(indent, ' ');
      is_fresh = true;
    }
    if (!is_fresh) line += ' ';
    line += word;
    is_fresh = false;
  }
  return out + line + '\n';
}

using Cells = std::array<std::string, 5>;

Cells cells_of(const StatusReading& r, const Plan& plan, Instant now) {
  return {in_words(r.quantity), r.value.empty() ? "-" : r.value, r.expected, r.verdict,
          r.at ? when_text(plan, *r.at, now) : ""};
}

std::string sentence(const StatusReading& r, const Plan& plan, Instant now) {
  Cells cells = cells_of(r, plan, now);
  std::string text = cells[0] + ": " + cells[1];
  if (!cells[2].empty()) text += ", " + cells[2] + " expected";
  for (const std::size_t i : {std::size_t{3}, std::size_t{4}}) {
    if (!cells[i].empty()) text += ", " + cells[i];
  }
  return text;
}

// No reading is of the future: a service whose clock is a topic's may be ahead of this computer.
Instant present(const Status& status, Instant now) {
  for (const StatusEntity& entity : status.entities) {
    for (const StatusReading& r : entity.readings) now = std::max(now, r.at.value_or(now));
  }
  return now;
}

class Table {
 public:
  Table(const Status& status, const Plan& plan, Instant now, const StatusLayout& layout)
      : status_(status), plan_(plan), now_(now), layout_(layout), columns_(std::max(layout.columns, narrowest)) {}

  std::string text() {
    head();
    if (nothing_is_known()) return out_ + "Nothing is known: no reading, no alarm, nothing that is due.\n";
    readings();
    alarms();
    out_of_service();
    reminders();
    return std::move(out_);
  }

 private:
  bool nothing_is_known() const {
    return status_.service != "ready" && status_.entities.empty() && status_.alarms.empty() &&
           status_.reminders.empty();
  }

  void head() {
    std::string line = as_sentence(plan_.site_name) + ": ";
    if (status_.service == "ready") {
      line += status_.watching_since ? "the service has been watching" : "the service is watching";
    } else if (status_.service.empty()) {
      line += "nothing is heard of the service";
    } else {
      const std::string_view is = status_.service == "lost"       ? "IS LOST"
                                  : status_.service == "stopping" ? "WAS STOPPED"  // its last word, minutes or days ago
                                                                  : "IS STARTING";
      line += fmt::format("THE SERVICE {}; what follows is old", is);
    }
    if (status_.watching_since) {
      line += fmt::format("{} since {} ({})", status_.service == "ready" ? "" : "; it watched",
                          print_date(*status_.watching_since, plan_.units, plan_.zone, now_),
                          age_text(now_ - *status_.watching_since));
    }
    if (status_.last_gap && now_ - status_.last_gap->until < limits::gap_stays_visible) {
      line += fmt::format("{} heard nothing from {} to {}", status_.watching_since ? ", but" : "; it",
                          print_date(status_.last_gap->from, plan_.units, plan_.zone, now_),
                          print_date(status_.last_gap->until, plan_.units, plan_.zone, now_));
    }
    out_ += wrapped("", line + ".", 2, columns_);
  }

  // The measured ones, unless there is none or all are asked for; none where all of them are unknown.
  std::vector<const StatusReading*> told(const StatusEntity& entity) const {
    const bool any_measured = std::ranges::any_of(entity.readings, &StatusReading::measured);
    std::vector<const StatusReading*> some;
    if (!layout_.computed && !entity.unwatched.empty()) return some;
    for (const StatusReading& r : entity.readings) {
      if (r.measured || layout_.computed || !any_measured) some.push_back(&r);
    }
    return some;
  }

  void readings() {
    Cells heads{"", "reads", "expected", "verdict", "read"};
    std::array<std::size_t, 5> widths{};
    for (std::size_t i = 0; i < heads.size(); ++i) widths[i] = width(heads[i]);
    for (const StatusEntity& entity : status_.entities) {
      for (const StatusReading* r : told(entity)) {
        const Cells cells = cells_of(*r, plan_, now_);
        for (std::size_t i = 0; i < cells.size(); ++i) widths[i] = std::max(widths[i], width(cells[i]));
      }
    }
    std::size_t sum = 2 * widths.size();
    for (const std::size_t w : widths) sum += w;
    const bool narrow = columns_ < narrowest_table || sum > columns_;
    const auto row = [&](const Cells& cells) {
      std::string line = "  ";
      for (std::size_t i = 0; i < cells.size(); ++i) line += padded(cells[i], widths[i]) + "  ";
      line.erase(line.find_last_not_of(' ') + 1);
      out_ += line + '\n';
    };
    out_ += '\n';
    if (!narrow && !status_.entities.empty()) row(heads);
    for (const StatusEntity& entity : status_.entities) {
      std::string line = as_sentence(plan_.entities[entity.entity].name);
      if (entity.out_of_service) line += ", out of service";
      if (!entity.unwatched.empty() && !layout_.computed) line += ", not watched: " + entity.unwatched;
      out_ += wrapped(entity.has_alarm ? "! " : "", line, 2, columns_);
      for (const StatusReading* r : told(entity)) {
        if (narrow) {
          out_ += wrapped("  ", sentence(*r, plan_, now_), 4, columns_);
        } else {
          row(cells_of(*r, plan_, now_));
        }
      }
    }
  }

  void alarms() {
    if (std::ranges::all_of(status_.alarms, &StatusAlarm::out_of_service)) {
      out_ += status_.service == "ready" ? "\nNo alarm.\n" : "\nNo alarm is known; nobody watches now.\n";
      return;
    }
    out_ += "\nAlarms\n";
    for (const StatusAlarm& a : status_.alarms) {
      if (a.out_of_service()) continue;
      const Entity& entity = plan_.entities[plan_.find_entity(a.gear)];
      std::string text = a.title.empty() ? as_sentence(entity.name) + ": " + in_words(a.rule) : a.title;
      if (a.since) text += ", since " + print_date(*a.since, plan_.units, plan_.zone, now_);
      if (a.state == "shelved" && a.shelved_until) {
        text += ", shelved until " + date_near(plan_, *a.shelved_until, now_);
      } else if (a.state == "cleared_unacknowledged") {
        text += ", over, not acknowledged";
      } else {
        text += ", " + in_words(a.state);
      }
      if (a.active() && a.respond_by) {
        text += ", respond by " + date_near(plan_, *a.respond_by, now_);
      }
      if (a.stale) text += ", its readings are old";
      out_ += wrapped(fmt::format("  {}: ", name_of(a.priority)), text, 4, columns_);
      if (a.active() && !a.message.empty()) {
        const std::string deed = first_sentence(a.response);
        out_ += wrapped("    ", deed.empty() ? a.message : with_period(a.message) + " " + deed, 4, columns_);
      }
      // What acknowledge, shelve and unshelve ask for; what another alarm suppresses asks for nothing.
      if (a.state != "suppressed") out_ += wrapped("    ", "(" + a.rule + " " + a.gear + ")", 4, columns_);
    }
  }

  void out_of_service() {
    if (!status_.out_of_service.empty()) out_ += '\n';
    for (const StatusOutOfService& out : status_.out_of_service) {
      const Entity& entity = plan_.entities[out.entity];
      std::string text = "Out of service";
      if (out.since) text += " since " + print_date(*out.since, plan_.units, plan_.zone, now_);
      text += ": " + as_sentence(entity.name) + (entity.kind == &site_kind() ? " itself" : "");
      out_ += wrapped("", text + " (" + entity.id + "; put_back ends it)", 2, columns_);
    }
  }

  void reminders() {
    out_ += "\nDue\n";
    std::size_t told = 0, waiting = 0;
    for (const StatusReminder& r : status_.reminders) {
      const bool pressing = r.state == "due" || r.state == "overdue";
      if (!pressing && (r.state != "waiting" || !r.due || ++waiting > waiting_told)) continue;
      std::string text = pressing ? r.state : "";
      if (r.due) text += (pressing ? " since " : "") + print_date(*r.due, plan_.units, plan_.zone, now_);
      text += ": " + (r.message.empty() ? in_words(r.reminder) + ", " + r.gear : r.message);
      if (pressing) text += " (" + r.reminder + " " + r.gear + ")";
      out_ += wrapped("  ", text, 4, columns_);
      if (pressing) work(r);
      ++told;
    }
    if (told == 0) out_ += "  nothing\n";
  }

  // Caution first: who reads no further has read that.
  void work(const StatusReminder& r) {
    if (!r.safety.empty()) out_ += wrapped("    Caution: ", r.safety, 6, columns_);
    for (std::size_t i = 0; i < r.steps.size(); ++i) {
      out_ += wrapped(fmt::format("    {}. ", i + 1), r.steps[i], 7, columns_);
    }
    for (const std::string& look : r.look) out_ += wrapped("    - ", look, 6, columns_);
  }

  const Status& status_;
  const Plan& plan_;
  Instant now_;
  const StatusLayout& layout_;
  std::size_t columns_;
  std::string out_;
};

}  // namespace

std::string status_table(const Status& status, const Plan& plan, Instant now, const StatusLayout& layout) {
  return Table(status, plan, present(status, now), layout).text();
}

std::string status_json(const Status& status, const Plan& plan) {
  std::string out;
  JsonObject object(out);
  object.text("service", status.service.empty() ? "unknown" : status.service);
  if (status.watching_since) object.instant("watching_since", *status.watching_since);
  if (status.last_gap) {
    object.key("last_gap");
    JsonObject gap(out);
    gap.instant("from", status.last_gap->from);
    gap.instant("until", status.last_gap->until);
    gap.end();
  }
  object.boolean("needs_attention", status.needs_attention());
  std::vector<std::pair<const StatusEntity*, const StatusReading*>> readings;
  for (const StatusEntity& entity : status.entities) {
    for (const StatusReading& r : entity.readings) readings.emplace_back(&entity, &r);
  }
  object.list("readings", readings, [&](std::string& to, const auto& item) {
    JsonObject one(to);
    one.text("gear", plan.entities[item.first->entity].id);
    one.text("quantity", item.second->quantity);
    one.boolean("measured", item.second->measured);
    if (!item.second->verdict.empty()) one.text("verdict", item.second->verdict);
    one.key("topic");
    to += item.second->payload;
    one.end();
  });
  object.list("alarms", status.alarms, [&](std::string& to, const StatusAlarm& alarm) {
    JsonObject one(to);
    one.text("rule", alarm.rule);
    one.text("gear", alarm.gear);
    one.boolean("active", alarm.active());
    one.key("topic");
    to += alarm.payload;
    one.end();
  });
  object.list("out_of_service", status.out_of_service, [&](std::string& to, const StatusOutOfService& gear) {
    JsonObject one(to);
    one.text("gear", plan.entities[gear.entity].id);
    if (gear.since) one.instant("since", *gear.since);
    one.end();
  });
  object.list("reminders", status.reminders, [&](std::string& to, const StatusReminder& reminder) {
    JsonObject one(to);
    one.text("reminder", reminder.reminder);
    one.text("gear", reminder.gear);
    one.key("topic");
    to += reminder.payload;
    one.end();
  });
  object.end();
  return out + "\n";
}

}  // namespace overwinter
