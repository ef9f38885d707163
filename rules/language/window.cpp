#include "rules/language/window.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "rules/language/trend.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr std::int64_t buckets = static_cast<std::int64_t>(limits::window_buckets);

constexpr double rounding_of_seconds = 1e-6;  // that are added up
constexpr double rounding_of_sums = 1e-11;    // of a mean, relative

Span bucket_width(const HistoryCall& call) { return Span((call.window.count() + buckets - 1) / buckets); }

std::int64_t floor_divide(std::int64_t a, std::int64_t b) { return a / b - (a % b < 0 ? 1 : 0); }

// The bucket in which time goes on from t.
std::int64_t bucket_after(Instant t, Span width) { return floor_divide(t.time_since_epoch().count(), width.count()); }
// The bucket of a reading at t: what arrives on a boundary ends the bucket before, so that the last d has 96 buckets.
std::int64_t bucket_of_reading(Instant t, Span width) { return bucket_after(t - Span{1}, width); }
Instant bucket_end(std::int64_t bucket, Span width) { return Instant((bucket + 1) * width); }

bool keeps_raw(const HistoryCall& call) {
  return call.window <= limits::window_with_raw_readings && call.function != HistoryFunction::slope;
}

bool is_trend(const HistoryCall& call) {
  return call.function == HistoryFunction::change || call.function == HistoryFunction::slope;
}

Span reach(const HistoryCall& call) {
  return call.function == HistoryFunction::change ? call.window + call.window / 4 : call.window;
}

std::size_t most_segments(const HistoryCall& call) {
  if (keeps_raw(call)) return limits::window_raw_readings;
  // One more than change() reaches over: its oldest reading may end the bucket before them.
  return call.function == HistoryFunction::change ? limits::window_buckets + limits::window_buckets / 4 + 1
                                                  : limits::window_buckets;
}

double seconds_between(Instant a, Instant b) { return to_seconds(b - a); }

// The part of a segment that lies after `from`: what came before it in one bucket is taken as spread evenly.
double share_after(const Window::Segment& segment, Instant from) {
  if (segment.start >= from) return 1;
  if (segment.end <= from) return 0;
  return seconds_between(from, segment.end) / seconds_between(segment.start, segment.end);
}

void merge(Window::Segment& into, const Window::Segment& from) {
  into.time_sum += from.time_sum + seconds_between(into.start, from.start) * from.readings;
  into.end = from.end;
  into.integral += from.integral;
  into.known += from.known;
  if (from.readings == 0) return;
  if (into.readings == 0) {
    into.first_at = from.first_at;
    into.first = from.first;
    into.lowest = from.lowest;
    into.highest = from.highest;
  }
  into.readings += from.readings;
  into.last_at = from.last_at;
  into.last = from.last;
  into.by_hand = from.by_hand;
  into.lowest = std::min(into.lowest, from.lowest);
  into.highest = std::max(into.highest, from.highest);
  into.sum += from.sum;
}

void take(Window::Segment& into, Instant at, Cell x) {
  if (into.readings == 0) {
    into.first_at = at;
    into.first = into.lowest = into.highest = x.value;
  }
  ++into.readings;
  into.time_sum += seconds_between(into.start, at);
  into.end = into.last_at = at;
  into.last = x.value;
  into.by_hand = x.by_hand;
  into.lowest = std::min(into.lowest, x.value);
  into.highest = std::max(into.highest, x.value);
  into.sum += x.value;
}

Window::Segment opened(Instant start) {
  Window::Segment segment;
  segment.start = segment.end = start;
  return segment;
}

Cell slope_of(const HistoryCall& call, const std::deque<Window::Segment>& segments, Instant from) {
  Trend trend;
  for (const Window::Segment& segment : segments) {
    if (segment.readings == 0 || segment.last_at <= from) continue;
    const double count = segment.readings;
    trend.add(bucket_of_reading(segment.first_at, bucket_width(call)),
              segment.time_sum + seconds_between(from, segment.start) * count, segment.sum, count);
  }
  if (trend.size() < limits::slope_buckets || trend.spread() < to_seconds(call.window) / 2) return Cell::unknown();
  const auto slope = trend.slope();
  return slope ? Cell::of(*slope) : Cell::unknown();
}

