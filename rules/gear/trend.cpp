#include "rules/gear/trend.h"

#include <algorithm>
#include <cmath>

#include "rules/physics/change_point.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/robust_trend.h"

namespace overwinter {
namespace {

constexpr Span dawn = 5 * one_hour;
constexpr Span near_enough = 2 * one_hour;
constexpr Span clock_change = 2 * one_hour;  // on a day of summer time the local clock is off from dawn by as much
constexpr Span thinning = 15 * one_minute;
constexpr std::size_t most_open = 96;

Span distance(Instant a, Instant b) { return a < b ? b - a : a - b; }

// The median reading of a day stands at the median of their instants.
TrendPoint middle(const std::vector<TrendPoint>& readings) {
  std::vector<double> values(readings.size());
  std::vector<double> times(readings.size());
  const Instant first = readings.front().at;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    values[i] = readings[i].value;
    times[i] = to_seconds(readings[i].at - first);
  }
  return {first + span_from_seconds(median(times).value_or(0)), median(values).value_or(readings.front().value)};
}

struct SecondsAndValues {
  std::vector<double> times, values;  // times since the first
};

SecondsAndValues seconds_and_values(std::span<const TrendPoint> points) {
  SecondsAndValues apart;
  for (const TrendPoint& p : points) {
    apart.times.push_back(to_seconds(p.at - points.front().at));
    apart.values.push_back(p.value);
  }
  return apart;
}

}  // namespace

TrendTime trend_time(Instant at, const TimeZone& zone) {
  const Instant local = at + zone.offset_at(at);  // the local clock, read as if it were UTC
  const auto date = std::chrono::floor<std::chrono::days>(local);
  TrendTime when{at, static_cast<std::int32_t>(date.time_since_epoch().count()), never};
  if (distance(local, date + dawn) > near_enough + clock_change) return when;  // cheap, and often enough
  const Instant at_dawn = from_local(date, dawn, zone);
  if (distance(at, at_dawn) <= near_enough) when.dawn = at_dawn;
  return when;
}

DailySeries::Day& DailySeries::day_of(std::int32_t day) {
  if (!days_.empty() && days_.back().day == day) return days_.back();
  auto place =
      std::lower_bound(days_.begin(), days_.end(), day, [](const Day& d, std::int32_t x) { return d.day < x; });
  if (place != days_.end() && place->day == day) return *place;
  return *days_.insert(place, Day{day, false, false, {}});
}

void DailySeries::close_open_day() {
  if (open_.empty()) return;
  Day& day = day_of(open_day_);
  if (!day.near_dawn) {
    day.point = middle(open_);
    day.has_value = true;
  }
  open_.clear();
}

void DailySeries::add(const TrendTime& when, double value) {
  const auto [at, today, at_dawn] = when;
  if (at < from_ || !std::isfinite(value)) return;
  if (days_.size() >= most_trend_values && today < days_.front().day) return;
  if (days_.empty() || today > days_.back().day) {
    close_open_day();
    open_day_ = today;
  }
  Day& day = day_of(today);
  if (at_dawn != never) {
    if (!day.near_dawn || distance(at, at_dawn) < distance(day.point.at, at_dawn)) {
      day.point = {at, value};
      day.near_dawn = day.has_value = true;
    }
  } else if (!day.near_dawn) {
    if (today != open_day_) {
      if (!day.has_value) {
        day.point = {at, value};
        day.has_value = true;
      }
    } else if (open_.empty() || (distance(at, open_.back().at) >= thinning && open_.size() < most_open)) {
      open_.push_back({at, value});
    }
  }
  if (days_.size() > most_trend_values) days_.pop_front();
}

std::vector<TrendPoint> DailySeries::values(Instant now, Instant since, const TimeZone& zone) {
  if (open_day_ < local_day(now, zone)) close_open_day();
  std::vector<TrendPoint> known;
  for (const Day& day : days_) {
    if (day.has_value && day.point.at >= since) known.push_back(day.point);
  }
  return known;
}

void DailySeries::restart(Instant from) {
  std::erase_if(days_, [from](const Day& day) { return day.has_value && day.point.at < from; });
  std::erase_if(open_, [from](const TrendPoint& reading) { return reading.at < from; });
  std::erase_if(days_, [this](const Day& day) { return !day.has_value && (open_.empty() || day.day != open_day_); });
  from_ = from;
}

std::vector<TrendPoint> after_last_gap(std::vector<TrendPoint> points) {
  for (std::size_t i = points.size(); i > 1; --i) {
    if (points[i - 1].at - points[i - 2].at <= longest_trend_gap) continue;
    points.erase(points.begin(), points.begin() + static_cast<std::ptrdiff_t>(i - 1));
    break;
  }
  return points;
}

Instant next_trend_time(Instant now, const TimeZone& zone) { return next_local(now, dawn + near_enough, zone); }

double TrendErrors::both() const { return in_quadrature(independent, lasting); }

std::optional<TrendLine> trend_line(std::span<const TrendPoint> points, const TrendErrors& errors) {
  if (points.size() < 3) return {};
  const auto [times, values] = seconds_and_values(points);
  const auto line = robust_trend(times, values);
  const auto lasting = slope_standard_error_of_lasting(errors.lasting, to_seconds(weather_memory), times);
  if (!line || !lasting) return {};
  const double sigma = std::max(line->robust_sigma, errors.both());
  const double independent = std::sqrt(sigma * sigma - errors.lasting * errors.lasting);
  return TrendLine{line->slope,
                   in_quadrature(independent / std::sqrt(squared_spread(times)), *lasting),
                   sigma,
                   line->intercept + line->slope * times.back(),
                   points.front().at,
                   points.back().at,
                   points.size()};
}

std::optional<LineSinceChange> line_since_change(std::span<const TrendPoint> points, const TrendErrors& errors,
                                                 std::size_t fewest) {
  constexpr double mean_of_normal = 0.798;  // sqrt(2 / pi): mean absolute error at one sigma (textbook)
  const auto [times, values] = seconds_and_values(points);
  const auto change = change_point(times, values, fewest, mean_of_normal * errors.both());
  if (!change) return {};
  const auto line = trend_line(points.subspan(change->first_after), errors);
  if (!line) return {};
  return LineSinceChange{*line, change->clear};
}

void RunningSum::restart(Instant at, double value) {
  points_.clear();
  points_.push_back({at, value});
}

void RunningSum::advance(Instant at, double value) {
  const std::size_t n = points_.size();
  if (n >= 2 && at - points_[n - 2].at < one_day) {
    points_.back() = {at, value};
    return;
  }
  points_.push_back({at, value});
  if (points_.size() > most_trend_values) points_.pop_front();
}

double RunningSum::at(Instant instant) const {
  if (points_.empty()) return 0;
  const auto after = std::lower_bound(points_.begin(), points_.end(), instant,
                                      [](const TrendPoint& p, Instant x) { return p.at < x; });
  if (after == points_.begin()) return after->value;
  if (after == points_.end()) return points_.back().value;
  const TrendPoint& before = *std::prev(after);
  const double share = to_seconds(instant - before.at) / to_seconds(after->at - before.at);
  return before.value + share * (after->value - before.value);
}

}  // namespace overwinter
