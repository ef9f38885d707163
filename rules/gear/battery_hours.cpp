#include "rules/gear/battery_hours.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "rules/gear/battery_charge.h"
#include "rules/physics/lead_acid_state.h"
#include "rules/physics/robust_trend.h"

namespace overwinter {
namespace {

constexpr std::size_t most_in_an_hour = 120;
constexpr std::size_t most_recent = 40;
constexpr Span kept = 48 * one_hour;
constexpr Span half_an_hour = 30 * one_minute;
constexpr double resting_slope = 0.005;  // V/h
constexpr double resting_rise = 0.030;   // V, six hours of it: what rose by more over a day was charged
constexpr double finest_step = 0.010;    // V
constexpr double coarsest_step = 0.1;    // V, of a meter with one decimal
constexpr double arithmetic = 1e-6;      // V

std::int64_t hour_of(Instant at) { return std::chrono::floor<std::chrono::hours>(at).time_since_epoch().count(); }
Instant start_of(std::int64_t hour) { return Instant{hour * one_hour}; }

double hours_between(Instant from, Instant to) { return to_seconds(to - from) / 3600; }

// The medians of a span of time and the middle of them.
struct MediansOfSpan {
  std::vector<double> volts, degrees;

  MediansOfSpan(const std::deque<HourMedian>& hours, Instant from, Instant to) {
    for (const HourMedian& hour : hours) {
      if (hour.at <= from || hour.at > to) continue;
      volts.push_back(hour.voltage);
      if (hour.celsius) degrees.push_back(*hour.celsius);
    }
  }
  std::optional<double> voltage() const {
    const auto middle = median(volts);
    return middle ? std::optional(*middle) : std::nullopt;
  }
};

// One sigma of the difference of the medians of two days, by how much one hour differs from the next: that is noise,
// not charge, which goes on; at least half a step of the meter. Of normal errors the median's is 1.2533 times the
// mean's (textbook).
double error_of_difference(const MediansOfSpan& a, const MediansOfSpan& b, double step) {
  std::vector<double> jumps;
  for (const MediansOfSpan* day : {&a, &b}) {
    for (std::size_t i = 1; i < day->volts.size(); ++i) jumps.push_back(std::abs(day->volts[i] - day->volts[i - 1]));
  }
  const double sigma = std::max(sigma_of_median_deviation * median(jumps).value_or(0) / std::sqrt(2), step / 2);
  return 1.2533 * sigma * std::sqrt(1 / static_cast<double>(a.volts.size()) + 1 / static_cast<double>(b.volts.size()));
}

// The medians that decide about rest; empty: too few.
std::vector<HourMedian> deciding(const std::deque<HourMedian>& all, Instant since, Instant charged) {
  std::vector<HourMedian> hours;
  for (const HourMedian& hour : all) {
    if (hour.at >= since + half_an_hour) hours.push_back(hour);
  }
  if (hours.size() < 2) return {};
  const Instant last = hours.back().at;
  std::vector<HourMedian> chosen;
  for (const HourMedian& hour : hours) {
    if (hour.at >= last - until_rest) chosen.push_back(hour);
  }
  if (chosen.size() >= 3 && last - chosen.front().at >= until_rest - one_hour) return chosen;
  if (hours.size() >= 3) {
    chosen.assign(hours.end() - 3, hours.end());
    const Span span = last - chosen.front().at;
    if (span >= until_rest && span <= one_day) return chosen;
  }
  chosen.assign(hours.end() - 2, hours.end());
  const Instant first = chosen.front().at;
  if (last - first < until_rest || first < charged + half_an_hour) chosen.clear();
  return chosen;
}

// Whether the newest of these medians lies above the middle of them, or above that of the six hours before them (from
// `since` on), by more than a resting battery rises.
bool held_up(const std::deque<HourMedian>& all, const std::vector<HourMedian>& medians, Instant since, double noise) {
  const HourMedian& newest = medians.back();
  const Instant first = medians.front().at;
  const auto above = [&](Instant from, Instant to) {
    const MediansOfSpan span(all, from - Span(1), to - Span(1));
    const auto middle = span.voltage();
    if (!middle) return false;
    const auto celsius = median(span.degrees);
    const double warmed = celsius && newest.celsius ? volt_per_kelvin * std::abs(*newest.celsius - *celsius) : 0;
    const double sloped = resting_slope * hours_between(from + (to - from) / 2, newest.at);
    return newest.voltage - *middle > std::max({resting_rise, sloped, noise}) + warmed + arithmetic;
  };
  return above(first, newest.at + Span(1)) || above(std::max(first - until_rest, since + half_an_hour), first);
}

}  // namespace

void VoltageHours::add(Instant at, double voltage, std::optional<double> celsius) {
  const std::int64_t hour = hour_of(at);
  if (hour > open_hour_) close(at);
  if (open_.empty()) open_hour_ = std::max(hour, open_hour_);
  if (open_.size() < most_in_an_hour) open_.push_back(voltage);
  if (celsius) open_celsius_ = celsius;
  learn_step(voltage);
  std::erase_if(recent_, [at](const TrendPoint& p) { return p.at < at - 10 * one_minute; });
  recent_.push_back({at, voltage});
  if (recent_.size() > most_recent) recent_.pop_front();
  reckon_recent();
}

void VoltageHours::learn_step(double voltage) {
  if (recent_.empty()) return;
  const double difference = std::abs(voltage - recent_.back().value);
  if (difference > arithmetic) step_ = std::min(step_.value_or(difference), difference);
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
  std::array<double, most_recent> values{};
  std::size_t count = 0;
  for (const TrendPoint& p : recent_) {
    if (count < most_recent) values[count++] = p.value;  // a damaged snapshot may hold more
  }
  const auto middle = median(std::span(values).first(count));
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

double VoltageHours::sigma() const {
  std::vector<double> off;
  for (std::size_t i = 2; i < hours_.size(); ++i) {
    off.push_back(std::abs(hours_[i - 2].voltage - 2 * hours_[i - 1].voltage + hours_[i].voltage));
  }
  // A second difference of equal errors has sqrt(6) of one's sigma (textbook).
  return off.empty() ? 0 : sigma_of_median_deviation * *median(off) / std::sqrt(6);
}

double VoltageHours::noise() const { return std::max(step(), 3 * sigma()); }

double VoltageHours::slope_noise(Instant since) const {
  std::vector<double> times;
  for (const HourMedian& hour : hours_) {
    if (hour.at >= since) times.push_back(to_seconds(hour.at - since));
  }
  return times.size() < 2 ? 0 : 3 * sigma() / std::sqrt(squared_spread(times));
}

std::optional<double> VoltageHours::highest(Instant from, Instant to) const {
  std::optional<double> most;
  for (const HourMedian& hour : hours_) {
    if (hour.at >= from && hour.at < to) most = std::max(most.value_or(hour.voltage), hour.voltage);
  }
  return most;
}

double VoltageHours::step() const { return std::clamp(step_.value_or(0), finest_step, coarsest_step); }

std::optional<double> VoltageHours::daily_median() const {
  if (hours_.empty()) return {};
  return MediansOfSpan(hours_, hours_.back().at - one_day, hours_.back().at).voltage();
}

std::optional<bool> VoltageHours::daily_median_rose() const {
  if (hours_.empty()) return {};
  const Instant last = hours_.back().at;
  const MediansOfSpan today(hours_, last - one_day, last);
  const MediansOfSpan before(hours_, last - 2 * one_day, last - one_day);
  if (today.volts.size() < 2 || before.volts.size() < 2) return {};
  const auto warm = median(today.degrees);
  const auto cold = median(before.degrees);
  const double explained = warm && cold ? volt_per_kelvin * std::abs(*warm - *cold) : 0;
  const double noise = 3 * error_of_difference(today, before, std::min(step_.value_or(0), coarsest_step));
  return *today.voltage() - *before.voltage() > step() + explained + noise + arithmetic;
}

std::optional<bool> voltage_rests(const std::deque<HourMedian>& hours, Instant now, Instant since, Instant charged,
                                  double noise) {
  const std::vector<HourMedian> medians = deciding(hours, since, charged);
  if (medians.empty() || now - medians.back().at > until_rest + one_hour) return {};
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
  if (!line) return {};
  double explained = 0;
  if (degrees.size() == times.size()) {
    const auto warming = robust_trend(times, degrees);
    if (warming) explained = volt_per_kelvin * std::abs(warming->slope);
  }
  const bool rose = (medians.size() == 2 && volts[1] - volts[0] > resting_rise + explained * times[1] + arithmetic) ||
                    held_up(hours, medians, std::max(since, charged), noise);
  return !rose && std::abs(line->slope) <= resting_slope + explained + 1e-9;
}

}  // namespace overwinter