bool in_this_age(Instant t) { return t >= Instant(-366 * 200 * one_day) && t <= Instant(366 * 400 * one_day); }

}  // namespace

Window Window::begun_anew(const HistoryCall& call, Instant at) {
  Window window;
  if (call.function == HistoryFunction::held_for) window.segments_.push_back(opened(at));
  return window;
}

Cell Window::feed(const HistoryCall& call, Instant now, Cell x, Instant read) {
  if (x.known && !std::isfinite(x.value)) x = Cell::unknown();
  if (call.function == HistoryFunction::held_for) return feed_held_for(call, now, x, read);
  now = std::max(now, current_since_);
  const bool fresh = read != never;
  const bool differs = !current_.known || x.value != current_.value || x.by_hand != current_.by_hand;
  const Instant then = x.known && fresh ? std::min(read, now) : now;
  if (then < current_since_) take_back(then);
  hold_until(call, std::max(then, current_since_));
  if (x.known && (fresh || differs)) take_reading(call, std::max(then, current_since_), x);
  current_ = {x.value, x.known, x.by_hand};
  current_since_ = std::max(then, current_since_);
  hold_until(call, now);
  current_since_ = now;
  forget(call, now);
  Cell cell = answer(call, now);
  cell.by_hand = cell.known && x.by_hand;
  if (!std::isfinite(cell.value)) return Cell::unknown();
  return cell;
}

// Accounts for the time since the last call, in which x kept its value.
void Window::hold_until(const HistoryCall& call, Instant now) {
  if (!current_.known || current_since_ >= now) return;
  // A raw reading holds in one piece, however long: what is left out of it would be taken as spread over all of it.
  Instant at = keeps_raw(call) ? current_since_ : std::max(current_since_, now - reach(call));
  const Span width = bucket_width(call);
  while (at < now) {
    const std::int64_t bucket = bucket_after(at, width);
    const Instant until = keeps_raw(call) ? now : std::min(now, bucket_end(bucket, width));
    const bool goes_on =
        !segments_.empty() && (keeps_raw(call) || bucket_after(segments_.back().start, width) == bucket);
    if (!goes_on) open(at);
    Segment& segment = segments_.back();
    segment.end = until;
    segment.integral += current_.value * seconds_between(at, until);
    segment.known += until - at;
    known_ += until - at;
    at = until;
  }
}

// A reading that came late was taken before now: what the one before it was taken to have held since is taken back.
void Window::take_back(Instant from) {
  while (!segments_.empty() && segments_.back().readings == 0 && segments_.back().start >= from) {
    known_ -= segments_.back().known;
    segments_.pop_back();
  }
  current_since_ = from;
  if (!segments_.empty()) {
    Segment& last = segments_.back();
    current_since_ = std::max(from, last.readings > 0 ? last.last_at : last.start);
    const Span over = std::min(last.known, std::max(Span{}, last.end - current_since_));
    if (over > Span{}) {
      const double held = last.readings > 0 ? last.last : last.integral / to_seconds(last.known);
      last.integral -= held * to_seconds(over);
    }
    last.known -= over;
    constexpr double rounding = 1e-9;
    if (std::abs(last.integral) <= rounding * to_seconds(last.known)) last.integral = 0;
    known_ -= over;
    last.end = std::min(last.end, current_since_);
  }
  whole_.reset();
}

void Window::take_reading(const HistoryCall& call, Instant now, Cell x) {
  if (is_trend(call)) {
    const auto last =
        std::find_if(segments_.rbegin(), segments_.rend(), [](const Segment& s) { return s.readings > 0; });
    if (last != segments_.rend() && last->by_hand != x.by_hand) forget_all();
  }
  const Span width = bucket_width(call);
  if (keeps_raw(call) && segments_.size() >= limits::window_raw_readings) merge_into_buckets(width);
  const std::int64_t bucket = bucket_of_reading(now, width);
  // On a boundary the last segment may belong to the bucket that ends now, or start now.
  const bool goes_on = !keeps_raw(call) && !segments_.empty() && bucket_after(segments_.back().start, width) >= bucket;
  if (!goes_on) open(now);
  take(segments_.back(), now, x);
}

