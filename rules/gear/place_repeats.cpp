#include "rules/gear/place_repeats.h"

#include <algorithm>

namespace overwinter {
namespace {

constexpr std::uint32_t hours_to_doubt = 6;
constexpr std::uint32_t most_of_a_day = 20;  // hours; a stuck sensor is found after 24 h of readings
constexpr double plainly_beyond = 1.5;       // K

}  // namespace

void RepeatedReadings::pass_hour(Of which, const RoomHourReadings& hour, const LearnedRoom& learned) {
  if (over_) *this = RepeatedReadings{};
  const std::optional<double> start = which == Of::inside ? hour.inside_start : hour.outside_start;
  const std::optional<double> end = which == Of::inside ? hour.inside_end : hour.outside_end;
  if (hours_ == 0) {
    if (!start || !end || *start != *end) return;
    value_ = *start;
    since_ = hour.end - one_hour;
    room_ = hour.inside_start;
    before_ = learned;
  }
  if (end && *end != value_) {
    over_ = true;
    return;
  }
  if (!end) {
    doubted_ = doubted_ || hours_ >= most_of_a_day;
    room_.reset();
    return;
  }
  ++hours_;
  run_on(hour);
}

void RepeatedReadings::run_on(const RoomHourReadings& hour) {
  if (!room_ || !hour.outside_start || !hour.outside_end || !hour.inside_end) {
    room_ = hour.inside_end;
    return;
  }
  const RoomHour start{Temperature(*room_), Temperature(*hour.outside_start),
                       Irradiance(std::max(hour.sun.value_or(0), 0.0))};
  room_ = expected_after_hour(before_.model, start).value;
  const double beyond = std::max(std::min(*room_, *hour.outside_end) - *hour.inside_end,
                                 *hour.inside_end - std::max(*room_, *hour.outside_end));
  const bool known = before_.model.hours >= hours_to_know_a_room;
  doubted_ = doubted_ || (known && hours_ >= hours_to_doubt && beyond > plainly_beyond);
}

}  // namespace overwinter
