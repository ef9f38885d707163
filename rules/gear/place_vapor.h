// Vapor inside against vapor outdoors: whether airing dries the place, and whether something wets it.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>

#include "rules/archive.h"
#include "rules/gear/place_air.h"

namespace overwinter {

std::optional<Reckoned> vapor_excess(const PlaceAir& inside, const OutdoorAir& outdoors);

// Opening up now dries the place: the excess is beyond its uncertainty, the coldest surface is more than 2 K above the
// outdoor air's dew or frost point, the outdoor humidity is below 85 %, and it does not rain (common practice, no
// source). `why_not` says what speaks against it.
struct Airing {
  bool helps = false;
  const char* why_not = nullptr;
};
std::optional<Airing> airing(const std::optional<Reckoned>& excess, const OutdoorAir& outdoors,
                             std::optional<double> coldest_surface);

// A leak, or water left standing. Over the last 36 h the vapor was on average above the outdoors', and above what they
// were over the day before each hour (the lag of a closed place), by more than the uncertainty of the difference. That
// alone is what sun-warmed wood, or wood that dries through a dry week, does in any winter; so in half of those hours
// the place must also be damper, relative to saturation, than 80 % and by 5 % than the wood in it can be from standing
// in that air: than the outdoors on average, which counts over two weeks as it rises and over two months as it falls.
// It ends when the place was so damp no more, in a sixth of 36 h, for a week. Less vapor ends nothing: a front that
// comes warm and damp brings outdoors what the wet place gives off, and frost holds it back, until a dry cold spell is
// over. Hours of a frost in which no air is so damp end nothing either. Hours in which the place stands open are left
// out. Not judged before three days are known. (Thresholds: estimates, tried on made-up winters.)
class WetSourceWatch {
 public:
  struct Hour {
    double inside_humidity = 0;            // over water, 0..1
    double most_humidity = 1;              // over water, that the air inside can have: in frost that over ice
    double outdoor_humidity = 0;           // over water, 0..1
    Reckoned inside_vapor, outdoor_vapor;  // Pa, k = 2
    bool closed = true;
  };
  void pass_hour(const Hour& hour);
  void pass_unknown_hour();

  bool can_judge() const { return hours_ >= 72; }
  bool suspected() const { return suspected_; }

  template <class A>
  void archive(A& a) {
    a(vapor_lagged_, wood_humidity_, hours_, unknown_, dry_, suspected_, window_);
  }

 private:
  struct Margin {
    double beyond_outdoors = 0, plus_minus = 0;  // Pa
    bool damp = false;

    template <class A>
    void archive(A& a) {
      a(beyond_outdoors, plus_minus, damp);
    }
  };
  void judge(bool could_be_damp);

  double vapor_lagged_ = 0;   // Pa, outdoors behind a lag of a day
  double wood_humidity_ = 0;  // what the outdoors can have made of the wood
  std::uint32_t hours_ = 0, unknown_ = 0, dry_ = 0;
  bool suspected_ = false;
  std::deque<Margin> window_;
};

}  // namespace overwinter