void Window::forget(const HistoryCall& call, Instant now) {
  const Instant from = now - reach(call);
  while (!segments_.empty()) {
    const Segment& oldest = segments_.front();
    // A reading at the very start of the window is outside of it; change() still takes one that is d/4 older than d.
    const Instant last_wanted = call.function == HistoryFunction::change ? from : from + Span{1};
    const bool old = oldest.end <= from && (oldest.readings == 0 || oldest.last_at < last_wanted);
    // The reading that x still holds stays.
    if (segments_.size() <= most_segments(call) && (!old || segments_.size() == 1)) break;
    known_ -= oldest.known;
    segments_.pop_front();
    whole_.reset();
  }
}

void Window::merge_into_buckets(Span width) {
  std::deque<Segment> merged;
  for (const Segment& segment : segments_) {
    const bool same = !merged.empty() && bucket_after(merged.back().start, width) == bucket_after(segment.start, width);
    if (same) {
      merge(merged.back(), segment);
    } else {
      merged.push_back(segment);
    }
  }
  segments_ = std::move(merged);
  whole_.reset();
}

void Window::open(Instant at) {
  segments_.push_back(opened(at));
  whole_.reset();
}

void Window::forget_all() {
  segments_.clear();
  known_ = Span{};
  whole_.reset();
}

Span Window::known_of_all() const {
  return std::accumulate(segments_.begin(), segments_.end(), Span{},
                         [](Span sum, const Segment& segment) { return sum + segment.known; });
}

double Window::known_after(Instant from) const {
  double known = to_seconds(known_);
  for (const Segment& segment : segments_) {
    if (segment.start >= from) break;  // they stand in order
    known -= (1 - share_after(segment, from)) * to_seconds(segment.known);
  }
  return known;
}

// Only the last segment grows: what lies between it and the first is summed when one opens or leaves.
double Window::integral_of_whole() {
  if (whole_) return *whole_;
  whole_ = 0;
  for (std::size_t i = 1; i + 1 < segments_.size(); ++i) *whole_ += segments_[i].integral;
  return *whole_;
}

double Window::integral_after(Instant from) {
  const auto after = [from](const Segment& segment) { return share_after(segment, from) * segment.integral; };
  if (segments_.size() > 2 && segments_[1].start >= from) {
    return after(segments_.front()) + integral_of_whole() + after(segments_.back());
  }
  double integral = 0;
  for (const Segment& segment : segments_) integral += after(segment);
  return integral;
}

Cell Window::answer(const HistoryCall& call, Instant now) {
  const Instant from = now - call.window;
  const double known = known_after(from);
  if (known < to_seconds(call.window) / 2 - rounding_of_seconds) return Cell::unknown();
  switch (call.function) {
    case HistoryFunction::mean:
      return Cell::of(mean(integral_after(from) / known));
    case HistoryFunction::time_share:
      return Cell::of(std::clamp(mean(integral_after(from) / known), 0.0, 1.0));
    case HistoryFunction::lowest:
      return extreme(from, false);
    case HistoryFunction::highest:
      return extreme(from, true);
    case HistoryFunction::change:
      return change(from, call.window / 4);
    case HistoryFunction::slope:
      return slope_of(call, segments_, from);
    case HistoryFunction::held_for:
      break;
  }
  return Cell::unknown();
}

// Sums round: the mean of what stood still is that number, also at the instant at which it changes, and once it is
// lost.
double Window::mean(double of_sums) const {
  const auto is = [of_sums](double value) { return std::abs(of_sums - value) <= rounding_of_sums * std::abs(of_sums); };
  if (current_.known && is(current_.value)) return current_.value;
  int newest = 2;  // what is new, and what stood before
  for (auto segment = segments_.rbegin(); segment != segments_.rend() && newest > 0; ++segment) {
    if (segment->readings == 0) continue;
    --newest;
    for (const double value : {segment->last, segment->lowest, segment->highest}) {
      if (is(value)) return value;
    }
  }
  return of_sums;
}

