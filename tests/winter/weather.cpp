#include "tests/winter/weather.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string_view>

namespace overwinter {
namespace {

constexpr double turn = 2 * std::numbers::pi;

// A spell of weather that takes over between two days, with half a day to come and to go.
struct Spell {
  std::string_view from, to;
  double celsius, swing, humidity;
};
constexpr Spell spells[] = {
    {"2026-12-02T12:00:00Z", "2026-12-04T12:00:00Z", 6.5, 2.5, 0.70},    // a mild wind from the mountains
    {"2027-01-14T12:00:00Z", "2027-01-20T18:00:00Z", -28.5, 4.0, 0.72},  // the cold snap
    {"2027-02-09T12:00:00Z", "2027-02-13T12:00:00Z", 2.5, 1.2, 0.97},    // the damp thaw
    {"2027-03-15T12:00:00Z", "2027-03-18T00:00:00Z", 7.5, 3.0, 0.65},
};

double weight(const Spell& spell, Instant now) {
  const double in = to_seconds(now - *parse_rfc3339(spell.from)) / 43200;
  const double out = to_seconds(*parse_rfc3339(spell.to) - now) / 43200;
  const double x = std::clamp(std::min(in, out), 0.0, 1.0);
  return x * x * (3 - 2 * x);
}

// Share of a clear noon's sun at 50.2 degrees north; textbook spherical astronomy.
double clear_sun(double day_of_year, double solar_hour) {
  constexpr double latitude = 50.2 / 360 * turn;
  const double declination = -23.44 / 360 * turn * std::cos(turn * (day_of_year + 10) / 365);
  const double height = std::sin(latitude) * std::sin(declination) +
                        std::cos(latitude) * std::cos(declination) * std::cos(turn * (solar_hour - 12) / 24);
  return std::max(0.0, height);
}

}  // namespace

double vapor_at_saturation(double celsius) { return 611.2 * std::exp(17.62 * celsius / (243.12 + celsius)); }

Sky Weather::at(Instant now) {
  const double step = to_seconds(weather_step);
  const auto wander = [&](double& x, double hours) {  // a random walk that forgets; standard deviation 1
    const double keep = std::exp(-step / (hours * 3600));
    x = x * keep + random_.bell() * std::sqrt(1 - keep * keep);
  };
  wander(front_, 60);
  wander(gust_, 3);
  wander(high_, 50);
  wander(cloud_, 18);
  wander(damp_, 40);
  const double day = to_seconds(now) / 86400;
  const double since_january = day - to_seconds(*parse_rfc3339("2027-01-01T00:00:00Z")) / 86400;
  const double solar_hour = std::fmod(day * 24 + 24 - 6.5, 24);  // 97 degrees west
  const double clear = std::clamp(0.5 + 0.5 * cloud_, 0.0, 1.0);
  const double daily = std::cos(turn * (solar_hour - 15) / 24);

  Sky sky;
  sky.sun = clear_sun(since_january, solar_hour) * (0.15 + 0.85 * clear);
  sky.celsius = 2.5 - 17 * std::cos(turn * (since_january - 20) / 365) + 3.6 * front_ + (1.5 + 3 * clear) * daily;
  sky.humidity = 0.80 + 0.06 * damp_ - (0.03 + 0.10 * clear) * daily;
  for (const Spell& spell : spells) {
    const double w = weight(spell, now);
    sky.celsius += w * (spell.celsius + spell.swing * daily + 0.3 * front_ - sky.celsius);
    sky.humidity += w * (spell.humidity + 0.01 * damp_ - sky.humidity);
  }
  sky.celsius = std::max(sky.celsius, -32.5) + 0.3 * gust_;
  sky.humidity = std::clamp(sky.humidity, 0.30, 0.99);
  sky.sea_level_hpa = 1016 + 8 * high_ - 2 * front_;
  return sky;
}

}  // namespace overwinter
