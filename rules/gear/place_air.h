// The state of a place's air, worked out once for a pair of readings; the place's other quantities take from it.
#pragma once

#include <optional>

#include "rules/gear/model.h"
#include "rules/gear/place.h"

namespace overwinter {

// A number with its uncertainty, k = 2.
struct Reckoned {
  double value = 0;
  double plus_minus = 0;
};

// Why a quantity of the air is unknown; shared by all that rest on it.
inline constexpr const char* no_temperature = "no temperature of the place is known";
inline constexpr const char* no_humidity = "no humidity of the place is known";
inline constexpr const char* no_outdoor_temperature = "the temperature outdoors is not known";
inline constexpr const char* no_outdoor_humidity = "the humidity outdoors is not known";
inline constexpr const char* it_is_outdoors = "this is the outdoors itself";

inline constexpr const char* read_by_hand_long_ago =
    "the last reading inside was made by hand more than 6 h ago, in other weather";
inline constexpr const char* not_read_together = "temperature and humidity were read more than 6 h apart";

// A hand reading stands until the next one; but beside the weather of now, or another reading, it counts for 6 h.
// Nothing where the reading counts now, else why not.
const char* why_not_now(const Sample& reading, Instant now, const char* if_unknown);
bool read_together(const Sample& a, const Sample& b);

struct PlaceAir {
  const char* unknown_because = no_temperature;                   // nullptr: known
  double temperature = 0;                                         // degC
  double humidity = 0;                                            // over water, 0..1
  Reckoned vapor_pressure;                                        // Pa
  Reckoned absolute_humidity;                                     // kg/m3
  Reckoned vapor_pressure_deficit;                                // Pa
  std::optional<Reckoned> dew_point;                              // degC; none for perfectly dry air
  std::optional<Reckoned> frost_point;                            // degC; none above the triple point
  const char* no_dew_point = "outside the range of the formula";  // why
  const char* no_frost_point = "outside the range of the formula";

  bool known() const { return unknown_because == nullptr; }
};

// Uncertainties by the law of propagation (JCGM 100:2008, 5.1.2), temperature and humidity uncorrelated. Humidity
// above 100 % counts as 100 %. Unknown where the two were not read together.
PlaceAir reckon_air(const Sample& temperature, const Sample& humidity, HumidityOver over);

// Why the readings of the own place's air may not stand beside the weather of now; nullptr: they may.
const char* why_air_is_not_of_now(const Sample& temperature, const Sample& humidity, Instant now);
// The air of the own place, where it may.
PlaceAir air_of_now(const Surroundings& around, HumidityOver over);

// The point at which a surface of that temperature takes up water from air of such vapor: frost point on a surface
// below 0 degC where vapor would freeze, else dew point.
std::optional<Reckoned> limit_point(double surface, double vapor_pressure, const std::optional<Reckoned>& dew_point,
                                    const std::optional<Reckoned>& frost_point);

// The air outdoors as it stands on the board.
struct OutdoorAir {
  Sample temperature;  // degC
  Sample rainfall;     // m
  std::optional<Reckoned> vapor_pressure, dew_point, frost_point;
};
OutdoorAir present_outdoors(const Surroundings& around);

void set_or_unset(Surroundings& around, PlaceQuantity q, const std::optional<Reckoned>& value, const char* because);

// Sets dew and frost point, vapor pressure, absolute humidity and deficit.
void tell_air(Surroundings& around, const PlaceAir& air);

}  // namespace overwinter
