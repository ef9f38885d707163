#include "rules/gear/place_room.h"

#include <algorithm>
#include <cmath>

namespace overwinter {
namespace {

constexpr std::uint32_t hours_to_trust = 24;
constexpr std::uint32_t hours_to_compare = 12;
constexpr std::size_t course_length = 48;
constexpr double variance_weight = 0.02;  // memory of 50 compared hours
constexpr double smallest_sigma = 0.15;   // K
constexpr double outlier_sigmas = 4;

}  // namespace

void PlaceRoom::pass_hour(const RoomHourReadings& hour, bool learn) {
  inside_.pass_hour(RepeatedReadings::Of::inside, hour, learned_);
  outside_.pass_hour(RepeatedReadings::Of::outside, hour, learned_);
  if (const RepeatedReadings* doubted = doubted_longest()) learned_ = doubted->before();
  if (outside_.doubted() && outside_.over()) course_.clear();  // it was drawn to a number that did not move
  follow(hour);
  const bool whole = hour.inside_start && hour.inside_end && hour.outside_start;
  if (!learn || !whole || hour.lit_by_unknown_sun() || doubtful_since()) return;
  const RoomHour start{Temperature(*hour.inside_start), Temperature(*hour.outside_start),
                       Irradiance(std::max(hour.sun.value_or(0), 0.0))};
  learn_hour(learned_.model, start, Temperature(*hour.inside_end));
}

const RepeatedReadings* PlaceRoom::doubted_longest() const {
  if (inside_.doubted() && outside_.doubted()) return inside_.since() < outside_.since() ? &inside_ : &outside_;
  if (inside_.doubted()) return &inside_;
  return outside_.doubted() ? &outside_ : nullptr;
}

std::optional<Instant> PlaceRoom::doubtful_since() const {
  const RepeatedReadings* doubted = doubted_longest();
  return doubted ? std::optional(doubted->since()) : std::nullopt;
}

void PlaceRoom::follow(const RoomHourReadings& hour) {
  const bool adjoins = !course_.empty() && course_end_ + one_hour == hour.end;
  if (learned_.model.hours < hours_to_trust || (!course_.empty() && (!adjoins || !hour.outside_start))) course_.clear();
  if (course_.empty()) {
    if (learned_.model.hours < hours_to_trust || !hour.inside_end) return;
    course_.push_back(*hour.inside_end);
    course_end_ = hour.end;
    return;
  }
  course_.push_back(step(course_.back(), *hour.outside_start, hour.sun, 1));
  course_end_ = hour.end;
  if (course_.size() > course_length) course_.pop_front();
  if (!hour.inside_end || doubtful_since()) return;
  compare(*hour.inside_end - course_.back(), hour.lit_by_unknown_sun() ? 1 : 0);
}

// A fault must not widen the band until it fits in.
void PlaceRoom::compare(double error, std::size_t light) {
  double& variance = learned_.variance[light];
  std::uint32_t& count = learned_.compared[light];
  const double sigma = std::max(std::sqrt(variance), smallest_sigma);
  if (count >= hours_to_compare) error = std::clamp(error, -outlier_sigmas * sigma, outlier_sigmas * sigma);
  ++count;
  variance += std::max(variance_weight, 1.0 / count) * (error * error - variance);
}

std::optional<double> PlaceRoom::course_at(Instant whole_hour) const {
  if (course_.empty() || whole_hour > course_end_) return std::nullopt;
  const auto back = static_cast<std::size_t>((course_end_ - whole_hour) / one_hour);
  if (back >= course_.size()) return std::nullopt;
  return course_[course_.size() - 1 - back];
}

double PlaceRoom::step(double temperature, double outside, std::optional<double> sun, double part_of_hour) const {
  const double exchanged = -std::expm1(part_of_hour * std::log1p(-learned_.model.exchange));
  return temperature + exchanged * (outside - temperature) +
         learned_.model.solar_gain * std::max(sun.value_or(0), 0.0) / 100 * part_of_hour;
}

std::optional<double> PlaceRoom::plus_minus(bool lit_by_unknown_sun) const {
  const std::size_t light = lit_by_unknown_sun ? 1 : 0;
  if (learned_.compared[light] < hours_to_compare) return std::nullopt;
  return 2 * std::max(std::sqrt(learned_.variance[light]), smallest_sigma);
}

}  // namespace overwinter
