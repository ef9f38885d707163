// The weather of a winter on the northern prairie: season, day, fronts, clouds; a cold snap in January, a damp thaw in
// February, mild days between. Richer than what the models under test assume, and sharing no code with them.
#pragma once

#include "rules/quantity/time.h"
#include "tests/winter/splitmix.h"

namespace overwinter {

inline constexpr Span weather_step = 5 * one_minute;

struct Sky {
  double celsius = 0;     // air in the shade
  double humidity = 0.8;  // 0..1, over water
  double sea_level_hpa = 0;
  double sun = 0;                                                     // 0..1 of a clear noon in June
  double station_pa() const { return sea_level_hpa * 100 * 0.9728; }  // 232 m, ISO 2533
};

class Weather {
 public:
  explicit Weather(std::uint64_t seed) : random_(seed) {}
  // Call with instants one weather_step apart.
  Sky at(Instant now);

 private:
  SplitMix random_;
  double front_ = 0, gust_ = 0, high_ = 0, cloud_ = 0, damp_ = 0;
};

// Magnus formula over water: WMO-No. 8 (2018), annex 4.B. Pa.
double vapor_at_saturation(double celsius);

}  // namespace overwinter
