#include "rules/gear/model.h"

namespace overwinter {

Expectation Model::expected(const Surroundings&, std::uint8_t, Instant, bool) const {
  return {0, 0, "no model says what it should read"};
}
void Model::late_reading(Surroundings&, std::uint8_t, const Sample&) {}
void Model::act(Surroundings&, std::uint8_t, Instant) {}
bool Model::is_told_of_other_work(const Surroundings&) const { return false; }
void Model::new_sensor(std::uint8_t, Instant) {}
void Model::place_temperature_was_misread() {}
std::string Model::verdict_in_words(const Surroundings&, std::uint8_t, const Sample&, const Expectation&) const {
  return {};
}
const char* Model::unjudged_because(const Surroundings&) const { return nullptr; }
std::string Model::detail_in_words(const Surroundings&) const { return {}; }
std::string Model::caution_in_words(const Surroundings&, std::uint8_t) const { return {}; }
void Model::explain(const Surroundings&, std::uint8_t, Instant, Explanation&) const {}

}  // namespace overwinter
