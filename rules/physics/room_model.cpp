#include "rules/physics/room_model.h"

#include <algorithm>
#include <cmath>

namespace overwinter {
namespace {

constexpr std::uint32_t hours_to_trust = 24;  // below, neither sigma nor tau means anything
constexpr double variance_weight = 0.02;
constexpr double smallest_sigma = 0.05;  // K; readings rounded to 0.1 K scatter by 0.03 K by rounding alone
constexpr double outlier_sigmas = 4;
constexpr double least_exchange = 0.01, most_exchange = 0.9;
constexpr double widest_spread = 5e3;  // of either parameter: a trace of 1e4 at most

double sigma_of(const RoomModel& room) { return std::max(std::sqrt(room.error_variance), smallest_sigma); }

// The plain recursive least-squares step for phi = [drive, sun].
void take_step(RoomModel& room, double drive, double sun, double error, double forgetting) {
  const double along_exchange = room.spread_exchange * drive + room.spread_both * sun;
  const double along_gain = room.spread_both * drive + room.spread_gain * sun;
  const double scale = forgetting + drive * along_exchange + sun * along_gain;
  room.exchange += along_exchange / scale * error;
  room.solar_gain += along_gain / scale * error;
  room.spread_exchange = (room.spread_exchange - along_exchange * along_exchange / scale) / forgetting;
  room.spread_both = (room.spread_both - along_exchange * along_gain / scale) / forgetting;
  room.spread_gain = (room.spread_gain - along_gain * along_gain / scale) / forgetting;
}

// Each parameter on its own: a dark winter must not narrow what is left to learn about the exchange.
// Scaling a row and its column by one factor keeps the matrix positive definite.
void cap_spreads(RoomModel& room) {
  if (room.spread_exchange > widest_spread) {
    room.spread_both *= std::sqrt(widest_spread / room.spread_exchange);
    room.spread_exchange = widest_spread;
  }
  if (room.spread_gain > widest_spread) {
    room.spread_both *= std::sqrt(widest_spread / room.spread_gain);
    room.spread_gain = widest_spread;
  }
}

void follow_variance(RoomModel& room, double error) {
  const double weight = std::max(variance_weight, 1 / (1 + static_cast<double>(room.hours)));
  room.error_variance += weight * (error * error - room.error_variance);
}

}  // namespace

Temperature expected_after_hour(const RoomModel& room, const RoomHour& start) {
  return start.inside + (start.outside - start.inside) * room.exchange +
         TemperatureStep(room.solar_gain * start.sun.value / 100);
}

bool plausible(const RoomModel& room) {
  const bool finite = std::isfinite(room.solar_gain) && std::isfinite(room.spread_exchange) &&
                      std::isfinite(room.spread_both) && std::isfinite(room.spread_gain) &&
                      std::isfinite(room.error_variance);
  return finite && room.exchange >= least_exchange && room.exchange <= most_exchange;
}

RoomUpdate learn_hour(RoomModel& room, const RoomHour& start, Temperature inside_at_end, RoomLearning learning) {
  const double drive = (start.outside - start.inside).value;
  const double sun = start.sun.value / 100;
  const TemperatureStep error = inside_at_end - expected_after_hour(room, start);
  if (!std::isfinite(error.value)) return {Lesson::unusable, TemperatureStep(0)};

  if (learning.guarded) {
    if (std::abs(drive) <= 1 && sun <= 0.5) return {Lesson::too_little_drive, error};
    const double outlying = outlier_sigmas * sigma_of(room);
    if (room.hours >= hours_to_trust && std::abs(error.value) >= outlying) {
      follow_variance(room, outlying);
      return {Lesson::outlier, error};
    }
  }
  follow_variance(room, error.value);
  take_step(room, drive, sun, error.value, learning.forgetting);
  if (learning.guarded) {
    room.exchange = std::clamp(room.exchange, least_exchange, most_exchange);
    cap_spreads(room);
  }
  ++room.hours;
  return {Lesson::learned, error};
}

Outcome<Seconds> time_constant(const RoomModel& room) {
  if (room.hours < hours_to_trust) {
    return no_value("the room is not yet known: fewer than 24 hours were learned");
  }
  if (!(room.exchange > 0 && room.exchange < 1)) return no_value("the exchange of the room is outside 0..1");
  return Seconds(-3600 / std::log1p(-room.exchange));
}

}  // namespace overwinter
