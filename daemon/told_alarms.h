// Alarms that people were told of as active. Where the state is made anew - from a journal that another site file
// reads, after time was set back, from a journal that turns up late - the new state may lack some of them, and have
// others. Pure.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "rules/engine/event.h"
#include "rules/engine/world.h"

namespace overwinter {

class ToldAlarms {
 public:
  explicit ToldAlarms(const World& world);

  // An event as the journal holds it; what is no beginning or end of an alarm is passed over.
  void take(std::string_view event_json);

  // What must be told so that people know what `world` knows, at its time: alarm_cleared (reason: rule_removed,
  // gear_removed or cleared), then alarm_raised.
  std::vector<Event> to_tell(const World& world) const;

 private:
  std::map<std::pair<std::string, std::string>, Event> alarms_;  // by rule and gear
};

}  // namespace overwinter
