// The model of a place: air, surfaces, mold, moisture, heating. Readings are worked off as they come; what goes by the
// hour (mold, the learned room, the watches) is worked off five minutes past each whole hour, from the readings nearest
// to it, so that the reading of that very hour is in. The room waits for one hour more: only between two readings is it
// known where an hourly thermometer stood at the whole hour, and a change taken over a part of an hour looks like a
// slow room, over a whole one like an open door. Outdoors only the air is reckoned.
#pragma once

#include <optional>
#include <string>

#include "rules/gear/model.h"
#include "rules/gear/place_air.h"
#include "rules/gear/place_door.h"
#include "rules/gear/place_heating.h"
#include "rules/gear/place_mold.h"
#include "rules/gear/place_room.h"
#include "rules/gear/place_surfaces.h"
#include "rules/gear/place_vapor.h"

namespace overwinter {

class PlaceModel final : public Model {
 public:
  Expectation expected(const Surroundings& around, std::uint8_t quantity, Instant instant, bool by_hand) const override;
  void update(Surroundings& around) override;
  std::string verdict_in_words(const Surroundings& around, std::uint8_t quantity, const Sample& reading,
                               const Expectation& expected) const override;
  std::string detail_in_words(const Surroundings& around) const override;
  void explain(const Surroundings& around, std::uint8_t quantity, Instant instant, Explanation& out) const override;
  Instant next_wake() const override;
  void save(ArchiveWriter& out) const override;
  void load(ArchiveReader& in) override;

 private:
  // How the expected temperature comes about: the closed room at a whole hour, drawn to the outdoors since.
  struct Course {
    double at_hour = 0;  // degC
    double outside = 0;  // degC, at that hour
    std::optional<double> sun;
    double part_of_hour = 0;
    double value = 0;
    double plus_minus = 0;
  };
  std::optional<Course> course(const Surroundings& around, Instant instant, const char*& because) const;

  void tell_own_air(Surroundings& around, const Sample& temperature, const Sample& humidity);
  void pass_hours(Surroundings& around);
  void pass_hour(Surroundings& around, Instant hour, bool present);
  void pass_room_hour(Surroundings& around, Instant hour);
  void pass_moisture_hour(Surroundings& around, Instant hour, bool present);
  void tell_surfaces(Surroundings& around, const Measured& inside, const OutdoorAir& outdoors);
  void tell_thaw(Surroundings& around, const OutdoorAir& outdoors, const std::optional<Reckoned>& mass,
                 const char* no_mass);
  void tell_moisture(Surroundings& around, const OutdoorAir& outdoors);
  void tell_mold(Surroundings& around) const;
  std::optional<Reckoned> until_freezing(const Measured& inside, const OutdoorAir& outdoors,
                                         const char*& because) const;
  void tell_heating(Surroundings& around, const Measured& inside, const OutdoorAir& outdoors);
  void tell_door(Surroundings& around, bool heated) const;

  void explain_expected(const Surroundings& around, Instant instant, Explanation& out) const;
  void explain_mold(const Surroundings& around, Explanation& out) const;
  void explain_heating(const Surroundings& around, Instant instant, Explanation& out) const;

  Instant hour_{};                 // the last whole hour worked off; the epoch: none
  Instant watched_since_ = never;  // first reading of the temperature
  PlaceMold mold_;
  std::optional<double> mold_ahead_;
  PlaceRoom room_;
  DoorWatch door_;
  HeatingWatch heating_;
  WetSourceWatch wet_source_;
  ThawSpell thaw_;
  bool stood_open_ = false, stood_open_before_ = false;  // the contact of the door, an hour ago and two

  // Follows from the readings and is not saved.
  bool told_ = false;
  Sample told_temperature_, told_humidity_;
  double told_over_ = 0;
  bool told_together_ = true;
  PlaceAir air_;
  PlaceAir air_now_;  // the same, unless its readings were made by hand in other weather
  std::optional<double> coldest_surface_;
};

inline constexpr const char* its_thermostat_decides = "the place is heated: its thermostat decides its temperature";

// What the site file says about a place, with the kind's defaults.
bool is_heated(const Surroundings& around);
double temperature_factor(const Surroundings& around);
MoldClass mold_class(const Surroundings& around);
HumidityOver humidity_over(const Surroundings& around);
Span mass_lag(const Surroundings& around);

// A reading at most `reach` away from an instant.
std::optional<double> reading_near(const Surroundings& around, Surroundings::Whose whose, PlaceQuantity q,
                                   Instant instant, Span reach);
// Irradiance outdoors, else of a sensor in the place itself.
std::optional<double> sun_near(const Surroundings& around, Instant instant);
bool is_night(const Surroundings& around, Instant instant);  // 20:00 to 06:00 local

}  // namespace overwinter
