// Surroundings for the tests of one model: readings, parameters and weather are set by hand, answers are looked up
// by name. Works for every kind. Interpolation and lag follow the promises of rules/gear/model.h.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "rules/gear/model.h"
#include "rules/gear/place.h"

namespace overwinter {

class FakeSurroundings : public Surroundings {
 public:
  struct Answer {
    std::optional<double> value;
    double plus_minus = 0;
    std::string because;  // of an unset quantity
  };

  explicit FakeSurroundings(const KindSpec& kind) : kind_(&kind) {}

  // What is so; set at will.
  Instant time = *parse_rfc3339("2026-11-01T00:00:00Z");
  TimeZone time_zone;
  DisplayUnits units = DisplayUnits::metric;
  bool outdoors_itself = false;                    // the own place is outdoors
  double site_altitude = 0;                        // m
  Instant heard{};                                 // heard_since
  Sample pressure{101325, 3000, {}, true, false};  // station_pressure_at, unless outdoors reads station_pressure
  Instant season_start{};
  Span stale_after = 6 * one_hour;

  // A reading of the own gear at `time` (or earlier, by `at`); plus_minus: that of the kind unless given.
  void read(std::string_view quantity, double value, std::optional<double> plus_minus = {}, bool by_hand = false) {
    read_at(quantity, time, value, plus_minus, by_hand);
  }
  void read_at(std::string_view quantity, Instant at, double value, std::optional<double> plus_minus = {},
               bool by_hand = false) {
    const std::uint8_t index = quantity_index(quantity);
    const Sample sample{value, plus_minus.value_or(kind_->quantities[index].plus_minus), at, true, by_hand};
    insert(own_[index], sample);
    Measured& now = measured_[index];
    if (now.known && at < now.at) return;  // back-dated: no new present
    static_cast<Sample&>(now) = sample;
    now.fresh = true;
    now.uncertain = false;
  }
  // The sensor fell silent.
  void silence(std::string_view quantity) { measured_[quantity_index(quantity)] = {}; }
  void mark_uncertain(std::string_view quantity) {
    Measured& now = measured_[quantity_index(quantity)];
    now.known = false;
    now.uncertain = true;
  }
  // To be called after a model's update: what was fresh is so no more.
  void end_step() {
    for (auto& [index, now] : measured_) now.fresh = false;
  }
  void bind(std::string_view quantity, bool bound = true) { bound_[quantity_index(quantity)] = bound; }
  void seal(std::string_view quantity, double reference) { sealed_[quantity_index(quantity)] = reference; }

  // A value of the own place, or of outdoors, measured or computed, at `time`.
  void place_reads(PlaceQuantity q, double value, double plus_minus = 0) { insert_place(place_, q, value, plus_minus); }
  void outdoors_reads(PlaceQuantity q, double value, double plus_minus = 0) {
    insert_place(outdoors_, q, value, plus_minus);
  }
  void silence_place(PlaceQuantity q) { place_[index_of(q)].clear(); }
  void silence_outdoors(PlaceQuantity q) { outdoors_[index_of(q)].clear(); }
  // Parameters change at will here: each answer is another, and nothing is taken for told.
  std::uint64_t times_told() const override { return ++times_told_; }
  void set_place_parameter(PlaceParameter p, double value) { place_parameters_[index_of(p)] = value; }

  void set_parameter(std::string_view name, double value) { parameters_[parameter_index(name)] = value; }
  void clear_parameter(std::string_view name) { parameters_.erase(parameter_index(name)); }
  void set_table(std::string_view name, std::vector<std::pair<double, double>> table) {
    tables_[parameter_index(name)] = std::move(table);
  }

  // What the model answered.
  std::optional<double> value(std::string_view quantity) const { return answer(quantity).value; }
  double plus_minus(std::string_view quantity) const { return answer(quantity).plus_minus; }
  std::string because(std::string_view quantity) const { return answer(quantity).because; }
  bool is_true(std::string_view quantity) const { return value(quantity).value_or(0) != 0; }
  const Answer& answer(std::string_view quantity) const {
    static const Answer none;
    const auto found = answers_.find(quantity_index(quantity));
    return found == answers_.end() ? none : found->second;
  }
  const std::map<std::uint8_t, Answer>& answers() const { return answers_; }
  std::vector<std::string> questions;
  Instant risen_since{};  // of the last of them that asks about a rise

  std::uint8_t quantity_index(std::string_view name) const {
    for (std::size_t i = 0; i < kind_->quantities.size(); ++i) {
      if (kind_->quantities[i].name == name) return static_cast<std::uint8_t>(i);
    }
    ADD_FAILURE() << "no quantity " << name;
    return 0;
  }
  std::uint8_t parameter_index(std::string_view name) const {
    for (std::size_t i = 0; i < kind_->parameters.size(); ++i) {
      if (kind_->parameters[i].name == name) return static_cast<std::uint8_t>(i);
    }
    ADD_FAILURE() << "no parameter " << name;
    return 0;
  }

