#include "tests/winter/alder_bend.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "tests/winter/gear_in_winter.h"
#include "tests/winter/mailbag.h"
#include "tests/winter/weather.h"

namespace overwinter {
namespace {

Instant on(std::string_view text) { return *parse_rfc3339(text); }

std::string number(double value, double step, int digits) {
  double rounded = std::round(value / step) * step;
  if (std::abs(rounded) < step / 2) rounded = 0;  // no -0.0
  return fmt::format("{:.{}f}", rounded, digits);
}

// One topic: its own rhythm, its own gaps.
class Sender {
 public:
  Sender(std::uint64_t seed, std::string_view topic) : random_(seed), topic_(topic) {}

  // Sends what `payload` makes, unless it is in a gap: up to 4 h, about one in three weeks.
  template <typename Payload>
  void send(Mailbag& bag, Instant now, Span every, const Payload& payload) {
    if (now < next_) return;
    next_ = now + every;
    if (now >= gap_end_ && random_.uniform() < to_seconds(every) / (21 * 86400.0)) {
      gap_end_ = now + span_from_seconds(std::floor(random_.between(1800, 14400)));
    }
    const std::string text = payload(random_);
    const Instant at = now + Span(static_cast<std::int64_t>(random_.uniform() * 120) * 1000);
    if (now < gap_end_) return;
    bag.add(at, topic_, text);
    if (random_.uniform() < 0.005) bag.add(at, topic_, text);  // the broker tells it twice
  }

 private:
  SplitMix random_;
  std::string_view topic_;
  Instant next_{}, gap_end_{};
};

class AlderBend {
 public:
  AlderBend(const WinterOptions& options, Mailbag& bag)
      : options_(options), bag_(bag), weather_(options.seed * 1000 + 1), gauge_(options.seed * 1000 + 2) {
    for (TrueTire* tire : {&lf_, &lr_, &rf_, &rr_}) tire->fill(52 * winter_psi, 16.1, 98.7e3);
    rf_.in_the_sun = rr_.in_the_sun = true;
  }

  void run() {
    const Instant start = on("2026-10-31T05:00:00Z");  // midnight in Manitoba
    const Instant end = start + options_.days * one_day;
    bag_.add(start + Span(3000), "camper/radio", "up");
    bag_.add(start + Span(4000), "garage/socket", "off");
    bag_.add(start + Span(5000), "camper/fridge", "open");
    bag_.add(start + Span(6000), "garage/generator", R"({"running":false})");
    for (Instant now = start; now < end; now += weather_step) {
      before_ = now;
      step(now);
      sense(now);
      live(now);
    }
  }

 private:
  // True in the one step into which the instant falls.
  bool now_is(Instant instant) const { return instant >= before_ && instant < before_ + weather_step; }
  bool during(std::string_view from, std::string_view to) const { return before_ >= on(from) && before_ < on(to); }

  void step(Instant) {
    const double seconds = to_seconds(weather_step);
    sky_ = weather_.at(before_);
    const bool leaks = during("2026-11-25T00:00:00Z", "2027-01-09T18:00:00Z");
    lf_.step(sky_, seconds, 0);
    lr_.step(sky_, seconds, leaks ? 0.8 * winter_psi : 0);
    rf_.step(sky_, seconds, 0);
    rr_.step(sky_, seconds, 0);
    garage_.step(sky_, seconds);
    battery_.on_charger = during("2027-02-06T18:30:00Z", "2027-02-08T18:00:00Z");
    // A lamp left on at the visit of January 9.
    battery_.step(garage_.celsius, seconds, during("2027-01-09T19:00:00Z", "2027-02-06T18:00:00Z") ? 0.05 : 0);
    camper_.step(sky_, seconds);
  }

