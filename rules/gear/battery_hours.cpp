#include "rules/gear/battery_hours.h"

#include <algorithm>
#include <cmath>

#include "rules/gear/battery_charge.h"
#include "rules/physics/lead_acid_state.h"
#include "rules/physics/robust_trend.h"

namespace overwinter {
namespace {

constexpr std::size_t most_in_an_hour = 120;
constexpr std::size_t most_recent = 40;
constexpr Span kept = 48 * one_hour;
constexpr Span rest = 6 * one_hour;
constexpr Span half_an_hour = 30 * one_minute;
constexpr double resting_slope = 0.005;  // V/h

std::int64_t hour_of(Instant at) { return std::chrono::floor<std::chrono::hours>(at).time_since_epoch().count(); }
Instant start_of(std::int64_t hour) { return Instant{hour * one_hour}; }

double hours_between(Instant from, Instant to) { return to_seconds(to - from) / 3600; }

std::optional<double> median_between(const std::deque<HourMedian>& hours, Instant from, Instant to) {
  std::vector<double> values;
  for (const HourMedian& hour : hours) {
    if (hour.at > from && hour.at <= to) values.push_back(hour.voltage);
  }
  const auto middle = median(values);
  return middle ? std::optional(*middle) : std::nullopt;
}

// The medians that decide about rest; empty: too few.
std::vector<HourMedian> deciding(const std::deque<HourMedian>& all, Instant since) {
  std::vector<HourMedian> hours;
  for (const HourMedian& hour : all) {
    if (hour.at >= since + half_an_hour) hours.push_back(hour);
  }
  if (hours.size() < 3) return {};
  const Instant last = hours.back().at;
  std::vector<HourMedian> chosen;
  for (const HourMedian& hour : hours) {
    if (hour.at >= last - rest) chosen.push_back(hour);
  }
  if (chosen.size() >= 3 && last - chosen.front().at >= rest - one_hour) return chosen;
  chosen.assign(hours.end() - 3, hours.end());
  const Span span = last - chosen.front().at;
  if (span < rest || span > one_day) chosen.clear();
  return chosen;
}

}  // namespace

void VoltageHours::add(Instant at, double voltage, std::optional<double> celsius) {
  const std::int64_t hour = hour_of(at);
  if (hour > open_hour_) close(at);
  if (open_.empty()) open_hour_ = std::max(hour, open_hour_);
  if (open_.size() < most_in_an_hour) open_.push_back(voltage);
  if (celsius) open_celsius_ = celsius;
  std::erase_if(recent_, [at](const TrendPoint& p) { return p.at < at - 10 * one_minute; });
  recent_.push_back({at, voltage});
  if (recent_.size() > most_recent) recent_.pop_front();
  reckon_recent();
}

bool VoltageHours::close(Instant now) {
  std::erase_if(hours_, [now](const HourMedian& hour) { return hour.at < now - kept; });
  if (open_.empty() || now < next_close()) return false;
  hours_.push_back({start_of(open_hour_) + half_an_hour, median(open_).value_or(open_.back()), open_celsius_});
  open_.clear();
  open_celsius_.reset();
  return true;
}

Instant VoltageHours::next_close() const { return open_.empty() ? never : start_of(open_hour_ + 1); }

void VoltageHours::reckon_recent() {
  std::vector<double> values;
  values.reserve(recent_.size());
  for (const TrendPoint& p : recent_) values.push_back(p.value);
  const auto middle = median(values);
  now_voltage_ = middle ? std::optional(*middle) : std::nullopt;
}

std::optional<double> VoltageHours::slope(Instant since) const {
  std::vector<double> times;
  std::vector<double> volts;
  for (const HourMedian& hour : hours_) {
    if (hour.at < since) continue;
    times.push_back(to_seconds(hour.at - since));
    volts.push_back(hour.voltage);
  }
  if (const auto newest = now_voltage(); newest && recent_.back().at > since) {
    times.push_back(to_seconds(recent_.back().at - since));
    volts.push_back(*newest);
  }
  if (times.size() < 2 || times.back() - times.front() < 2 * 3600) return {};
  const auto line = robust_trend(times, volts);
  return line ? std::optional(line->slope) : std::nullopt;
}

bool VoltageHours::daily_median_rose() const {
  if (hours_.empty()) return false;
  const Instant last = hours_.back().at;
  const auto today = median_between(hours_, last - one_day, last);
  const auto before = median_between(hours_, last - 2 * one_day, last - one_day);
  return today && before && *today > *before;
}

bool voltage_rests(const std::deque<HourMedian>& hours, Instant now, Instant since) {
  const std::vector<HourMedian> medians = deciding(hours, since);
  if (medians.empty() || now - medians.back().at > rest + one_hour) return false;
  std::vector<double> times;
  std::vector<double> volts;
  std::vector<double> degrees;
  for (const HourMedian& hour : medians) {
    if (hour.voltage > highest_rested_voltage.value) return false;
    times.push_back(hours_between(medians.front().at, hour.at));
    volts.push_back(hour.voltage);
    if (hour.celsius) degrees.push_back(*hour.celsius);
  }
  const auto line = robust_trend(times, volts);
  if (!line) return false;
  double explained = 0;
  if (degrees.size() == times.size()) {
    const auto warming = robust_trend(times, degrees);
    if (warming) explained = volt_per_kelvin * std::abs(warming->slope);
  }
  return std::abs(line->slope) <= resting_slope + explained + 1e-9;
}

}  // namespace overwinter
