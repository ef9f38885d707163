// The mold index of a place, hour by hour, and what it comes to if the last week goes on.
#pragma once

#include <deque>
#include <optional>

#include "rules/archive.h"
#include "rules/physics/mold.h"
#include "rules/quantity/time.h"

namespace overwinter {

// How fast mold dies back on a class, as share of the decline on pine (Ojanen et al. 2010, from memory; the slower the
// more resistant, an estimate).
double mold_decline_of(MoldClass mold_class);

class PlaceMold {
 public:
  // The air that stood at a whole hour; temperature degC, humidity over water 0..1. Hours of which nothing is known are
  // left out: the index holds.
  void pass_hour(double temperature, double humidity, MoldClass mold_class);
  // In 30 days, at the hours of the last week over and over; nothing before a day of hours.
  std::optional<double> ahead(MoldClass mold_class) const;

  double index() const { return state_.index; }
  std::size_t hours() const { return week_.size(); }

  template <class A>
  void archive(A& a) {
    a(state_.index, state_.hours_off, week_);
  }

 private:
  struct Hour {
    double temperature = 0, humidity = 0;

    template <class A>
    void archive(A& a) {
      a(temperature, humidity);
    }
  };
  MoldState state_;
  std::deque<Hour> week_;
};

}  // namespace overwinter