  // Surroundings.
  Instant now() const override { return time; }
  const TimeZone& zone() const override { return time_zone; }
  DisplayUnits display_units() const override { return units; }
  Measured measured(std::uint8_t quantity) const override {
    const auto found = measured_.find(quantity);
    return found == measured_.end() ? Measured{} : found->second;
  }
  bool has_source(std::uint8_t quantity) const override {
    const auto found = bound_.find(quantity);
    return found != bound_.end() ? found->second : own_.contains(quantity);
  }
  std::optional<AbsolutePressure> sealed_reference(std::uint8_t quantity) const override {
    const auto found = sealed_.find(quantity);
    if (found == sealed_.end()) return std::nullopt;
    return AbsolutePressure(found->second);
  }
  std::optional<double> parameter(std::uint8_t index) const override {
    const auto found = parameters_.find(index);
    return found != parameters_.end() ? std::optional(found->second) : kind_->parameters[index].otherwise;
  }
  bool assumed(std::uint8_t index) const override {
    return !parameters_.contains(index) && kind_->parameters[index].otherwise.has_value();
  }
  std::vector<std::pair<double, double>> table_parameter(std::uint8_t index) const override {
    const auto found = tables_.find(index);
    return found == tables_.end() ? std::vector<std::pair<double, double>>{} : found->second;
  }
  Sample at(Whose whose, std::uint8_t quantity, Instant instant) const override {
    return at_instant(series(whose, quantity), instant);
  }
  Sample lagged_at(Whose whose, std::uint8_t quantity, Span tau, Instant instant) const override {
    const auto& samples = series(whose, quantity);
    Sample lagged = at_instant(samples, instant);
    if (!lagged.known || samples.front().at > instant) return lagged;
    auto from = std::lower_bound(samples.begin(), samples.end(), instant - 8 * tau,
                                 [](const Sample& s, Instant at) { return s.at < at; });
    if (from == samples.end() || from->at > instant) --from;
    lagged.value = from->value;
    Sample previous = *from;
    for (; from != samples.end(); ++from) {
      const Sample& next = *from;
      const bool past = next.at > instant;
      const Instant to = past ? instant : next.at;
      const double there = past ? at_instant(samples, instant).value : next.value;
      const double share = -std::expm1(-to_seconds(to - previous.at) / to_seconds(tau));
      lagged.value += share * ((previous.value + there) / 2 - lagged.value);
      previous = next;
      if (past) return lagged;
    }
    lagged.value += -std::expm1(-to_seconds(instant - previous.at) / to_seconds(tau)) * (previous.value - lagged.value);
    return lagged;
  }
  Sample present(Whose whose, std::uint8_t quantity) const override {
    const auto& samples = series(whose, quantity);
    if (samples.empty() || time - samples.back().at > stale_after) return {};
    return samples.back();
  }
  std::optional<double> place_parameter(std::uint8_t index) const override {
    const auto found = place_parameters_.find(index);
    return found == place_parameters_.end() ? std::nullopt : std::optional(found->second);
  }
  bool is_outdoors() const override { return outdoors_itself; }
  Instant heard_since() const override { return heard; }
  Sample station_pressure_at(Instant instant) const override {
    const Sample read = at(Whose::outdoors, index_of(PlaceQuantity::station_pressure), instant);
    if (read.known) return read;
    Sample standard = pressure;
    standard.at = instant;
    return standard;
  }
  double altitude() const override { return site_altitude; }
  Instant lay_up() const override { return season_start; }
  void set(std::uint8_t quantity, double value, double plus_minus) override {
    answers_[quantity] = {value, plus_minus, {}};
  }
  void unset(std::uint8_t quantity, const char* because) override { answers_[quantity] = {{}, 0, because}; }
  void ask(std::string question) override { questions.push_back(std::move(question)); }
  void ask_of_rise(std::string question, Instant since, std::uint8_t) override {
    risen_since = since;
    ask(std::move(question));
  }

 private:
  using Series = std::vector<Sample>;  // by time

  static void insert(Series& series, const Sample& sample) {
    const auto later = std::upper_bound(series.begin(), series.end(), sample.at,
                                        [](Instant at, const Sample& s) { return at < s.at; });
    series.insert(later, sample);
  }
  void insert_place(std::map<std::uint8_t, Series>& of, PlaceQuantity q, double value, double plus_minus) {
    insert(of[index_of(q)], Sample{value, plus_minus, time, true, false});
  }
  const Series& series(Whose whose, std::uint8_t quantity) const {
    static const Series none;
    const bool of_place_kind = kind_->name == "place";
    const bool own = whose == Whose::own || (of_place_kind && (whose == Whose::place || outdoors_itself));
    const auto& of = own ? own_ : whose == Whose::place && !outdoors_itself ? place_ : outdoors_;
    const auto found = of.find(quantity);
    return found == of.end() ? none : found->second;
  }
  Sample at_instant(const Series& samples, Instant instant) const {
    const auto after = std::lower_bound(samples.begin(), samples.end(), instant,
                                        [](const Sample& s, Instant at) { return s.at < at; });
    if (after != samples.end() && after != samples.begin() && after->at != instant) {
      const Sample& before = *std::prev(after);
      if (after->at - before.at <= 2 * one_hour) {
        const double share = to_seconds(instant - before.at) / to_seconds(after->at - before.at);
        return {before.value + share * (after->value - before.value), std::max(before.plus_minus, after->plus_minus),
                instant, true, before.by_hand || after->by_hand};
      }
    }
    const Sample* nearest = nullptr;
    const auto consider = [&](const Sample& s) {
      if (nearest == nullptr || abs(s.at - instant) < abs(nearest->at - instant)) nearest = &s;
    };
    if (after != samples.begin()) consider(*std::prev(after));
    if (after != samples.end()) consider(*after);
    if (nearest == nullptr || abs(nearest->at - instant) > stale_after) return {};
    return *nearest;
  }

  const KindSpec* kind_;
  mutable std::uint64_t times_told_ = 0;
  std::map<std::uint8_t, Series> own_, place_, outdoors_;
  std::map<std::uint8_t, Measured> measured_;
  std::map<std::uint8_t, bool> bound_;
  std::map<std::uint8_t, double> sealed_, parameters_, place_parameters_;
  std::map<std::uint8_t, std::vector<std::pair<double, double>>> tables_;
  std::map<std::uint8_t, Answer> answers_;
};

}  // namespace overwinter
