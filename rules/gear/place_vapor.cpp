#include "rules/gear/place_vapor.h"

#include <algorithm>

#include "rules/physics/in_quadrature.h"
#include "rules/physics/vapor_saturation.h"

namespace overwinter {
namespace {

constexpr double surface_reserve = 2;         // K
constexpr double damp_outdoors = 0.85;        // share
constexpr double lag_weight = 1.0 / 24;       // hourly, of a day
constexpr double wetting_weight = 1.0 / 336;  // of two weeks
constexpr double drying_weight = 1.0 / 1440;  // of two months
constexpr double damper_by = 0.05;            // share
constexpr double damp_from = 0.80;            // share
constexpr std::size_t window_hours = 36;
constexpr std::size_t damp_to_suspect = 18, damp_to_clear = 6;
constexpr std::uint32_t dry_to_clear = 7 * 24;
constexpr std::uint32_t unknown_to_reset = 12;

}  // namespace

std::optional<Reckoned> vapor_excess(const PlaceAir& inside, const OutdoorAir& outdoors) {
  if (!inside.known() || !outdoors.vapor_pressure) return std::nullopt;
  return Reckoned{inside.vapor_pressure.value - outdoors.vapor_pressure->value,
                  in_quadrature(inside.vapor_pressure.plus_minus, outdoors.vapor_pressure->plus_minus)};
}

std::optional<Airing> airing(const std::optional<Reckoned>& excess, const OutdoorAir& outdoors,
                             std::optional<double> coldest_surface) {
  if (!excess || !coldest_surface || !outdoors.temperature.known || !outdoors.vapor_pressure) return std::nullopt;
  const auto limit =
      limit_point(*coldest_surface, outdoors.vapor_pressure->value, outdoors.dew_point, outdoors.frost_point);
  if (!limit) return std::nullopt;
  if (excess->value <= excess->plus_minus) return Airing{false, "the air outdoors is not clearly drier"};
  if (*coldest_surface <= limit->value + surface_reserve) {
    return Airing{false, "the air outdoors could wet the coldest surface"};
  }
  const auto saturated = saturation_pressure(Temperature(outdoors.temperature.value));
  if (!saturated) return std::nullopt;
  if (outdoors.vapor_pressure->value >= damp_outdoors * saturated->value) {
    return Airing{false, "it is damp outdoors, 85 % or more"};
  }
  if (outdoors.rainfall.known && outdoors.rainfall.value > 0) return Airing{false, "it rains"};
  return Airing{true, nullptr};
}

void WetSourceWatch::pass_hour(const Hour& hour) {
  ++hours_;
  unknown_ = 0;
  const double count = 1.0 / hours_;
  vapor_lagged_ += std::max(lag_weight, count) * (hour.outdoor_vapor.value - vapor_lagged_);
  const double weight = hour.outdoor_humidity > wood_humidity_ ? wetting_weight : drying_weight;
  wood_humidity_ += std::max(weight, can_judge() ? 0 : count) * (hour.outdoor_humidity - wood_humidity_);
  if (!hour.closed) return;

  const double outdoors = std::max(hour.outdoor_vapor.value, vapor_lagged_);
  const double damp = std::max(damp_from, wood_humidity_ + damper_by);
  window_.push_back({hour.inside_vapor.value - outdoors,
                     in_quadrature(hour.inside_vapor.plus_minus, hour.outdoor_vapor.plus_minus),
                     hour.inside_humidity > damp});
  if (window_.size() > window_hours) window_.pop_front();
  if (can_judge()) judge(hour.most_humidity >= std::min(damp, 1.0));
}

void WetSourceWatch::judge(bool could_be_damp) {
  double beyond = 0, plus_minus = 0;
  std::size_t damp = 0;
  for (const Margin& m : window_) {
    beyond += m.beyond_outdoors;
    plus_minus += m.plus_minus;
    damp += m.damp ? 1 : 0;
  }
  if (window_.size() < window_hours) return;
  if (beyond > plus_minus && damp >= damp_to_suspect) suspected_ = true;
  if (damp >= damp_to_clear) {
    dry_ = 0;
  } else if (could_be_damp) {
    ++dry_;
  }
  if (dry_ >= dry_to_clear) suspected_ = false;
}

void WetSourceWatch::pass_unknown_hour() {
  if (++unknown_ == unknown_to_reset) window_.clear();
}

}  // namespace overwinter
