#include "rules/gear/place_door.h"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace overwinter {
namespace {

constexpr std::uint32_t dark_hours_to_begin = 2;  // what the sun left in the air is gone
constexpr std::size_t longest_night = 12;         // whole hours
constexpr std::size_t hours_to_judge = 2;
constexpr std::ptrdiff_t hours_to_stand = 4;
constexpr double in_a_storm = 2.5;  // times the learned exchange
constexpr double standing_open = 10;
constexpr double telling = 5;  // K2
constexpr double left_over = 0.3;
constexpr Span longest = 14 * one_day;

// Share of the difference made up in an hour if the room exchanged `times` as much.
double exchange_of(double exchange, double times) { return -std::expm1(times * std::log1p(-exchange)); }

}  // namespace

void DoorWatch::pass_hour(const RoomHourReadings& hour, const RoomModel& room) {
  dark_hours_ = hour.dark() ? dark_hours_ + 1 : 0;
  if (dark_hours_ < dark_hours_to_begin || !hour.inside_end || !hour.outside_end) {
    night_.clear();
    return;
  }
  night_.push_back({*hour.inside_end, *hour.outside_end});
  if (night_.size() > longest_night) night_.pop_front();
  if (room.hours < hours_to_know_a_room || outdoors_stand() || !looks(!suspected_, room.exchange)) return;
  suspected_ = !suspected_;
  suspected_at_ = hour.end;
  night_.erase(night_.begin(), night_.end() - 1);
}

void DoorWatch::forget_since(Instant since) {
  if (suspected_at_ >= since) suspected_ = false;
  night_.clear();
  dark_hours_ = 0;
}

// A number that has stood for hours may be stuck: what speaks for an open door then waits until it moves.
bool DoorWatch::outdoors_stand() const {
  if (std::ssize(night_) < hours_to_stand) return false;
  return std::all_of(night_.end() - hours_to_stand, night_.end(),
                     [this](const WholeHour& hour) { return hour.outside == night_.back().outside; });
}

// Whether from some hour of the night on the readings are those of an open (a closed) room and not of the other.
bool DoorWatch::looks(bool as_open, double exchange) const {
  const double opened = exchange_of(exchange, standing_open);
  const double closed = exchange_of(exchange, in_a_storm);
  for (std::size_t from = 0; from + hours_to_judge < night_.size(); ++from) {
    const double asked = misfit(from, as_open ? opened : closed);
    const double other = misfit(from, as_open ? closed : opened);
    if (other - asked > telling && asked < left_over * other) return true;
  }
  return false;
}

// Sum of squares, K2, of what the readings differ from a room that starts with one of them.
double DoorWatch::misfit(std::size_t from, double exchange) const {
  double room = night_[from].inside;
  double squares = 0;
  for (std::size_t i = from + 1; i < night_.size(); ++i) {
    const double outside = (night_[i - 1].outside + night_[i].outside) / 2;
    room += exchange * (outside - room);
    squares += (night_[i].inside - room) * (night_[i].inside - room);
  }
  return squares;
}

bool DoorWatch::is_how_it_is_kept(Instant now) const { return suspected_ && now - suspected_at_ >= longest; }

}  // namespace overwinter
