// Who depends on a slot, worked out once from the plan: the cost of a reading does not grow with the sites, rules or
// gear that it does not touch.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "rules/engine/plan.h"

namespace overwinter {

// Lists of indexes by row, packed.
class Rows {
 public:
  Rows() = default;
  Rows(std::size_t row_count, const std::vector<std::pair<std::uint32_t, std::uint32_t>>& pairs);

  [[gnu::always_inline]] std::span<const std::uint32_t> operator[](std::uint32_t row) const {
    return {values_.data() + begin_[row], values_.data() + begin_[row + 1]};
  }

 private:
  std::vector<std::uint32_t> begin_;
  std::vector<std::uint32_t> values_;
};

struct Wiring {
  Wiring() = default;
  explicit Wiring(const Plan& plan);

  Rows models;                // by slot: entities whose model reads it
  Rows alarms;                // by slot: alarms whose conditions read it
  Rows waiting_alarms;        // by slot: alarms that wait for readings of it
  Rows reminders;             // by slot: reminders that read it at any time
  Rows good_days;             // by slot: reminders whose good_day_when reads it, which counts when they are due
  std::vector<char> is_read;  // by slot: whether one of the rows above has something
  Rows suppresses;            // by alarm: alarms that it suppresses
  Rows gateway_sensors;       // by entity: sensors that come via it
  Rows entity_sensors;        // by entity: its own sensors
  Rows entity_alarms;         // by entity
  Rows entity_reminders;      // by entity
  Rows judged;                // by entity: gear's slots that are read and expected
  Rows expected_now;          // by entity: quantities whose expected_now is read
  std::vector<std::uint32_t> settled_as;                     // by alarm: its turn among all, after all that suppress it
  std::vector<std::uint32_t> timed_alarms, timed_reminders;  // those that depend on the time
  std::vector<std::uint32_t> seasonal_alarms;                // season: laid_up
  // Pieces of gear of one kind in one place that have a sensor with an expected value: their sensors. By sensor the
  // group's number, or no_index.
  std::vector<std::vector<std::uint32_t>> jump_groups;
  std::vector<std::uint32_t> jump_group_of;
  // By sensor: the sensed slot of outdoors of the same quantity, or no_index.
  std::vector<std::uint32_t> same_outdoors;
  // Sensed temperatures, but for the outdoors' own, that move with the outdoors.
  std::vector<std::uint32_t> in_the_weather;
};

}  // namespace overwinter
