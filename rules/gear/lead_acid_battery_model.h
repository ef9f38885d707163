// A lead-acid battery through the winter: how full it is, whether its acid may freeze, whether its charger works.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <string>
#include <utility>

#include "rules/gear/battery_charge.h"
#include "rules/gear/battery_charger.h"
#include "rules/gear/battery_count.h"
#include "rules/gear/battery_hours.h"
#include "rules/gear/battery_load.h"
#include "rules/gear/model.h"
#include "rules/gear/trend.h"

namespace overwinter {

class LeadAcidBatteryModel final : public Model {
 public:
  Expectation expected(const Surroundings& around, std::uint8_t quantity, Instant instant, bool by_hand) const override;
  void update(Surroundings& around) override;
  void late_reading(Surroundings& around, std::uint8_t quantity, const Sample& reading) override;
  void act(Surroundings& around, std::uint8_t act, Instant at) override;
  bool is_told_of_other_work(const Surroundings& around) const override;
  void new_sensor(std::uint8_t quantity, Instant at) override;
  std::string verdict_in_words(const Surroundings& around, std::uint8_t quantity, const Sample& reading,
                               const Expectation& expected) const override;
  const char* unjudged_because(const Surroundings& around) const override;
  std::string detail_in_words(const Surroundings& around) const override;
  void explain(const Surroundings& around, std::uint8_t quantity, Instant instant, Explanation& out) const override;
  Instant next_wake() const override { return wake_; }
  void save(ArchiveWriter& out) const override;
  void load(ArchiveReader& in) override;

  template <class A>
  void archive(A& a) {
    a(hours_, load_, charger_, decline_, rested_, held_, at_rest_, hand_, daily_, level_, line_, line_by_hand_,
      temperatures_, next_trend_, wake_, count_, tapers_since_, danger_, last_acid_, unjudged_);
  }

 private:
  // The rested voltage by which the charge is judged, of a block of six at 25 degC; that of its acid by a hydrometer.
  struct Held {
    Instant at{};
    double voltage = 0;         // at 25 degC
    double own_plus_minus = 0;  // of the reading, k = 2
    bool by_hand = false;
    double gravity = 0;  // of its acid, by a hydrometer; 0: its voltage was read

    bool by_hydrometer() const { return gravity > 0; }
    template <class A>
    void archive(A& a) {
      a(at, voltage, own_plus_minus, by_hand);
      if (a.layout() >= 9) a(gravity);
    }
  };
  // A voltage read by hand before the temperature of that time was known.
  struct Unjudged {
    Instant at{};
    double voltage = 0, plus_minus = 0;  // at its terminals

    template <class A>
    void archive(A& a) {
      a(at, voltage, plus_minus);
    }
  };
  struct Gravity {
    double value = 0;
    bool by_hydrometer = false;
    Instant at{};
    double sensor_plus_minus = 0;  // what the hydrometer, or the voltmeter, is unsure of; k = 2
  };

  // What decides whether its acid may be frozen.
  struct AcidJudged {
    Instant at{};         // when it was judged
    Instant charge_at{};  // of the rest, the hydrometer reading or the start of the count that it rests on
    double freezing_point = 0, coldest = 0;  // degC
    double point_plus_minus = 0;             // K, k = 2
    double coldest_plus_minus = 0;           // K, k = 2

    double margin() const { return coldest - freezing_point; }  // K
    double plus_minus() const;                                  // K, k = 2, of the margin
    template <class A>
    void archive(A& a) {
      a(at, charge_at, freezing_point, coldest, point_plus_minus, coldest_plus_minus);
    }
  };

  // acid: of now
  void follow_temperature(Instant now, const std::optional<AcidTemperature>& acid);
  void follow_load(const Surroundings& around, const Battery& battery);
  // What flows now. By hand it is known for six hours: nobody goes on looking.
  static std::optional<double> current_now(const Surroundings& around);
  void follow_voltage(Surroundings& around, const Battery& battery, const std::optional<AcidTemperature>& acid);
  void follow_charger(Surroundings& around, const Battery& battery, const std::optional<AcidTemperature>& acid);
  void follow_count(const Surroundings& around, const Battery& battery, const std::optional<AcidTemperature>& acid);
  void follow_danger(Instant now, const std::optional<AcidJudged>& judged, const std::optional<AcidTemperature>& acid);
  void follow_hydrometer(const Surroundings& around);
  void judge_rest(Surroundings& around, const Battery& battery);
  std::optional<bool> rest_of_hours(const Surroundings& around) const;  // nothing: too few of them since the act
  void take_by_hand(Surroundings& around, const Battery& battery, const Sample& reading);
  void keep_for_a_temperature(const Sample& reading);
  void take_kept(Surroundings& around, const Battery& battery);
  void check_rise(Surroundings& around, double charge, Instant at);
  void restart_trends(Instant from);
  void compute_trend(const Surroundings& around);
  Instant next_wanted(const Surroundings& around) const;

