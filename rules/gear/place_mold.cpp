#include "rules/gear/place_mold.h"

namespace overwinter {
namespace {

constexpr std::size_t hours_of_week = 168;
constexpr std::size_t mold_hours_to_judge = 24;
constexpr std::size_t hours_ahead = 720;

}  // namespace

double mold_decline_of(MoldClass mold_class) {
  switch (mold_class) {
    case MoldClass::very_sensitive:
      return 1;
    case MoldClass::sensitive:
      return 0.5;
    case MoldClass::medium_resistant:
      return 0.25;
    case MoldClass::resistant:
      return 0.1;
  }
  return 1;
}

void PlaceMold::pass_hour(double temperature, double humidity, MoldClass mold_class) {
  const auto next =
      mold_after_hour(state_, Temperature(temperature), Share(humidity), mold_class, mold_decline_of(mold_class));
  if (!next) return;
  state_ = *next;
  week_.push_back({temperature, humidity});
  if (week_.size() > hours_of_week) week_.pop_front();
}

std::optional<double> PlaceMold::ahead(MoldClass mold_class) const {
  if (week_.size() < mold_hours_to_judge) return std::nullopt;
  const double decline = mold_decline_of(mold_class);
  MoldState state = state_;
  for (std::size_t h = 0; h < hours_ahead; ++h) {
    const Hour& hour = week_[h % week_.size()];
    const auto next = mold_after_hour(state, Temperature(hour.temperature), Share(hour.humidity), mold_class, decline);
    if (next) state = *next;
  }
  return state.index;
}

}  // namespace overwinter
