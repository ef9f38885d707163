#include "rules/engine/track.h"

#include <algorithm>
#include <cmath>

#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr Span fine_bucket = 5 * one_minute;
constexpr Span coarse_bucket = 30 * one_minute;
constexpr Span fine_reach = one_day;
constexpr Span coarse_reach = 14 * one_day;

bool same_bucket(Instant a, Instant b, Span bucket) {
  return a.time_since_epoch() / bucket == b.time_since_epoch() / bucket;
}

bool earlier(const Track::Reading& r, Instant t) { return r.at < t; }

// y after a ramp of the air from x0 to x1 over dt, starting at y0.
double after_ramp(double y0, double x0, double x1, double dt, double tau) {
  if (dt <= 0) return y0;
  const double slope_tau = (x1 - x0) / dt * tau;
  return x1 - slope_tau + (y0 - x0 + slope_tau) * std::exp(-dt / tau);
}

}  // namespace

void Track::forget_sensor_after(Instant instant) {
  const auto says_nothing = [instant](const Reading& r) { return r.at > instant && !r.by_hand; };
  std::erase_if(recent_, says_nothing);
  std::erase_if(older_, says_nothing);
  lags_.clear();
}

std::optional<double> Track::lowest_between(Instant from, Instant to) const {
  std::optional<double> lowest;
  for (const auto* readings : {&older_, &recent_}) {
    for (const Reading& r : *readings) {
      if (r.at < from || r.at >= to || r.by_hand) continue;
      lowest = std::min(lowest.value_or(r.value), r.value);
    }
  }
  return lowest;
}

void Track::add(const Reading& reading) {
  if (!recent_.empty() && reading.at < recent_.back().at) {
    insert_late(reading);
    return;
  }
  for (Lag& lag : lags_) advance(lag, reading);
  // The newest but one stays only as the last of its bucket; the newest always stays.
  if (!recent_.empty() && same_bucket(recent_.back().at, reading.at, fine_bucket)) {
    recent_.back() = reading;
  } else {
    recent_.push_back(reading);
  }
  age();
}

void Track::insert_late(const Reading& reading) {
  const Instant newest_at = recent_.back().at;
  if (reading.at < newest_at - coarse_reach) return;
  std::deque<Reading>& home = reading.at < newest_at - fine_reach ? older_ : recent_;
  const auto place = std::lower_bound(home.begin(), home.end(), reading.at, earlier);
  if (place != home.end() && place->at == reading.at) return;
  // The last of its bucket stays, as among those that came in time; what a person read stays anyway.
  const Span bucket = &home == &older_ ? coarse_bucket : fine_bucket;
  const auto stands_for = [&](const Reading& other) {
    return !reading.by_hand && !other.by_hand && same_bucket(other.at, reading.at, bucket);
  };
  if (place != home.end() && stands_for(*place)) return;
  if (place != home.begin() && stands_for(*std::prev(place))) {
    *std::prev(place) = reading;
    return;
  }
  home.insert(place, reading);
  if (older_.size() > 2 * static_cast<std::size_t>(coarse_reach / coarse_bucket)) older_.pop_front();
}

void Track::age() {
  const Instant newest_at = recent_.back().at;
  while (recent_.front().at < newest_at - fine_reach) {
    if (!older_.empty() && same_bucket(older_.back().at, recent_.front().at, coarse_bucket)) {
      older_.back() = recent_.front();
    } else {
      older_.push_back(recent_.front());
    }
    recent_.pop_front();
  }
  while (!older_.empty() && older_.front().at < newest_at - coarse_reach) older_.pop_front();
}

std::optional<Track::Reading> Track::at(Instant instant, Span reach) const {
  if (recent_.empty()) return std::nullopt;
  const Reading* before = nullptr;
  const Reading* after = nullptr;
  const auto look = [&](const std::deque<Reading>& readings) {
    const auto next = std::lower_bound(readings.begin(), readings.end(), instant, earlier);
    if (next != readings.end() && (after == nullptr || next->at < after->at)) after = &*next;
    if (next != readings.begin() && (before == nullptr || std::prev(next)->at > before->at)) before = &*std::prev(next);
  };
  if (instant >= recent_.back().at) {
    before = &recent_.back();  // the usual case: the present
  } else {
    look(recent_);
    look(older_);
  }
  if (after != nullptr && after->at == instant) return *after;
  if (before != nullptr && after != nullptr && after->at - before->at <= limits::interpolation_gap) {
    const double share = to_seconds(instant - before->at) / to_seconds(after->at - before->at);
    return Reading{instant, before->value + share * (after->value - before->value), before->by_hand || after->by_hand};
  }
  const Reading* nearest = before;
  if (after != nullptr && (before == nullptr || after->at - instant < instant - before->at)) nearest = after;
  if (nearest == nullptr) return std::nullopt;
  const Span away = nearest->at > instant ? nearest->at - instant : instant - nearest->at;
  if (away > reach) return std::nullopt;
  return *nearest;
}

void Track::advance(Lag& lag, const Reading& reading) {
  lag.lagged = after_ramp(lag.lagged, lag.air, reading.value, to_seconds(reading.at - lag.at), to_seconds(lag.tau));
  lag.air = reading.value;
  lag.at = reading.at;
}

std::optional<Track::Lag> Track::integrate(Instant instant, Span tau) const {
  std::optional<Lag> lag;
  const auto follow = [&](const std::deque<Reading>& readings) {
    for (const Reading& r : readings) {
      if (r.at < instant - 8 * tau || r.at > instant) continue;
      if (!lag) {
        lag = Lag{tau, r.at, r.value, r.value};
      } else {
        advance(*lag, r);
      }
    }
  };
  follow(older_);
  follow(recent_);
  return lag;
}

void Track::follow_lag(Instant instant, Span tau) {
  if (recent_.empty() || instant < recent_.back().at) return;
  if (std::ranges::find(lags_, tau, &Lag::tau) != lags_.end()) return;
  if (const std::optional<Lag> start = integrate(recent_.back().at, tau)) lags_.push_back(*start);
}

std::optional<Track::Reading> Track::lagged_at(Instant instant, Span tau, Span reach) const {
  std::optional<Lag> lag;
  if (!recent_.empty() && instant >= recent_.back().at) {
    const auto followed = std::ranges::find(lags_, tau, &Lag::tau);
    lag = followed != lags_.end() ? std::optional(*followed) : integrate(recent_.back().at, tau);
  } else {
    lag = integrate(instant, tau);
  }
  if (!lag) {  // no reading within 8 tau: whatever is near has settled
    std::optional<Reading> near = at(instant, reach);
    return near;
  }
  if (instant - lag->at > reach) return std::nullopt;
  const double held = lag->air + (lag->lagged - lag->air) * std::exp(-to_seconds(instant - lag->at) / to_seconds(tau));
  return Reading{lag->at, held, false};
}

}  // namespace overwinter
