#include "rules/engine/asked_inputs.h"

#include <algorithm>

#include "rules/gear/place.h"

namespace overwinter {
namespace {

std::string name_of(const World& world, std::uint32_t slot) {
  return world.entity(world.plan->slots[slot].entity).id + "." + std::string(world.plan->slot_name(slot));
}

// Whether the parameter is one that the act sets, forgets or dates.
bool concerns(const ActSpec& act, std::string_view parameter) {
  return act.dated == parameter || std::ranges::find(act.forgets, parameter) != act.forgets.end() ||
         std::ranges::any_of(act.values, [&](const ActValueSpec& v) { return v.parameter == parameter; });
}

}  // namespace

std::string source_of_reading(const World& world, std::uint32_t slot, bool by_hand) {
  const Slot& spec = world.plan->slots[slot];
  if (spec.role == Slot::Role::computed) return "computed";
  if (by_hand) return "by hand";
  return spec.sensor == no_index ? std::string() : "sensor " + world.plan->sensors[spec.sensor].topic;
}

const RecordedAct* told_act(const World& world, std::uint32_t entity, const ActSpec& act) {
  const auto& acts = world.entities[entity].acts;
  const auto told = acts.find(std::string(act.name));
  const auto dated = world.entity(entity).kind->parameter(act.dated);
  if (told == acts.end() || !dated) return nullptr;
  const SlotState& date = world.board[world.entity(entity).parameter_slot(*dated)];
  return date.has_value && to_seconds(told->second.at) == date.value ? &told->second : nullptr;
}

AskedInputs::AskedInputs(const World& world, std::uint32_t entity, std::vector<AskedInput>& into)
    : world_(world), entity_(entity), view_(EntityView::to_ask(world, entity)), into_(into) {}

std::optional<std::uint32_t> AskedInputs::owner(Whose whose) const {
  std::uint32_t index = entity_;
  if (whose == Whose::place) index = world_.entity(entity_).place;
  if (whose == Whose::outdoors) index = world_.plan->outdoors;
  if (index == no_index) return std::nullopt;
  return index;
}

void AskedInputs::note(AskedInput input) const {
  const bool is_noted = std::ranges::any_of(into_, [&](const AskedInput& earlier) {
    return earlier.name == input.name && earlier.at == input.at && earlier.lag == input.lag;
  });
  if (!is_noted) into_.push_back(std::move(input));
}

void AskedInputs::note_sample(std::uint32_t slot, const Sample& sample, Span lag) const {
  AskedInput input;
  input.name = name_of(world_, slot);
  input.type = world_.plan->slots[slot].type;
  input.known = sample.known;
  if (sample.known) {
    input.value = sample.value;
    input.plus_minus = sample.plus_minus;
    input.at = sample.at;
    input.lag = lag;
    input.source = source_of_reading(world_, slot, sample.by_hand);
  }
  note(std::move(input));
}

void AskedInputs::note_parameter(std::uint32_t entity, std::uint8_t index, std::optional<double> value) const {
  const Entity& e = world_.entity(entity);
  const std::uint32_t slot = e.parameter_slot(index);
  const Slot& spec = world_.plan->slots[slot];
  AskedInput input;
  input.name = name_of(world_, slot);
  input.type = spec.type;
  input.known = value.has_value();
  input.value = value.value_or(0);
  input.assumed = input.known && spec.assumed && world_.board[slot].value == spec.value;
  if (input.known) input.source = input.assumed ? "default" : "site file";
  for (const ActSpec& act : e.kind->acts) {
    if (!input.known || input.assumed || !concerns(act, e.kind->parameters[index].name)) continue;
    if (told_act(world_, entity, act) != nullptr) input.source = "act";
  }
  note(std::move(input));
}

Measured AskedInputs::measured(std::uint8_t quantity) const {
  const Measured answer = view_.measured(quantity);
  note_sample(world_.entity(entity_).quantity_slot(quantity), answer, Span{});
  return answer;
}

std::optional<AbsolutePressure> AskedInputs::sealed_reference(std::uint8_t quantity) const {
  const auto reference = view_.sealed_reference(quantity);
  if (!reference) return reference;
  AskedInput input;
  input.name = name_of(world_, world_.entity(entity_).quantity_slot(quantity)) + ".reference";
  input.type = Type::absolute();
  input.known = true;
  input.value = reference->value;
  input.source = "site file";
  note(std::move(input));
  return reference;
}

std::optional<double> AskedInputs::parameter(std::uint8_t index) const {
  const std::optional<double> answer = view_.parameter(index);
  note_parameter(entity_, index, answer);
  return answer;
}

Sample AskedInputs::at(Whose whose, std::uint8_t quantity, Instant instant) const {
  const Sample answer = view_.at(whose, quantity, instant);
  if (const auto index = owner(whose)) note_sample(world_.entity(*index).quantity_slot(quantity), answer, Span{});
  return answer;
}

Sample AskedInputs::lagged_at(Whose whose, std::uint8_t quantity, Span tau, Instant instant) const {
  const Sample answer = view_.lagged_at(whose, quantity, tau, instant);
  if (const auto index = owner(whose)) note_sample(world_.entity(*index).quantity_slot(quantity), answer, tau);
  return answer;
}

Sample AskedInputs::present(Whose whose, std::uint8_t quantity) const {
  const Sample answer = view_.present(whose, quantity);
  if (const auto index = owner(whose)) note_sample(world_.entity(*index).quantity_slot(quantity), answer, Span{});
  return answer;
}

std::optional<double> AskedInputs::place_parameter(std::uint8_t index) const {
  const std::optional<double> answer = view_.place_parameter(index);
  if (const auto place = owner(Whose::place)) note_parameter(*place, index, answer);
  return answer;
}

Sample AskedInputs::station_pressure_at(Instant instant) const {
  const Sample answer = view_.station_pressure_at(instant);
  AskedInput input;
  input.name = "site.station_pressure";
  input.type = Type::absolute();
  input.known = true;
  input.value = answer.value;
  input.plus_minus = answer.plus_minus;
  input.at = answer.at;
  for (const PlaceQuantity q : {PlaceQuantity::station_pressure, PlaceQuantity::sea_level_pressure}) {
    const Sample read = view_.at(Whose::outdoors, index_of(q), instant);
    const bool is_used = read.known && (q == PlaceQuantity::sea_level_pressure || read.value == answer.value);
    if (!is_used) continue;
    const std::uint32_t slot = world_.entity(world_.plan->outdoors).quantity_slot(index_of(q));
    input.source = source_of_reading(world_, slot, read.by_hand);
    break;
  }
  if (input.source.empty()) {
    input.source = "standard air";
    input.assumed = true;
  }
  note(std::move(input));
  return answer;
}

double AskedInputs::altitude() const {
  AskedInput input;
  input.name = "site.altitude";
  input.type = Type::number(dimension::length);
  input.known = true;
  input.value = view_.altitude();
  input.source = "site file";
  note(std::move(input));
  return view_.altitude();
}

Instant AskedInputs::lay_up() const {
  const Instant answer = view_.lay_up();
  AskedInput input;
  input.name = "season.lay_up";
  input.type = Type::instant();
  input.known = answer != Instant{};
  input.value = to_seconds(answer);
  if (input.known) input.source = answer == world_.plan->lay_up ? "site file" : "act";
  note(std::move(input));
  return answer;
}

}  // namespace overwinter