  bool rests() const { return at_rest_.value_or(false); }
  // Why a hand reading is not one of a rested battery; nullptr: it is.
  const char* not_rested_because(const Battery& battery, const Sample& reading) const;
  // Why what it should read cannot be compared with the reading of that instant; nullptr: it can.
  const char* not_comparable_because(const Surroundings& around, const Battery& battery, Instant instant) const;
  std::optional<Instant> charged_as_told(const Surroundings& around) const;
  static bool told_charge_lies_ahead(const Surroundings& around);
  std::optional<Instant> full_at(const Surroundings& around) const;
  double charge_at(const Surroundings& around, const Battery& battery, Instant full, Instant instant) const;
  bool held_is_known(Instant now) const;
  bool held_as_told(const Surroundings& around) const;   // full, by the act charged
  double held_plus_minus(const Battery& battery) const;  // share, k = 2
  // At charging voltage, and hardly a current flows any more.
  bool tapers(const Surroundings& around, const Battery& battery) const;
  std::optional<ChargeStart> newest_start(const Surroundings& around, const Battery& battery) const;
  bool counts(const Surroundings& around) const;  // its charge is counted, not held
  std::optional<double> charge_now(const Surroundings& around, const Battery& battery) const;
  double charge_plus_minus(const Surroundings& around, const Battery& battery) const;  // where it is known
  static std::string charge_in_words(const Surroundings& around, double charge);
  // Of a block of six at 25 degC, if it rested now.
  std::optional<double> rested_voltage_now(const Surroundings& around, const Battery& battery) const;
  Instant charge_known_at(const Surroundings& around) const;
  double freezing_unsure_of_count(const Surroundings& around, const Battery& battery, double freezing_point) const;
  const char* no_charge_because(const Surroundings& around) const;
  std::optional<Gravity> gravity(const Surroundings& around, const Battery& battery) const;
  double unsure_of_point(const Surroundings& around, const Battery& battery, const Gravity& acid,
                         double freezing_point) const;                                             // K, k = 2
  std::optional<double> coldest(Instant since, const std::optional<AcidTemperature>& acid) const;  // acid: of now
  // Nothing where the charge or the temperature is not known. strength and acid: of now
  std::optional<AcidJudged> judged_acid(const Surroundings& around, const Battery& battery,
                                        const std::optional<Gravity>& strength,
                                        const std::optional<AcidTemperature>& acid) const;
  // Ends the words on a hand reading where its acid may be frozen.
  std::string caution(const Surroundings& around, const Battery& battery, const Sample& reading) const;
  std::string caution_of(const Surroundings& around, double specific_gravity, Instant at) const;
  std::string hydrometer_in_words(const Surroundings& around, const Battery& battery, const Sample& reading) const;
  // By the trend or the count, 1/s, and what of it is sure; 0: none is known.
  struct Loss {
    double rate = 0, sure = 0;
  };
  Loss measured_loss(const Surroundings& around, const Battery& battery) const;
  // The acid's temperature to reckon ahead with: of now, else the last one known.
  struct LikelyTemperature {
    double celsius = 0;
    bool own = false;
    Instant at{};
    bool of_now = false;
  };
  std::optional<LikelyTemperature> likely_temperature(
      const Surroundings& around,
      const std::optional<AcidTemperature>& acid) const;  // acid: of now
  static double steady_loss(const Battery& battery, double charge,
                            const std::optional<LikelyTemperature>& acid);  // by the model, 1/s
  std::optional<double> charge_to_go_on_from(const Surroundings& around, const Battery& battery) const;

  void publish(Surroundings& around, const Battery& battery, const std::optional<AcidTemperature>& acid,
               const std::optional<Gravity>& strength, const std::optional<AcidJudged>& judged) const;
  struct ChargeTime {
    std::optional<Seconds> time;
    const char* because = nullptr;  // without a time
  };
  static ChargeTime time_to_charge(const Surroundings& around, const Battery& battery, double charge);
  void publish_charge(Surroundings& around, const Battery& battery, const std::optional<AcidTemperature>& acid) const;
  void publish_acid(Surroundings& around, const Battery& battery, const std::optional<Gravity>& strength,
                    const std::optional<AcidJudged>& judged) const;
  void publish_losses(Surroundings& around, const Battery& battery, const std::optional<AcidTemperature>& acid) const;
  void publish_time_until_recharge(Surroundings& around, const Battery& battery,
                                   const std::optional<AcidTemperature>& acid_now) const;
  void publish_charger(Surroundings& around, const Battery& battery) const;
  void explain_expected(const Surroundings& around, const Battery& battery, Instant instant, Explanation& out) const;
  void explain_charge(const Surroundings& around, const Battery& battery, Explanation& out) const;
  void explain_count(const Surroundings& around, const Battery& battery, Explanation& out) const;
  void explain_charge_time(const Surroundings& around, const Battery& battery, Explanation& out) const;
  void explain_cranking(const Surroundings& around, const Battery& battery, Explanation& out) const;
  void explain_time_until_recharge(const Surroundings& around, const Battery& battery, Explanation& out) const;
  void explain_acid(const Surroundings& around, const Battery& battery, Explanation& out) const;
  void explain_losses(const Surroundings& around, const Battery& battery, Explanation& out) const;
  void explain_charger(const Surroundings& around, const Battery& battery, Explanation& out) const;

  VoltageHours hours_;
  LoadTrack load_;
  ChargerTrack charger_;
  Decline decline_;
  std::deque<TrendPoint> rested_;  // hourly, at 25 degC, of the last 24 h of the present rest
  std::optional<Held> held_;
  std::optional<bool> at_rest_;      // by a sensor of its voltage; nothing: too few readings to tell
  std::deque<TrendPoint> hand_;      // state of charge by hand readings of a rested battery
  DailySeries daily_;                // state of charge by the sensor
  std::optional<TrendPoint> level_;  // the charge before, to see a rise that nobody told
  std::optional<TrendLine> line_;
  bool line_by_hand_ = false;
  std::deque<TrendPoint> temperatures_;  // hourly, of the last eight days
  Instant next_trend_ = Instant{};
  Instant wake_ = Instant{};
  ChargeCount count_;
  std::optional<Instant> tapers_since_;
  std::deque<Unjudged> unjudged_;
  std::optional<TrendPoint> last_acid_;  // its last known temperature
  std::optional<AcidJudged>
      danger_;  // its acid may be frozen; stands until it is judged safe, is warm, or the act charged
};

}  // namespace overwinter
