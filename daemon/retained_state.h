// The retained topics: what the house can read at any time. Levels, not edges: after each connect all of them are said
// again, so a broker that forgot them is right again. Pure.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/publication.h"
#include "rules/engine/engine.h"
#include "rules/engine/retained_topics.h"

namespace overwinter {

class RetainedState {
 public:
  explicit RetainedState(const std::shared_ptr<const Plan>& plan);

  // What changed since the last call and may leave now: an alarm or reminder at once, a quantity when its shown value
  // or quality changed, at most once a minute, or was read again an hour after the reading that it shows; once a
  // second, and what was measured with any later time, of the entity of which a person just told something.
  std::vector<Publication> changes(const World& world, Instant now, std::uint32_t told_of = no_index);
  // Those of alarms alone.
  std::vector<Publication> alarm_changes(const World& world, Instant now);
  // When a change that the rate holds back may leave; never: none waits.
  Instant next_deadline() const;
  // All of it, with an empty payload for an alarm that is normal, unless its gear is out of service; first the site's
  // self-description.
  std::vector<Publication> whole(const World& world, Instant now);

  // Of the topics that ever held a retained message those that this plan no longer has, to be emptied.
  std::vector<std::string> obsolete(const std::vector<std::string>& ever) const;

 private:
  // All that a quantity's text is made of, but for the time: while it stays the same no text is made.
  using Numbers = std::array<double, 10>;
  struct Topic {
    RetainedTopic is;
    std::string shown;  // as last published, without the time
    Instant at{};       // that `shown` was published with; quantities only
    Instant published{};
    bool is_hurried = false;         // a person told something of its gear since
    std::optional<Numbers> made_of;  // of `shown`, or of a newer text that reads the same; quantities only
  };
  struct Payload {
    std::string text;   // empty: nothing to hold
    std::string shown;  // the part that decides whether it changed
  };
  static Numbers numbers(const World& world, std::uint32_t slot);
  // Read so much after what the topic says that it says it again, though nothing else changed.
  static bool is_renewed(const Topic& topic, const World& world);
  std::optional<Publication> change(Topic& topic, const World& world, Instant now, std::uint32_t told_of);
  static Payload payload(const World& world, const RetainedTopic& topic, Instant now);

  std::vector<Topic> topics_;  // alarms first
  std::vector<Publication> described_;
  Instant next_ = never;
};

}  // namespace overwinter
