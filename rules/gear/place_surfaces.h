// Surfaces of a place: the coldest skin between inside and outdoors, and the cold mass of furniture and gear that warm
// damp air wets on a thaw day.
#pragma once

#include <optional>

#include "rules/gear/place_air.h"

namespace overwinter {

// Temperature factor (ISO 13788) of a usual surface, from the standard's resistances: bare 1 mm metal, 4 mm glass,
// 25 mm of foam behind furniture.
double temperature_factor_of(PlaceSurface surface);

// Inside of the skin; its factor is good to 0.1 (k = 2, estimate).
Reckoned skin_temperature(const Sample& inside, const Sample& outside, double factor);

// The cold mass behind its lag. The time constant is uncertain by a factor of 1.5, a quarter of the distance to the air
// (k = 2, estimate); at the start the mass may differ from the air by 5 K, which fades with the lag.
Reckoned cold_mass(const Sample& air, double lagged, Span watched_for, Span lag);

// The damper of inside and outdoor air: the one with more vapor. Nothing when neither is known.
struct DamperAir {
  bool is_outdoors = false;
  double temperature = 0;  // degC
  Reckoned vapor_pressure;
  std::optional<Reckoned> dew_point, frost_point;
};
std::optional<DamperAir> damper_of(const PlaceAir& inside, const OutdoorAir& outdoors);

// Water settling on the cold mass, kg/(m2 s), at station pressure `pressure` (Pa); negative: it dries off.
double wetting_rate(const DamperAir& air, double surface, double pressure);

// One spell of wetting: what settled less what dried off since, both by the same film of air, never below zero. It is
// over, and the sum zero again, once the margin has been above 2 K for 6 h without a break: by then a film has dried
// (common practice, no source). Where the margin is unknown the sum stands.
class ThawSpell {
 public:
  // The rate last judged has gone on since, for 3 h at most.
  void pass_time(Instant now);
  void judge(Instant now, std::optional<double> margin, double rate);
  double wetting() const { return wetting_; }  // kg/m2
  double rate() const { return rate_; }        // kg/m2 s, as last judged

  template <class A>
  void archive(A& a) {
    a(wetting_, rate_, since_, safe_since_);
  }

 private:
  double wetting_ = 0;
  double rate_ = 0;
  Instant since_ = never;
  Instant safe_since_ = never;
};

}  // namespace overwinter