// The extreme reading after `from`; when none arrived since, what the last one before it left standing.
Cell Window::extreme(Instant from, bool highest) {
  Cell best;
  Cell standing;
  for (const Segment& segment : segments_) {
    if (segment.readings == 0) continue;
    standing = Cell::of(segment.last);
    if (segment.last_at <= from) continue;
    const double value = highest ? segment.highest : segment.lowest;
    if (!best.known || (highest ? value > best.value : value < best.value)) best = Cell::of(value);
  }
  if (best.known) return best;
  if (current_.known) return Cell::of(current_.value);
  if (standing.known) return standing;
  // Only held time is left of it: its mean is its value.
  const double known = known_after(from);
  return known > 0 ? Cell::of(integral_after(from) / known) : Cell::unknown();
}

Cell Window::change(Instant then, Span longest_age) const {
  if (!current_.known) return Cell::unknown();
  Cell before;
  Instant at{};
  for (const Segment& segment : segments_) {
    if (segment.readings == 0 || segment.first_at > then) continue;
    const bool whole = segment.last_at <= then;
    before = Cell::of(whole ? segment.last : segment.first);
    at = whole ? segment.last_at : segment.first_at;
  }
  if (!before.known || at < then - longest_age) return Cell::unknown();
  return Cell::of(current_.value - before.value);
}

// What comes late comes in a burst, of which the next message may say that it ended hours ago: while it lasts, it was
// so up to the last word of the burst, and what was answered stands.
Cell Window::feed_held_for(const HistoryCall& call, Instant now, Cell c, Instant read) {
  const Instant then = read != never ? std::min(read, now) : now;
  const Instant was_true_since = true_since_;
  if (!c.known) {
    if (unknown_since_ == never) unknown_since_ = now;
  } else {
    const bool broken = unknown_since_ != never && then - unknown_since_ > call.stale_after;
    if (broken || c.value == 0) true_since_ = never;
    unknown_since_ = never;
    if (c.value != 0 && true_since_ == never) true_since_ = then;
  }
  const bool stands = current_.value != 0 && true_since_ == was_true_since;
  if (then < now) {
    current_since_ = now;
  } else if (read != never) {
    current_since_ = Instant{};  // the burst is over
  }
  const bool in_burst = then == now && now < burst_end();
  const bool is_true = true_since_ != never && (stands || (!in_burst && then - true_since_ >= call.window));
  current_ = {is_true ? 1.0 : 0.0, c.known, c.by_hand};
  if (is_true || (c.known && c.value == 0)) segments_.clear();
  return current_.known && segments_.empty() ? Cell{current_.value, true, c.by_hand} : Cell::unknown();
}

Instant Window::burst_end() const { return current_since_ == Instant{} ? Instant{} : current_since_ + one_minute; }

Instant Window::deadline(const HistoryCall& call) const {
  const bool running = call.function == HistoryFunction::held_for && current_.known && current_.value == 0;
  return running && true_since_ != never ? std::max(true_since_ + call.window, burst_end()) : never;
}

bool Window::Segment::plausible() const {
  const double numbers[] = {first, last, lowest, highest, sum, time_sum, integral};
  return in_this_age(start) && in_this_age(end) && in_this_age(first_at) && in_this_age(last_at) && start <= end &&
         first_at <= last_at && known >= Span{} && known <= end - start &&
         std::ranges::all_of(numbers, [](double x) { return std::isfinite(x); });
}

bool Window::plausible() const {
  const auto known_instant = [](Instant t) { return t == never || in_this_age(t); };
  return segments_.size() <= limits::window_raw_readings && std::isfinite(current_.value) &&
         in_this_age(current_since_) && known_instant(true_since_) && known_instant(unknown_since_) &&
         std::ranges::all_of(segments_, [](const Segment& s) { return s.plausible(); });
}

}  // namespace overwinter
