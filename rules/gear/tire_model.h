// A tire that stands through the winter: is it only cold, does it leak, is it low.
#pragma once

#include <cmath>
#include <cstdint>
#include <deque>
#include <optional>
#include <string>
#include <vector>

#include "rules/gear/model.h"
#include "rules/gear/tire_expectation.h"
#include "rules/gear/trend.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/tire_pressure.h"
#include "rules/physics/tire_verdict.h"

namespace overwinter {

class TireModel final : public Model {
 public:
  Expectation expected(const Surroundings& around, std::uint8_t quantity, Instant instant, bool by_hand) const override;
  void update(Surroundings& around) override;
  void late_reading(Surroundings& around, std::uint8_t quantity, const Sample& reading) override;
  void act(Surroundings& around, std::uint8_t act, Instant at) override;
  bool is_told_of_other_work(const Surroundings& around) const override;
  void new_sensor(std::uint8_t quantity, Instant at) override;
  void place_temperature_was_misread() override;
  std::string verdict_in_words(const Surroundings& around, std::uint8_t quantity, const Sample& reading,
                               const Expectation& expected) const override;
  const char* unjudged_because(const Surroundings& around) const override;
  std::string detail_in_words(const Surroundings& around) const override;
  std::string caution_in_words(const Surroundings& around, std::uint8_t act) const override;
  void explain(const Surroundings& around, std::uint8_t quantity, Instant instant, Explanation& out) const override;
  Instant next_wake() const override { return next_trend_; }
  void save(ArchiveWriter& out) const override;
  void load(ArchiveReader& in) override;

  template <class A>
  void archive(A& a) {
    a(fill_, seepage_rate_, seeped_, last_, hand_, waiting_, daily_, daily_celsius_, before_, before_until_, jump_,
      drops_, rises_, step_, last_raw_, filled_by_act_, line_, young_, perhaps_more_, line_by_hand_, leaks_);
    if (a.layout() >= 9) a(fell_at_);
    a(dropped_at_, noise_at_loss_, next_trend_);
  }

 private:
  // One reading beside what it ought to be. Normalized: at 20 degC and one atmosphere.
  struct Judged {
    Instant at{};
    bool by_hand = false;
    double pressure = 0;               // gauge, Pa, as read
    std::optional<double> celsius;     // of the air inside, where it was known
    std::optional<double> normalized;  // Pa; nothing where the temperature was not known
    std::optional<double> residual;    // normalized minus expected
    double plus_minus = 0;             // of the expected, k = 2
    double own_plus_minus = 0;         // of the reading, k = 2
    double noise = 0;                  // one sigma from reading to reading

    // One sigma of a single reading, with all of its sensor's own error.
    double whole_noise() const { return in_quadrature(noise, std::sqrt(3.0) / 4 * own_plus_minus); }
    // What a normalized difference shows at the reading's temperature.
    double as_read() const {
      return Temperature(celsius.value_or(normal_temperature.celsius())).kelvin() / normal_temperature.kelvin();
    }

    template <class A>
    void archive(A& a) {
      a(at, by_hand, pressure, celsius, normalized, residual, plus_minus, own_plus_minus, noise);
    }
  };

  static constexpr Span trend_window = 28 * one_day;  // of the sensor's values
  static double to_days(Instant at) { return to_seconds(at) / 86400; }
  static double to_days(Span span) { return to_seconds(span) / 86400; }

  // air: in the tire at the reading's instant. expected: of the reading; nullptr: to be worked out.
  Judged judge(const Surroundings& around, const Sample& reading, const std::optional<TireAir>& air,
               const Expectation* expected) const;
  Judged judge(const Surroundings& around, const Sample& reading) const;
  // Of a reading by hand that was judged without a temperature, there is one now.
  bool thermometer_followed(const Surroundings& around, const Judged& reading) const;
  void wait_for_thermometer(const Judged& reading);
  void judge_waiting(Surroundings& around);
  void judge_hand_readings_anew(const Surroundings& around);
  void take(Surroundings& around, const Judged& reading);
  void count_drop(bool drops, const Judged& reading);
  void take_by_sensor(Surroundings& around, const Judged& reading);
  void take_by_hand(Surroundings& around, const Judged& reading);
  void keep_for_trend(const Surroundings& around, const Judged& reading);  // by the sensor; normalized
  void forget_line();
  double slow_leak_over(Span unseen, const Judged& reading) const;  // Pa
  void begin_after_silence(const Judged& reading);                  // the sensor's first, where it fell since the last
  void restart_trends(Instant from);
  void restart_trends_by_work(const Surroundings& around, Instant at);
  void restart_trends_of_sensor(Instant from);
  void forget_drops();  // and what they fell from
  void learn_resolution(double pressure);
  void forget_resolution();
  double resolution() const;  // Pa, at most 10 kPa (0.1 bar)
  void ask_about_rise(Surroundings& around, double rise, Instant since) const;
  void find_rise_at_dawn(Surroundings& around);
  void compute_trend(const Surroundings& around);
  std::vector<TrendPoint> steady_points_by_hand(const Surroundings& around) const;
  bool has_hand_trend() const;  // long enough for one
  bool changed_in_a_step() const { return line_by_hand_ && !line_ && has_hand_trend(); }
  void pass_time(const Surroundings& around);
  void accrue_seepage(const Surroundings& around);
  // Also right before the first update, and right after the parameters changed.
  TireFill current_fill(const Surroundings& around) const;
  double seeped_at(const Surroundings& around, const TireFill& fill, Instant instant) const;
  TireExpectation expectation(const Surroundings& around, bool by_hand, Instant instant) const;
  TireExpectation expectation(const Surroundings& around, const std::optional<TireAir>& air, const Sample& ambient,
                              Instant instant) const;
  double seepage_between(Instant from, Instant to) const;                 // of the current reading, Pa
  double seepage_per_second(const std::optional<TrendLine>& line) const;  // the same, over the line's time, Pa/s
  TrendErrors trend_errors(const Surroundings& around) const;
  double leak_per_second(const TrendLine& line) const;       // beyond seepage
  double loss_since_first_week(const Surroundings& around);  // beyond seepage, Pa; line_ is known, by the sensor
  bool leaks_by_trend(double loss_since_first_week) const;   // line_ is known, by the sensor
  void find_young_leak(const std::vector<TrendPoint>& points, const TrendErrors& errors);
  TireTrend trend() const;  // of line_, which is known
  const std::optional<TrendLine>& told_line() const { return young_ ? young_ : line_; }
  double told_plus_minus(const TrendLine& line) const { return in_quadrature(2 * line.standard_error, perhaps_more_); }
  double loss_per_second(const Surroundings& around) const;  // seepage, and a leak where one is found