  void sense(Instant now) {
    yard_.send(bag_, now, options_.every, [&](SplitMix& r) {
      return fmt::format(R"({{"temp_c":{},"rh":{},"hpa":{}}})", number(sky_.celsius + 0.2 + 0.1 * r.bell(), 0.1, 1),
                         number(std::min(99.0, sky_.humidity * 100 + 1 + 0.7 * r.bell()), 1, 0),
                         number(sky_.sea_level_hpa - 0.4 + 0.1 * r.bell(), 0.1, 1));
    });
    garage_climate_.send(bag_, now, options_.every, [&](SplitMix& r) {
      return fmt::format(R"({{"temperature":{}}})", number(garage_.celsius - 0.2 + 0.1 * r.bell(), 0.1, 1));
    });
    camper_climate_.send(bag_, now, options_.every, [&](SplitMix& r) {
      return fmt::format(R"({{"temperature":{},"humidity":{}}})",
                         number(camper_.celsius + 0.3 + 0.1 * r.bell(), 0.1, 1),
                         number(std::min(99.0, camper_.humidity() * 100 - 1.5 + 0.5 * r.bell()), 0.5, 1));
    });
    const auto tire = [&](Sender& sender, const TrueTire& t, double reference, double bias) {
      sender.send(bag_, now, options_.every, [&](SplitMix& r) {
        return fmt::format(R"({{"kpa":{},"c":{}}})",
                           number((t.absolute() - reference) / 1000 + bias + 0.7 * r.bell(), 1, 0),
                           number(t.celsius + 0.4 + 0.35 * r.bell(), 1, 0));
      });
    };
    tire(lf_sender_, lf_, 101325, 2);
    tire(lr_sender_, lr_, 101325, -1.5);
    tire(rr_sender_, rr_, sky_.station_pa(), 1);
    battery_sender_.send(bag_, now, options_.every, [&](SplitMix& r) {
      return fmt::format(R"({{"volts":{}}})", number(battery_.volts() + 0.01 + 0.006 * r.bell(), 0.01, 2));
    });
  }

  void record(Instant at, std::string_view gear, std::string_view quantity, const std::string& value) {
    bag_.command(at, "record",
                 fmt::format(R"({{"gear":"{}","quantity":"{}","value":"{}","by":"Marta"}})", gear, quantity, value));
  }
  void act(Instant at, std::string_view gear, std::string_view name, std::string_view values = {}) {
    bag_.command(at, "act", fmt::format(R"({{"gear":"{}","act":"{}"{},"by":"Marta"}})", gear, name, values));
  }
  void done(Instant at, std::string_view reminder, std::string_view found) {
    bag_.command(at, "done", fmt::format(R"({{"reminder":"{}","found":"{}","by":"Marta"}})", reminder, found));
  }
  void acknowledge(std::string_view at, std::string_view rule, std::string_view gear) {
    if (now_is(on(at)))
      bag_.command(on(at), "acknowledge", fmt::format(R"({{"rule":"{}","gear":"{}","by":"Marta"}})", rule, gear));
  }
  std::string gauged(const TrueTire& t) {
    return number(t.gauge(sky_) / winter_psi + gauge_.between(-0.4, 0.4), 0.5, 1) + " psi";
  }

