// The heating of a place: whether it has failed, and how long the place would stay above freezing without it.
#pragma once

#include <deque>
#include <optional>

#include "rules/archive.h"
#include "rules/gear/place_air.h"
#include "rules/gear/place_room.h"

namespace overwinter {

inline constexpr double heating_off_by = 2;  // K, below the set temperature: more than a thermostat swings

// Failed: 2 K or more below the set temperature for 30 min, and over the last half hour or longer the place gained
// less than half the heat that would hold the set temperature at present outdoors, and so in its last minutes, and
// cooled in its last quarter of an hour half as fast at least: after a dip it would be standing or warming again; free
// decay is a gain of none. Where it came to be so cold faster than a closed place does, a door may have stood open:
// then it takes 45 min, with four fifths of its mean pace since in the last 30 min. Where the outdoors are unknown: 2 h
// below without warming. It stands until the place is within 1 K of the set temperature. An open door (measured)
// explains the cold; the time below starts anew when it shuts. For one time constant of the place after that it has not
// failed while it recovers: 1 K warmer than it was coldest since, and not 1 K colder than it was warmest since that. A
// thermometer that reports every few hours: two readings in a row, at most 26 h apart, 4 K or more below it, no door
// opened since the first, and no more heat gained between them, at the mean of the outdoors at both.
class HeatingWatch {
 public:
  struct Reading {
    Instant at{};  // of the thermometer
    Instant now{};
    double inside = 0;              // degC
    std::optional<double> outside;  // degC
    bool door_open = false;
  };

  void take(const Reading& reading, double set_temperature);
  // An hour of a heated place: learns how fast it cools from hours in which it plainly does, 2 K or more below its set
  // temperature. Above, a heater that works has a part in the hour, and the place would seem to cool several times as
  // slowly. Nor from an hour in which the door was seen open. Nothing is learned while the number of the outdoors has
  // stood for 6 h, for it may be that of a stuck thermometer: where it is too cold it would tell too long a time until
  // freezing.
  void pass_hour(const RoomHourReadings& hour, std::optional<double> set_temperature);

  bool failed() const { return failed_; }
  // Time constant of the place: from at least 3 h of cooling, else 12 h assumed (estimate: garages 10 to 40 h).
  Span time_constant() const;
  bool time_constant_is_assumed() const;
  void forget() { *this = HeatingWatch{}; }

  template <class A>
  void archive(A& a) {
    a(recent_, cold_since_, opened_at_, failed_, fell_since_, recovery_, cooling_.exchange, cooling_.solar_gain,
      cooling_.spread_exchange, cooling_.spread_both, cooling_.spread_gain, cooling_.error_variance, cooling_.hours,
      outdoors_stand_);
    if constexpr (A::reading) {
      if (!plausible(cooling_)) a.fail();
    }
  }

 private:
  struct Point {
    Instant at{};
    double inside = 0;
    std::optional<double> outside;

    template <class A>
    void archive(A& a) {
      a(at, inside, outside);
    }
  };
  // Since the door was last seen open.
  struct Recovery {
    double coldest = 0, warmest = 0;  // degC; the warmest since it was coldest

    template <class A>
    void archive(A& a) {
      a(coldest, warmest);
    }
  };
  void remember(const Reading& reading);
  void follow_recovery(const Reading& reading);
  bool recovers(const Reading& reading) const;
  void note_quick_fall(const Reading& reading);
  const Point& point_before(Instant at, Span span) const;
  bool is_warming(const Reading& reading) const;
  bool looks_unheated(const Reading& reading, double set_temperature) const;
  static bool goes_on_cooling(const Point& before, const Point& lately, const Point& present);
  bool cools_steadily(const Point& present) const;
  bool looks_unheated_for_hours(double set_temperature) const;
  bool gains_too_little(const Point& from, const Point& to, double outside, double set_temperature) const;

  std::deque<Point> recent_;  // the last 2 h, and the one reading before
  Instant cold_since_ = never;
  Instant opened_at_ = never;   // when the door was last seen open
  Instant fell_since_ = never;  // since when it fell quickly, on its way to where it is cold now
  std::optional<Recovery> recovery_;
  bool failed_ = false;
  RoomModel cooling_;
  std::uint32_t outdoors_stand_ = 0;  // hours for which their number has repeated
};

// Until air at `inside` in surroundings at `outside` is at 0 degC, s; nothing where it will not get there, with the
// reason.
std::optional<Reckoned> freezing_time(double inside, double outside, Span time_constant, bool assumed,
                                      const char*& because);

}  // namespace overwinter
