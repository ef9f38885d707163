// What the model of one entity sees of the world, and where it writes its answers.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

class EntityView final : public Surroundings {
 public:
  EntityView(World& world, std::uint32_t index)
      : world_(world),
        entity_(world.plan->entities[index]),
        index_(index),
        first_quantity_(entity_.quantity_slot(0)),
        first_parameter_(entity_.parameter_slot(0)) {}

  // To ask only: nothing is told through it, and nothing is kept. Who looks is in no journal, and a state made anew
  // from one must be the same.
  static EntityView to_ask(const World& world, std::uint32_t index) {
    EntityView view(const_cast<World&>(world), index);
    view.asks_only_ = true;
    return view;
  }

  Instant now() const override { return world_.now; }
  const TimeZone& zone() const override { return world_.plan->zone; }
  DisplayUnits display_units() const override { return world_.plan->units; }

  Measured measured(std::uint8_t quantity) const override;
  bool has_source(std::uint8_t quantity) const override;
  std::optional<AbsolutePressure> sealed_reference(std::uint8_t quantity) const override;
  std::optional<double> parameter(std::uint8_t index) const override;
  bool assumed(std::uint8_t index) const override;
  std::vector<std::pair<double, double>> table_parameter(std::uint8_t index) const override {
    return entity_.tables[index];
  }
  std::uint64_t times_told() const override { return world_.times_told; }
  Sample at(Whose whose, std::uint8_t quantity, Instant instant) const override;
  Sample lagged_at(Whose whose, std::uint8_t quantity, Span tau, Instant instant) const override;
  Sample present(Whose whose, std::uint8_t quantity) const override;
  std::optional<double> place_parameter(std::uint8_t index) const override;
  bool is_outdoors() const override;
  Sample station_pressure_at(Instant instant) const override;
  Instant heard_since() const override;
  double altitude() const override { return world_.plan->altitude; }
  Instant lay_up() const override;
  void set(std::uint8_t quantity, double value, double plus_minus) override;
  void unset(std::uint8_t quantity, const char* because) override;
  void ask(std::string question) override;
  void ask_of_rise(std::string question, Instant since, std::uint8_t dated) override;

 private:
  std::optional<std::uint32_t> owner(Whose whose) const;
  std::optional<std::uint32_t> measured_slot(Whose whose, std::uint8_t quantity) const;

  World& world_;
  const Entity& entity_;
  std::uint32_t index_;
  std::uint32_t first_quantity_, first_parameter_;  // slots
  bool asks_only_ = false;
};

// What a measured quantity would read at this moment; unknown where no model says what to expect.
Expectation expected_now(const World& world, std::uint32_t slot);

// The k = 2 uncertainty of a reading of a measured slot: its sensor's, or the kind's default for one by hand.
double plus_minus_of(const World& world, std::uint32_t slot, bool by_hand);

// False for a value so far from the standard pressure at the site's altitude that it looks reduced to sea level.
bool fits_altitude(const World& world, double station_pressure);

// The reading of a measured slot at an instant, with the sensor's plus_minus.
Sample sample_at(const World& world, std::uint32_t slot, Instant instant);

}  // namespace overwinter