  // What people do: a visit every other Saturday at 11, with gauge and meter at every second one.
  void live(Instant now) {
    const Instant first = on("2026-11-14T17:00:00Z");
    const std::int64_t fortnight = (now - first) / (14 * one_day);
    if (now >= first && now_is(first + fortnight * 14 * one_day)) visit(now, fortnight % 2 == 0);
    if (now_is(on("2026-10-31T20:00:00Z"))) done(now, "prepare_for_winter", "all done");
    leak(now);
    charge(now);
    for (const std::string_view at : {"2026-12-03T20:00:00Z", "2027-01-09T19:00:00Z", "2027-02-11T20:00:00Z",
                                      "2027-03-16T20:00:00Z", "2027-04-14T20:00:00Z"}) {
      if (!now_is(on(at))) continue;
      bag_.add(now + Span(10'000), "garage/generator", R"({"running":true})");
      bag_.add(now + 25 * one_minute + Span(10'000), "garage/generator", R"({"running":false})");
    }
    // Shut by a sleeve at the visit; found two days later.
    if (now_is(on("2026-11-28T17:20:00Z"))) bag_.add(now, "camper/fridge", "shut");
    acknowledge("2026-11-28T21:00:00Z", "door_or_vent_wrong", "refrigerator_door");
    if (now_is(on("2026-11-30T22:00:00Z"))) bag_.add(now, "camper/fridge", "open");
    if (now_is(on("2027-03-06T17:40:00Z"))) act(now, "propane_detector", "replaced");
  }

  void visit(Instant now, bool gauging) {
    if (gauging) {
      record(now + Span(60'000), "left_front_tire", "pressure", gauged(lf_));
      record(now + Span(120'000), "left_rear_tire", "pressure", gauged(lr_));
      record(now + Span(180'000), "right_front_tire", "pressure", gauged(rf_));
      record(now + Span(240'000), "right_rear_tire", "pressure", gauged(rr_));
      record(now + Span(280'000), "house_battery", "voltage", number(battery_.volts() - 0.02, 0.01, 2) + " V");
      done(now + 10 * one_minute, "clear_cover", "swept");
      done(now + 11 * one_minute, "test_detectors", "all three beep");
    }
    if (++visits_ % 4 == 0) {
      done(now + 20 * one_minute, "move_tires", "a quarter turn");
    }
    done(now + 30 * one_minute, "walkaround", "nothing");
  }

  void leak(Instant now) {
    acknowledge("2026-12-20T18:00:00Z", "tire_leaking", "left_rear_tire");
    if (!now_is(on("2027-01-09T18:05:00Z"))) return;
    lr_.fill(52 * winter_psi - (16.1 - lr_.celsius) * 1.55e3, lr_.celsius, sky_.station_pa());
    act(now, "left_rear_tire", "valve_checked");
    act(now + Span(60'000), "left_rear_tire", "filled",
        fmt::format(R"(,"pressure":"{} psi","temperature":"{} degC")", number(lr_.gauge(sky_) / winter_psi, 0.5, 1),
                    number(lr_.celsius, 1, 0)));
  }

  void charge(Instant now) {
    acknowledge("2027-01-31T16:00:00Z", "battery_recharge", "house_battery");
    if (now_is(on("2027-02-06T18:30:00Z"))) bag_.add(now, "garage/socket", "on");
    if (now_is(on("2027-02-08T18:00:00Z"))) bag_.add(now, "garage/socket", "off");
    if (now_is(on("2027-02-08T18:00:00Z"))) act(now + Span(30'000), "house_battery", "charged");
  }

  WinterOptions options_;
  Mailbag& bag_;
  Weather weather_;
  SplitMix gauge_;
  Sky sky_;
  TrueTire lf_, lr_, rf_, rr_;
  TrueBattery battery_;
  TrueGarage garage_;
  TrueCamper camper_;
  Instant before_{};
  int visits_ = 0;
  Sender yard_{options_.seed * 1000 + 10, "yard/weather"}, garage_climate_{options_.seed * 1000 + 11, "garage/climate"},
      camper_climate_{options_.seed * 1000 + 12, "camper/climate"},
      lf_sender_{options_.seed * 1000 + 13, "camper/tire/lf"}, lr_sender_{options_.seed * 1000 + 14, "camper/tire/lr"},
      rr_sender_{options_.seed * 1000 + 15, "camper/tire/rr"},
      battery_sender_{options_.seed * 1000 + 16, "garage/battery"};
};

}  // namespace

std::string alder_bend_winter(const WinterOptions& options) {
  Mailbag bag;
  AlderBend(options, bag).run();
  return bag.lines();
}

}  // namespace overwinter
