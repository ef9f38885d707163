#include "rules/physics/mold.h"

#include <algorithm>
#include <cmath>

#include "rules/physics/humidity_range.h"

namespace overwinter {
namespace {

constexpr double week = 7 * 86400.0;
constexpr double steepness = 2.3;  // of the slowing toward the maximum
constexpr double visible = 3;

constexpr const char* no_growth_temperature = "mold does not grow at or below 0 degC, nor from 50 degC";

// Ojanen et al. 2010: growth against pine below and from index 1, maximum index, minimum humidity in %.
struct Coefficients {
  double first_growth, further_growth;
  double a, b, c;
  double minimum;
};

constexpr Coefficients very_sensitive{1, 2, 1, 7, 2, 80};
constexpr Coefficients sensitive{0.578, 0.386, 0.3, 6, 1, 80};
constexpr Coefficients medium_resistant{0.072, 0.097, 0, 5, 1.5, 85};
constexpr Coefficients resistant{0.033, 0.014, 0, 3, 1, 85};

const Coefficients& coefficients(MoldClass mold_class) {
  switch (mold_class) {
    case MoldClass::very_sensitive:
      return very_sensitive;
    case MoldClass::sensitive:
      return sensitive;
    case MoldClass::medium_resistant:
      return medium_resistant;
    case MoldClass::resistant:
      break;
  }
  return resistant;
}

bool grows_at(Temperature t) { return t > Temperature(0) && t < Temperature(50); }

// In percent, as the sources have it.
double critical(double t, const Coefficients& material) {
  if (t > 20) return material.minimum;
  return std::max(((-0.00267 * t + 0.160) * t - 3.13) * t + 100, material.minimum);
}

double maximum_index(double t, double percent, const Coefficients& material) {
  const double limit = critical(t, material);
  const double x = (limit - percent) / (limit - 100);
  return std::max(material.a + material.b * x - material.c * x * x, 0.0);
}

double weeks_to_first_growth(double t, double percent) {
  return std::exp(-0.68 * std::log(t) - 13.9 * std::log(percent) + 66.02);
}

// Integral of dM/(1 - exp(2.3 (M - M_max))), without its constant.
double growth_integral(double index, double maximum) {
  return index - std::log1p(-std::exp(steepness * (index - maximum))) / steepness;
}

}  // namespace

Outcome<Share> mold_critical_humidity(Temperature t, MoldClass mold_class) {
  if (!grows_at(t)) return no_value(no_growth_temperature);
  return Share(critical(t.celsius(), coefficients(mold_class)) / 100);
}

Outcome<double> mold_maximum_index(Temperature t, Share rh, MoldClass mold_class) {
  if (!grows_at(t)) return no_value(no_growth_temperature);
  if (!humidity_in_range(rh)) return no_value(humidity_outside);
  const Coefficients& material = coefficients(mold_class);
  if (100 * rh.value < critical(t.celsius(), material)) return 0.0;
  return maximum_index(t.celsius(), 100 * rh.value, material);
}

Outcome<RatePerSecond> mold_growth_rate(double index, Temperature t, Share rh, MoldClass mold_class) {
  if (!humidity_in_range(rh)) return no_value(humidity_outside);
  if (!(index >= 0 && index <= 6)) return no_value("the mold index is outside 0..6");
  if (!std::isfinite(t.value)) return no_value("the temperature is not a finite number");
  const Coefficients& material = coefficients(mold_class);
  const double percent = 100 * rh.value;
  if (!grows_at(t) || percent < critical(t.celsius(), material)) return RatePerSecond(0);
  const double of_class = index < 1 ? material.first_growth : material.further_growth;
  const double slowing = 1 - std::exp(steepness * (index - maximum_index(t.celsius(), percent, material)));
  return RatePerSecond(of_class * std::max(slowing, 0.0) / (week * weeks_to_first_growth(t.celsius(), percent)));
}

Outcome<MoldState> mold_after_hour(MoldState state, Temperature t, Share rh, MoldClass mold_class, double decline) {
  if (!(decline >= 0 && decline <= 1)) return no_value("the factor of decline is outside 0..1");
  const Share at_most_wet = std::min(rh, Share(1));
  const auto growth = mold_growth_rate(state.index, t, at_most_wet, mold_class);
  if (!growth) return tl::unexpected(growth.error());
  const bool favorable = grows_at(t) && at_most_wet >= *mold_critical_humidity(t, mold_class);
  if (favorable) return MoldState{state.index + growth->value * 3600, 0};

  const std::uint32_t hours_off = state.hours_off + 1;
  double per_day = 0.016;
  if (hours_off <= 6) {
    per_day = 0.032;
  } else if (hours_off <= 24) {
    per_day = 0;
  }
  return MoldState{std::max(state.index - decline * per_day / 24, 0.0), hours_off};
}

Outcome<Seconds> mold_time_to_visible(Temperature t, Share rh, MoldClass mold_class) {
  const auto maximum = mold_maximum_index(t, rh, mold_class);
  if (!maximum) return tl::unexpected(maximum.error());
  if (*maximum <= visible) return no_value("mold never becomes visible at these conditions");
  const Coefficients& material = coefficients(mold_class);
  const double pine = week * weeks_to_first_growth(t.celsius(), 100 * rh.value);
  const double at_clean = growth_integral(0, *maximum);
  const double at_first = growth_integral(1, *maximum);
  const double at_visible = growth_integral(visible, *maximum);
  return Seconds(pine *
                 ((at_first - at_clean) / material.first_growth + (at_visible - at_first) / material.further_growth));
}

}  // namespace overwinter
