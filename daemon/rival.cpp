#include "daemon/rival.h"

namespace overwinter {
namespace {

// Ours, no source: both try again within a second; a broker that restarts refuses some attempts between.
constexpr Span short_connection = std::chrono::seconds(10);
constexpr int suspicious_ones = 3;
constexpr Span alone_after = one_hour;

}  // namespace

void RivalWatch::connected(Span steady_now) {
  up_ = true;
  since_ = steady_now;
}

bool RivalWatch::lost(Span steady_now) {
  const bool is_short = up_ && steady_now - since_ < short_connection;
  up_ = false;
  short_ones_ = is_short ? short_ones_ + 1 : 0;
  return short_ones_ >= suspicious_ones;
}

bool RivalWatch::is_alone(Span steady_now) const { return up_ && steady_now - since_ >= alone_after; }

}  // namespace overwinter
