// A place's model on the bench: readings go in at instants, wakes are served in between, answers are looked up.
#pragma once

#include <algorithm>
#include <memory>
#include <string>

#include "rules/gear/place_model.h"
#include "tests/rules/gear/fake_surroundings.h"
#include "tests/rules/gear/saved_model.h"

namespace overwinter {

struct PlaceBench {
  FakeSurroundings around{place_kind()};
  std::unique_ptr<PlaceModel> model = std::make_unique<PlaceModel>();
  bool restart_at_each_step = false;

  void step() {
    if (restart_at_each_step) restart();
    model->update(around);
    around.end_step();
  }
  void restart() {
    const std::string before = bytes();
    model = std::make_unique<PlaceModel>();
    load_into(*model, before);
  }
  std::string bytes() const { return saved(*model); }
  // Lets time pass, with the wakes that the model asked for.
  void advance_to(Instant to) {
    while (true) {
      const Instant wake = model->next_wake();
      if (wake == never || wake > to || wake <= around.time) break;
      around.time = wake;
      step();
    }
    around.time = to;
  }
  void advance(Span span) { advance_to(around.time + span); }
  // The weather outdoors at the present, its vapor too, as the outdoors' own model would tell it.
  void outdoors(double celsius, double humidity) {
    around.outdoors_reads(PlaceQuantity::temperature, celsius, 0.6);
    around.outdoors_reads(PlaceQuantity::humidity, humidity, 0.06);
    const PlaceAir air =
        reckon_air({celsius, 0.6, {}, true, false}, {humidity, 0.06, {}, true, false}, HumidityOver::water);
    around.outdoors_reads(PlaceQuantity::vapor_pressure, air.vapor_pressure.value, air.vapor_pressure.plus_minus);
    around.outdoors_reads(PlaceQuantity::dew_point, air.dew_point->value, air.dew_point->plus_minus);
    if (air.frost_point) {
      around.outdoors_reads(PlaceQuantity::frost_point, air.frost_point->value, air.frost_point->plus_minus);
    } else {
      around.silence_outdoors(PlaceQuantity::frost_point);
    }
  }
  void inside(double celsius, double humidity) {
    around.read("temperature", celsius);
    around.read("humidity", humidity);
    step();
  }
  double value(std::string_view quantity) const {
    const auto found = around.value(quantity);
    if (!found) ADD_FAILURE() << quantity << " is unknown: " << around.because(quantity);
    return found.value_or(-1e9);
  }
};

}  // namespace overwinter
