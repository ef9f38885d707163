// The kind `place`: the air of a room, a camper or the outdoors. Indexes of its quantities and parameters, which
// models of other kinds use to ask about their place and about outdoors.
#pragma once

#include <cstdint>

#include "rules/gear/kind.h"

namespace overwinter {

// In the order of place_kind().quantities.
enum class PlaceQuantity : std::uint8_t {
  // measured
  temperature,
  humidity,  // as the sensor reports it (parameter humidity_over)
  station_pressure,
  sea_level_pressure,
  irradiance,
  snow_depth,
  rainfall,
  door_open,
  // computed
  dew_point,
  frost_point,
  vapor_pressure,
  absolute_humidity,
  vapor_pressure_deficit,
  surface_temperature,
  condensation_margin,
  cold_mass_temperature,
  thaw_margin,
  thaw_wetting,
  mold_index,
  mold_index_ahead,
  vapor_excess,
  airing_helps,
  wet_source_suspected,
  time_until_freezing,
  heating_failed,
  door_suspected_open,
};
inline constexpr std::uint8_t place_quantity_count = 26;

// In the order of place_kind().parameters.
enum class PlaceParameter : std::uint8_t {
  heated,
  set_temperature,
  humidity_over,
  mold_class,
  surface,
  temperature_factor,
  mass_lag,
  volume,
};
inline constexpr std::uint8_t place_parameter_count = 8;

enum class HumidityOver : std::uint8_t { water, ice };
enum class PlaceSurface : std::uint8_t { bare_metal, single_glass, insulated };

constexpr std::uint8_t index_of(PlaceQuantity q) { return static_cast<std::uint8_t>(q); }
constexpr std::uint8_t index_of(PlaceParameter p) { return static_cast<std::uint8_t>(p); }

}  // namespace overwinter
