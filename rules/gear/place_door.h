// Notices that a closed, unheated place follows the outdoors as only an open one does: a door, hatch or window.
#pragma once

#include <deque>
#include <optional>

#include "rules/archive.h"
#include "rules/gear/place_room.h"

namespace overwinter {

// Two rooms are followed through the dark hours (a sunlit room says nothing), each from the reading of every hour of
// the night on: the closed place in a storm, at 2.5 times the learned exchange, and one that stands open, at ten times.
// Wind doubles or triples what leaks in, and that is a part of the whole exchange (ASHRAE Handbook Fundamentals,
// infiltration; from memory). Open is suspected when from some hour on, for two hours or more, the open room explains
// the readings better by squares of more than 5 K2, and leaves less than 0.3 of the other's: the likelihood ratio of a
// change at an unknown time (M. Basseville, I. Nikiforov, Detection of Abrupt Changes, 1993, ch. 2; from memory).
// It stands until the closed room explains the readings as much better, or for 14 d: what is open that long is how the
// place is kept. Where the outdoors hold still nothing is told: the two rooms are soon the same, and a number that has
// stood for hours may be that of a stuck thermometer.
class DoorWatch {
 public:
  void pass_hour(const RoomHourReadings& hour, const RoomModel& room);
  bool suspected() const { return suspected_; }
  bool is_how_it_is_kept(Instant now) const;
  // The readings since then are not believed: nor is what was suspected from them.
  void forget_since(Instant since);
  void forget() { *this = DoorWatch{}; }

  template <class A>
  void archive(A& a) {
    a(night_, suspected_at_, dark_hours_, suspected_);
  }

 private:
  struct WholeHour {
    double inside = 0, outside = 0;  // degC

    template <class A>
    void archive(A& a) {
      a(inside, outside);
    }
  };
  bool outdoors_stand() const;
  bool looks(bool open, double exchange) const;
  double misfit(std::size_t from, double exchange) const;

  std::deque<WholeHour> night_;
  Instant suspected_at_{};
  std::uint32_t dark_hours_ = 0;
  bool suspected_ = false;
};

}  // namespace overwinter
