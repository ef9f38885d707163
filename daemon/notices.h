// Events become notices: the messages that a household reads on a phone. Pure; the same events give the same notices
// with the same ids. High and critical go at once; below high one notice a local day carries what came since the last,
// and none leaves in the quiet hours; a critical alarm that nobody acknowledged is said again after 1 h, 4 h, then
// daily.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "rules/engine/engine.h"

namespace overwinter {

struct Notice {
  std::string id;  // the same id again is a duplicate
  Instant at{};
  std::string about;  // alarm, reminder, digest, service
  std::string event;  // raised, repeated, cleared, due, overdue, digest
  // Empty in a notice about several things.
  std::string rule, reminder, gear;
  std::optional<Priority> priority;
  std::string title, message;  // title: up to 50 characters
  std::optional<Instant> respond_by;
  std::string evidence;  // of a standing alarm: fresh or stale
};

// Appends one JSON object, without a line break; keys that do not apply are left out.
void append_notice(std::string& out, const Notice& notice);

class Notices {
 public:
  explicit Notices(std::shared_ptr<const Plan> plan) : plan_(std::move(plan)) {}

  // The events of one step, in order (none: a deadline of its own has come), and the world after it. What leaves now.
  std::vector<Notice> step(const World& world, const std::vector<Event>& events);
  // The same of alarms that begin or end because the state was made anew: the beginnings of those that end left in
  // notices that this state does not know of.
  std::vector<Notice> step_anew(const World& world, const std::vector<Event>& alarms);
  // never: nothing waits.
  Instant next_deadline() const;
  // What waits is of the same gear, rules and reminders as before the reload, by the names that they have now, and
  // leaves at the hour of the new site file.
  void take_up_reload();

  template <class A>
  void archive(A& a) {
    a(waiting_, held_, heard_, release_at_, sent_on_, repeats_);
  }

 private:
  // Something below high that waits for the day's notice: which it is. Its words are made when it leaves, for a reload
  // may change them; title and message stand in for an alarm that is gone by then, and are those of a digest.
  struct Item {
    std::string id, about, event, name, gear, title, message;  // of an end the message is the reason for it
    Instant at{};
    Priority priority = Priority::low;

    template <class A>
    void archive(A& a) {
      a(id, about, event, name, gear, title, message, at, priority);
      if constexpr (A::reading) {
        if (priority > Priority::critical) a.fail();
      }
    }
  };
  // An alarm whose raising left in a notice.
  struct Heard {
    bool stands = false;  // to the household: its end has not left since

    template <class A>
    void archive(A& a) {
      a(stands);
    }
  };
  struct Repeat {
    std::uint32_t said = 0;  // times it was repeated
    Instant next{};
    bool held = false;  // shelved or suppressed: it waits until it is not

    template <class A>
    void archive(A& a) {
      a(said, next, held);
    }
  };

  void take(const World& world, const Event& event, std::vector<Notice>& out);
  void take_raised(const World& world, const Event& event, std::vector<Notice>& out);
  void take_cleared(const World& world, const Event& event, std::vector<Notice>& out);
  void take_reminder(const Event& event);
  void take_digest(const Event& event);
  void let_digest_go(const World& world, std::vector<Notice>& out);
  void withdraw(const std::string& id);
  void withdraw_reminder(const Event& event);
  void hold(const std::string& id);
  void let_go(const World& world, const std::string& id);
  void repeat(const World& world, std::vector<Notice>& out);
  void release(const World& world, std::vector<Notice>& out);
  Notice notice_of(const World& world, const Item& item) const;
  static void describe_alarm(const World& world, const Item& item, Notice& notice);
  static void describe_reminder(const World& world, const Item& item, Notice& notice);
  Instant release_after(Instant now) const;
  void hear(const std::string& id) { heard_[id] = {true}; }

  std::shared_ptr<const Plan> plan_;
  std::vector<Item> waiting_;
  // Of alarms that were shelved or suppressed before their notice left; and a digest, until the broker can be reached.
  std::vector<Item> held_;
  std::map<std::string, Heard> heard_;     // by alarm id
  Instant release_at_ = never;             // of what waits
  Instant sent_on_{};                      // when the last bundle left
  std::map<std::string, Repeat> repeats_;  // critical alarms that are unacknowledged, by alarm id
};

}  // namespace overwinter
