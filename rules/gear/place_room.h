// A closed, unheated place's temperature as it follows from the outdoors: learned hour by hour, and from then on a
// course of its own that measured readings no longer touch. What a reading differs from it is news.
#pragma once

#include <array>
#include <deque>
#include <optional>

#include "rules/archive.h"
#include "rules/physics/room_model.h"
#include "rules/quantity/time.h"

namespace overwinter {

// One whole hour. Temperatures at its start and end, degC; nothing where no reading is near.
struct RoomHourReadings {
  Instant end{};
  std::optional<double> inside_start, inside_end, outside_start, outside_end;
  std::optional<double> sun;  // W/m2 at its start
  bool night = false;         // 20:00 to 06:00 local

  bool lit_by_unknown_sun() const { return !sun && !night; }
  bool dark() const { return sun ? *sun < 20 : night; }
};

class PlaceRoom {
 public:
  void pass_hour(const RoomHourReadings& hour, bool learn);
  void forget() { *this = PlaceRoom{}; }

  const RoomModel& model() const { return room_; }
  // The course at a whole hour, at most two days back; nothing before 24 hours are learned or across a gap.
  std::optional<double> course_at(Instant whole_hour) const;
  Instant course_end() const { return course_end_; }
  // From a temperature of the closed room a part of an hour on.
  double step(double temperature, double outside, std::optional<double> sun, double part_of_hour) const;
  // What readings differ from the course, k = 2; nothing before enough were compared. By day without a measured sun
  // the course is some kelvins low, and the spread says so.
  std::optional<double> plus_minus(bool lit_by_unknown_sun) const;

  template <class A>
  void archive(A& a) {
    a(room_.exchange, room_.solar_gain, room_.spread_exchange, room_.spread_both, room_.spread_gain,
      room_.error_variance, room_.hours, course_, course_end_, variance_, compared_);
  }

 private:
  void follow(const RoomHourReadings& hour);
  void compare(double error, std::size_t light);

  RoomModel room_;
  std::deque<double> course_;  // degC, one an hour; the last at course_end_
  Instant course_end_{};
  std::array<double, 2> variance_{};  // K2: where the sun is known or down; where it shines unmeasured
  std::array<std::uint32_t, 2> compared_{};
};

}  // namespace overwinter
