// Notices that a closed, unheated place suddenly follows the outdoors: a door, hatch or window stands open.
#pragma once

#include <optional>

#include "rules/archive.h"
#include "rules/gear/place_room.h"
#include "rules/physics/cusum.h"

namespace overwinter {

// Three witnesses, all in the dark (no sun for 3 h: a sunlit room cools faster than it was learned to):
// the cumulative sum of the forecast errors (cusum.h) shifts towards the outdoors while these are 5 K away; in that
// hour the place made up what takes a time constant under a third of the learned one; and a second such hour, or one
// that finds it less than half as far from the outdoors as the closed room would be.
// It stands until two hours with the outdoors 3 K away show a time constant above half the learned one, or for 14 d:
// what is open that long is how the place is kept.
class DoorWatch {
 public:
  // error: PlaceRoom::pass_hour; closed_room: its course at the end of the hour.
  void pass_hour(const RoomHourReadings& hour, const RoomModel& room, std::optional<double> error,
                 std::optional<double> closed_room);
  bool suspected() const { return suspected_; }
  bool is_how_it_is_kept(Instant now) const;
  void forget() { *this = DoorWatch{}; }

  template <class A>
  void archive(A& a) {
    a(sums_.above, sums_.below, shift_at_, fast_at_, follows_at_, suspected_at_, toward_, dark_hours_, closed_hours_,
      suspected_);
  }

 private:
  void look_for_opening(const RoomHourReadings& hour, double drive, double change, double exchange, double error,
                        std::optional<double> closed_room);
  void look_for_closing(double drive, double change, double exchange);

  Cusum sums_;
  Instant shift_at_{}, fast_at_{}, follows_at_{}, suspected_at_{};
  Shift toward_ = Shift::none;
  std::uint32_t dark_hours_ = 0, closed_hours_ = 0;
  bool suspected_ = false;
};

}  // namespace overwinter
