// What a model asks for while it says what a reading ought to be: the inputs of that calculation, without a word of the
// model's own. Built on request, for `explain`.
#pragma once

#include <string>
#include <vector>

#include "rules/engine/entity_view.h"

namespace overwinter {

// One value that a calculation rests on.
struct AskedInput {
  std::string name;  // "left_front_tire.filled.pressure", "outdoors.temperature", "site.altitude"
  Type type;
  bool known = false;
  double value = 0;       // canonical
  double plus_minus = 0;  // k = 2, canonical difference; 0: none is told
  Instant at{};           // of the reading; Instant{}: it has no time of its own
  Span lag{};             // of a first-order lag behind the readings; 0: the reading itself
  std::string source;     // "sensor yard/weather", "by hand", "site file", "act", "default", "computed", "standard air"
  bool assumed = false;   // nobody said or measured it
};

// Passes every question on to the entity's own view and notes the answer, each once.
class AskedInputs final : public Surroundings {
 public:
  AskedInputs(const World& world, std::uint32_t entity, std::vector<AskedInput>& into);

  Instant now() const override { return view_.now(); }
  const TimeZone& zone() const override { return view_.zone(); }
  DisplayUnits display_units() const override { return view_.display_units(); }

  Measured measured(std::uint8_t quantity) const override;
  bool has_source(std::uint8_t quantity) const override { return view_.has_source(quantity); }
  std::optional<AbsolutePressure> sealed_reference(std::uint8_t quantity) const override;
  std::optional<double> parameter(std::uint8_t index) const override;
  bool assumed(std::uint8_t index) const override { return view_.assumed(index); }
  std::vector<std::pair<double, double>> table_parameter(std::uint8_t index) const override {
    return view_.table_parameter(index);
  }
  std::uint64_t times_told() const override { return view_.times_told(); }
  Sample at(Whose whose, std::uint8_t quantity, Instant instant) const override;
  Sample lagged_at(Whose whose, std::uint8_t quantity, Span tau, Instant instant) const override;
  Sample present(Whose whose, std::uint8_t quantity) const override;
  std::optional<double> place_parameter(std::uint8_t index) const override;
  bool is_outdoors() const override { return view_.is_outdoors(); }
  Sample station_pressure_at(Instant instant) const override;
  Instant heard_since() const override { return view_.heard_since(); }
  double altitude() const override;
  Instant lay_up() const override;

  bool wants_every_question() const override { return true; }

  // An explanation answers nothing.
  void set(std::uint8_t, double, double) override {}
  void unset(std::uint8_t, const char*) override {}
  void ask(std::string) override {}
  void ask_of_rise(std::string, Instant, std::uint8_t) override {}

 private:
  std::optional<std::uint32_t> owner(Whose whose) const;
  void note(AskedInput input) const;
  void note_sample(std::uint32_t slot, const Sample& sample, Span lag) const;
  void note_parameter(std::uint32_t entity, std::uint8_t index, std::optional<double> value) const;

  const World& world_;
  std::uint32_t entity_;
  EntityView view_;
  std::vector<AskedInput>& into_;
};

// "sensor camper/tire/lf", "by hand", "computed"; empty: nothing brings it.
std::string source_of_reading(const World& world, std::uint32_t slot, bool by_hand);

// The act that was told by command and whose values count now; nullptr: the site file's own do, or there is none.
const RecordedAct* told_act(const World& world, std::uint32_t entity, const ActSpec& act);

}  // namespace overwinter