  bool lost() const { return drops_ >= 2; }  // suddenly, and confirmed by a second reading
  TireVerdict verdict(const Surroundings& around) const;
  TireVerdict verdict_by_sensor(const Surroundings& around) const;
  std::vector<HandReading> falling_by_hand(const Surroundings& around, const Judged& last) const;
  TireVerdict verdict_by_hand(const Surroundings& around, const Judged& last) const;
  const char* unknown_because(const Surroundings& around) const;  // why there is no verdict
  const char* no_reading_since_fill(const Surroundings& around) const;
  // read: there is a fresh reading of its pressure. air: of now
  void publish(Surroundings& around, bool read, const std::optional<TireAir>& air) const;
  void publish_verdict(Surroundings& around, bool read) const;
  void publish_gauge_pressure(Surroundings& around, bool read) const;
  // How long until it reaches its minimum; 0: it is there. Without, why.
  struct UntilMinimum {
    std::optional<double> seconds = {};
    const char* because = nullptr;
  };
  UntilMinimum until_minimum(const Surroundings& around) const;
  void publish_leak(Surroundings& around) const;
  // Gauge, Pa, to have cold_pressure at 20 degC; air: of now.
  Expectation to_set(const Surroundings& around, const std::optional<TireAir>& air) const;
  void publish_pressure_to_set(Surroundings& around, const std::optional<TireAir>& air) const;  // air: of now
  void publish_times(Surroundings& around) const;
  void explain_expected(const Surroundings& around, Instant instant, Explanation& out) const;
  void explain_normalized(const Surroundings& around, Explanation& out) const;
  void explain_gauge_pressure(const Surroundings& around, Explanation& out) const;
  void explain_leak(const Surroundings& around, Explanation& out) const;
  void explain_leaking(const Surroundings& around, Explanation& out) const;  // line_ is known, by the sensor
  void explain_time_until_minimum(const Surroundings& around, Explanation& out) const;
  void explain_verdict(const Surroundings& around, Explanation& out) const;
  void explain_pressure_to_set(const Surroundings& around, Explanation& out) const;

  TireFill fill_;
  std::optional<std::uint64_t> told_;    // times_told when the fill was looked up last
  double seepage_rate_ = 0;              // 1/s, at the last accrual
  RunningSum seeped_;                    // integral of the rate since the fill
  std::optional<Judged> last_;           // the current reading
  std::deque<Judged> hand_;              // by time, since the last act
  std::deque<Judged> waiting_;           // by hand, for their thermometer; of the last day, by time
  DailySeries daily_;                    // normalized, by the sensor
  DailySeries daily_celsius_;            // of the same readings
  std::deque<double> before_;            // normalized: the last five by the sensor that were no jump
  Instant before_until_{};               // the newest of them
  std::uint32_t drops_ = 0, rises_ = 0;  // jumps in a row
  double jump_ = 0;                      // of the last reading against them, Pa
  Instant fell_at_{};                    // the first of the drops
  Instant dropped_at_{};                 // the last reading that counts as a drop
  double noise_at_loss_ = 0;             // one sigma, of the reading that confirmed a sudden loss, Pa
  std::optional<double> step_;           // the smallest difference of two readings by the sensor: its resolution, Pa
  std::optional<double> last_raw_;       // Pa
  bool filled_by_act_ = false;           // a person filled and gauged it, and it was not read since
  std::optional<TrendLine> line_;        // of normalized pressure
  std::optional<TrendLine> young_;       // since the loss began, where a leak by the sensor is younger than line_
  double perhaps_more_ = 0;              // what the leak may lose more, where that is not clear, Pa/s
  bool line_by_hand_ = false;
  bool leaks_ = false;  // by the sensor; stands until an act, or until the trend shows no loss
  Instant next_trend_ = Instant{};
};

}  // namespace overwinter
