// A closed, unheated place's temperature as it follows from the outdoors: learned hour by hour, and from then on a
// course of its own that measured readings no longer touch. What a reading differs from it is news.
#pragma once

#include <deque>
#include <optional>

#include "rules/archive.h"
#include "rules/gear/place_repeats.h"
#include "rules/physics/room_model.h"
#include "rules/quantity/time.h"

namespace overwinter {

class PlaceRoom {
 public:
  void pass_hour(const RoomHourReadings& hour, bool learn);
  void forget() { *this = PlaceRoom{}; }

  const RoomModel& model() const { return learned_.model; }
  // Since when a thermometer repeats a number that should have moved; nothing: both are believed. What was learned
  // since is undone, and nothing is learned while it lasts.
  std::optional<Instant> doubtful_since() const;
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
    a(learned_, inside_, outside_, course_, course_end_);
  }

 private:
  const RepeatedReadings* doubted_longest() const;
  void follow(const RoomHourReadings& hour);
  void compare(double error, std::size_t light);

  LearnedRoom learned_;
  RepeatedReadings inside_, outside_;
  std::deque<double> course_;  // degC, one an hour; the last at course_end_
  Instant course_end_{};
};

}  // namespace overwinter
