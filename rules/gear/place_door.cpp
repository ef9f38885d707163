#include "rules/gear/place_door.h"

#include <cmath>

namespace overwinter {
namespace {

constexpr std::uint32_t dark_hours_to_judge = 3;
constexpr double far_outdoors = 5;      // K
constexpr double telling_outdoors = 3;  // K
constexpr Span witness_reach = 6 * one_hour;
constexpr Span longest = 14 * one_day;

// Share of the difference made up in an hour if the time constant were `times` the learned one.
double exchange_at(double exchange, double times) { return -std::expm1(std::log1p(-exchange) / times); }

}  // namespace

void DoorWatch::pass_hour(const RoomHourReadings& hour, const RoomModel& room, std::optional<double> error,
                          std::optional<double> closed_room) {
  dark_hours_ = hour.dark() ? dark_hours_ + 1 : 0;
  if (!error || !hour.outside_end || dark_hours_ < dark_hours_to_judge) return;
  const double drive = (*hour.outside_start + *hour.outside_end) / 2 - *hour.inside_start;
  const double change = *hour.inside_end - *hour.inside_start;
  if (suspected_) {
    look_for_closing(drive, change, room.exchange);
  } else {
    look_for_opening(hour, drive, change, room.exchange, *error, closed_room);
    if (suspected_) suspected_at_ = hour.end;
  }
}

void DoorWatch::look_for_opening(const RoomHourReadings& hour, double drive, double change, double exchange,
                                 double error, std::optional<double> closed_room) {
  const Shift shift = take_residual(sums_, error);
  if (shift != Shift::none) {
    sums_ = {};
    const bool towards_outdoors = (shift == Shift::up) == (drive > 0);
    if (towards_outdoors && std::abs(drive) > far_outdoors) {
      shift_at_ = hour.end;
      toward_ = shift;
    }
  }
  const Instant oldest = hour.end - witness_reach;
  const bool fast = std::abs(drive) > far_outdoors && change / drive > exchange_at(exchange, 1.0 / 3);
  const double closed_difference = closed_room ? *closed_room - *hour.outside_end : 0;
  const bool follows =
      std::abs(closed_difference) > 2 && (*hour.inside_end - *hour.outside_end) / closed_difference < 0.5;
  // The witnesses of one hour count once: the second comes from a later hour.
  if (fast_at_ >= oldest && (fast || follows)) follows_at_ = hour.end;
  if (fast) fast_at_ = hour.end;
  suspected_ = shift_at_ >= oldest && fast_at_ >= oldest && follows_at_ == hour.end;
}

void DoorWatch::look_for_closing(double drive, double change, double exchange) {
  if (std::abs(drive) <= telling_outdoors) return;
  closed_hours_ = change / drive < exchange_at(exchange, 0.5) ? closed_hours_ + 1 : 0;
  if (closed_hours_ < 2) return;
  const std::uint32_t dark_hours = dark_hours_;
  forget();
  dark_hours_ = dark_hours;
}

bool DoorWatch::is_how_it_is_kept(Instant now) const { return suspected_ && now - suspected_at_ >= longest; }

}  // namespace overwinter
