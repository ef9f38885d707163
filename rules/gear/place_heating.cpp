#include "rules/gear/place_heating.h"

#include <algorithm>
#include <cmath>

#include "rules/physics/first_order_lag.h"

namespace overwinter {
namespace {

constexpr double warm_again_by = 1;  // K
constexpr Span cold_for = 30 * one_minute;
constexpr Span cold_for_without_outdoors = 2 * one_hour;
constexpr Span longest_window = 3 * one_hour;
constexpr Span longest_gap = 26 * one_hour;  // a thermometer that reports once a day
constexpr double warming_by = 0.3;           // K above the coldest of the window
constexpr double far_below_by = 4;           // K, where readings are hours apart
// K. Noise of 0.3 K makes such a rise in mild weather alone, and delays what is told.
constexpr double recovered_by = 1;
constexpr Span between_points = 5 * one_minute;
constexpr Span last_minutes = 15 * one_minute;
// A fall that no closed place makes, or only a light one: a door nobody watches, or the warm air of a fan heater. It is
// taken over 20 min or longer, and beyond the step of a thermometer that tells whole degF (0.56 K).
constexpr Span quick_fall_within = 20 * one_minute;
constexpr double quick_exchange = 1.0 / 8;  // 1/h; light campers 4 h, garages 10 to 40 h (estimate)
constexpr double quick_fall = 0.7;          // K, beyond what that exchange explains
constexpr Span cold_for_after_quick_fall = 45 * one_minute;
constexpr Span mean_pace_over = 2 * one_hour;  // at most; longer than a fan heater's air is warm
// Of its mean pace since the fall, in the last 30 min, 45 min into the cold: 0.9 without heat at a time constant of
// 3 h, 0.7 where a door lets in what it does with one of an hour.
constexpr double steady_share = 0.8;
// For the verdict a slow place: in it the least cooling already tells, so that a heavy garage's failure is seen too.
constexpr double slow_time_constant = 40;  // h
constexpr double holding_share = 0.5;
constexpr Span assumed_time_constant = 12 * one_hour;
constexpr std::uint32_t heated_hours_to_trust = 3;
constexpr double forgetting_hourly = 0.9;   // some ten hours: the episode at hand counts
constexpr double plain_cooling = 0.3;       // K in an hour
constexpr double plain_difference = 3;      // K
constexpr std::uint32_t hours_at_rest = 6;  // an outdoor thermometer that has stood so long may be stuck

}  // namespace

void HeatingWatch::remember(const Reading& reading) {
  if (!recent_.empty() && reading.at <= recent_.back().at) return;
  if (!recent_.empty() && reading.at - recent_.back().at > longest_gap) recent_.clear();
  if (recent_.size() < 2 || reading.at - recent_[recent_.size() - 2].at >= between_points) {
    recent_.push_back({reading.at, reading.inside, reading.outside});
  } else {
    recent_.back() = {reading.at, reading.inside, reading.outside};
  }
  while (recent_.size() > 2 && recent_[1].at <= reading.at - mean_pace_over) recent_.pop_front();
}

void HeatingWatch::take(const Reading& reading, double set_temperature) {
  if (reading.inside >= set_temperature - warm_again_by) failed_ = false;
  if (reading.door_open) opened_at_ = reading.now;
  // What came in through the door is no sign of the heater, also in the last reading before it shut.
  const bool while_open = opened_at_ != never && reading.at <= opened_at_;
  if (while_open) {
    recent_.clear();
    recovery_.reset();
  } else {
    remember(reading);
    follow_recovery(reading);
  }
  if (while_open || reading.inside >= set_temperature - warm_again_by) {
    fell_since_ = never;
  } else if (fell_since_ == never) {
    note_quick_fall(reading);
  }
  if (while_open || reading.inside > set_temperature - heating_off_by) {
    cold_since_ = never;
    return;
  }
  if (cold_since_ == never) cold_since_ = reading.at;
  const Span needed = reading.outside ? cold_for : cold_for_without_outdoors;
  if (reading.at - cold_since_ < needed || recovers(reading)) return;
  if (looks_unheated(reading, set_temperature)) failed_ = true;
}

void HeatingWatch::follow_recovery(const Reading& reading) {
  if (opened_at_ == never) return;
  if (!recovery_ || reading.inside < recovery_->coldest) {
    recovery_ = Recovery{reading.inside, reading.inside};
  } else {
    recovery_->warmest = std::max(recovery_->warmest, reading.inside);
  }
}

// Since a door that is watched shut it has warmed, and goes on: half an hour of noise in that is no failure.
bool HeatingWatch::recovers(const Reading& reading) const {
  return recovery_ && reading.at - opened_at_ <= time_constant() &&
         recovery_->warmest - recovery_->coldest >= recovered_by && reading.inside > recovery_->warmest - recovered_by;
}

// The newest point that is so much older, or the oldest.
const HeatingWatch::Point& HeatingWatch::point_before(Instant at, Span span) const {
  const auto found = std::find_if(recent_.rbegin(), recent_.rend(), [&](const Point& p) { return p.at <= at - span; });
  return found == recent_.rend() ? recent_.front() : *found;
}

// Warming again after a dip, or about to: a door that nobody watches was open, and the room is heated.
bool HeatingWatch::is_warming(const Reading& reading) const {
  const Instant from = point_before(reading.at, cold_for).at;
  double coldest = reading.inside;
  for (const Point& p : recent_) {
    if (p.at >= from) coldest = std::min(coldest, p.inside);
  }
  return reading.inside - coldest >= warming_by;
}

bool HeatingWatch::looks_unheated(const Reading& reading, double set_temperature) const {
  const Point& before = point_before(reading.at, cold_for);
  if (reading.at - before.at < cold_for) return false;
  if (reading.at - before.at > longest_window) return looks_unheated_for_hours(set_temperature);
  const Point present{reading.at, reading.inside, reading.outside};
  if (!reading.outside) return present.inside <= before.inside;
  if (is_warming(reading)) return false;
  const auto cools = [&](const Point& from) {
    return gains_too_little(from, present, *reading.outside, set_temperature);
  };
  if (!cools(before) || !cools(point_before(present.at, between_points))) return false;
  if (fell_since_ != never) return cools(recent_.front()) && cools_steadily(present);
  return goes_on_cooling(before, point_before(present.at, last_minutes), present);
}

void HeatingWatch::note_quick_fall(const Reading& reading) {
  const Point& from = point_before(reading.at, quick_fall_within);
  if (reading.at - from.at < quick_fall_within || !from.outside) return;
  const double explained = quick_exchange * (to_seconds(reading.at - from.at) / 3600) * (from.inside - *from.outside);
  if (from.inside - reading.inside > explained + quick_fall) fell_since_ = from.at;
}

// What a door lets in it lets in at first, and then less and less; a place without heat loses as much as before.
bool HeatingWatch::cools_steadily(const Point& present) const {
  if (present.at - cold_since_ < cold_for_after_quick_fall) return false;
  const Point& first = point_before(std::max(fell_since_, recent_.front().at), Span{});
  const Point& lately = point_before(present.at, cold_for);
  if (first.at >= present.at || lately.at >= present.at) return false;  // of a damaged snapshot
  const auto rate = [&present](const Point& from) {
    return (present.inside - from.inside) / to_seconds(present.at - from.at);
  };
  return rate(lately) <= steady_share * rate(first);
}

// What came in through a door comes in at once, and then the place stands or warms; without heat it cools on and on.
bool HeatingWatch::goes_on_cooling(const Point& before, const Point& lately, const Point& present) {
  const auto rate = [&present](const Point& from) {
    return (present.inside - from.inside) / to_seconds(present.at - from.at);
  };
  return rate(before) >= 0 || rate(lately) <= rate(before) / 2;
}

bool HeatingWatch::looks_unheated_for_hours(double set_temperature) const {
  const Point& present = recent_.back();
  const Point& before = point_before(present.at, cold_for);
  if (std::max(before.inside, present.inside) > set_temperature - far_below_by) return false;
  if (opened_at_ != never && opened_at_ >= before.at) return false;
  if (!before.outside || !present.outside) return present.inside <= before.inside;
  return gains_too_little(before, present, (*before.outside + *present.outside) / 2, set_temperature);
}

bool HeatingWatch::gains_too_little(const Point& from, const Point& to, double outside, double set_temperature) const {
  const double rate = (to.inside - from.inside) / (to_seconds(to.at - from.at) / 3600);
  const double exchange = time_constant_is_assumed() ? 1 / slow_time_constant : 3600 / to_seconds(time_constant());
  const double gained = rate - exchange * (outside - (to.inside + from.inside) / 2);
  const double holding = exchange * (set_temperature - outside);
  return gained < holding_share * holding;
}

void HeatingWatch::pass_hour(const RoomHourReadings& hour, std::optional<double> set_temperature) {
  const bool stands = hour.outside_start && hour.outside_end && *hour.outside_start == *hour.outside_end;
  outdoors_stand_ = stands ? outdoors_stand_ + 1 : 0;
  if (!hour.inside_start || !hour.inside_end || !hour.outside_start || outdoors_stand_ >= hours_at_rest) return;
  if (opened_at_ != never && opened_at_ > hour.end - one_hour) return;
  if (!set_temperature || *hour.inside_start > *set_temperature - heating_off_by) return;
  if (*hour.inside_start - *hour.inside_end < plain_cooling) return;
  if (*hour.inside_start - *hour.outside_start < plain_difference) return;
  learn_hour(cooling_, {Temperature(*hour.inside_start), Temperature(*hour.outside_start), Irradiance(0)},
             Temperature(*hour.inside_end), {.forgetting = forgetting_hourly, .guarded = false});
  cooling_.exchange = std::clamp(cooling_.exchange, 0.01, 0.9);
}

bool HeatingWatch::time_constant_is_assumed() const { return cooling_.hours < heated_hours_to_trust; }

Span HeatingWatch::time_constant() const {
  if (time_constant_is_assumed()) return assumed_time_constant;
  return span_from_seconds(-3600 / std::log1p(-cooling_.exchange));
}

std::optional<Reckoned> freezing_time(double inside, double outside, Span time_constant, bool assumed,
                                      const char*& because) {
  const auto left =
      time_until_cooled(Temperature(inside), Temperature(outside), Temperature(0), Seconds(to_seconds(time_constant)));
  if (!left) {
    because = left.error().reason;
    return std::nullopt;
  }
  return Reckoned{left->value, left->value * (assumed ? 0.6 : 0.3)};
}

}  // namespace overwinter
