// How the tire's figures come about, in lines that a person can check with a calculator.
#include <fmt/format.h>

#include <cmath>

#include "rules/gear/explanation_printer.h"
#include "rules/gear/tire_model.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/tire_pressure.h"

namespace overwinter {
namespace {

struct TirePrinter : ExplanationPrinter {
  std::string pressure(double pascals) const { return show(pascals, Type::gauge(), Shown::tire_pressure); }
  // To three digits: what seeps through rubber is small, and the calculation goes on with it.
  std::string rate(double pascals_per_second) const {
    const Type type = Type::number(dimension::pressure_rate);
    const DisplayUnit unit = display_unit(type, Shown::tire_pressure, around.display_units());
    const double rate = from_canonical(pascals_per_second, unit.unit);
    return fmt::format("{:.3g} {}", rate == 0 ? 0.0 : rate, unit.symbol);  // never -0
  }
  std::string uncertain(double value, double plus_minus) const {
    return print_with_uncertainty(value, plus_minus, Type::gauge(), Shown::tire_pressure, around.display_units());
  }
  std::string kelvin(double celsius) const { return fmt::format("{:.1f} K", Temperature(celsius).kelvin()); }
  // At which normalized pressures and a minimum are meant.
  std::string at_normal() const { return temperature(normal_temperature.celsius()); }
  // The past is kept for some days only; what was judged then stands.
  std::string no_longer_kept(Instant t) const {
    return fmt::format("worked out with the temperature of {}, which is no longer kept", date(t));
  }
};

constexpr std::string_view whose(bool own) { return own ? "its own sensor" : "its place's air, 1.5 h behind"; }

void assume(const Surroundings& around, const TireFill& fill, Explanation& out) {
  const TirePrinter print{{around}};
  if (around.assumed(index_of(TireParameter::fill_gas))) out.assumed.emplace_back("air in the tire: moist (default)");
  if (!fill.known) {
    out.missing.emplace_back("filled: {pressure, temperature, date}");
    return;
  }
  if (!fill.dated) out.assumed.push_back(fmt::format("filled: at lay-up, {}", print.date(fill.date)));
  if (!fill.temperature_given && fill.celsius) {
    out.assumed.push_back(
        fmt::format("temperature at the fill: {}, its place's then", print.temperature(*fill.celsius)));
  }
  if (!fill.celsius) out.missing.emplace_back("temperature at the fill: not told, and its place's then is not known");
  if (!fill.station_given) {
    out.assumed.push_back(fmt::format("outside pressure at the fill: {}", print.pressure(fill.station_pressure)));
  }
}

}  // namespace

void TireModel::explain(const Surroundings& around, std::uint8_t quantity, Instant instant, Explanation& out) const {
  const TirePrinter print{{around}};
  switch (static_cast<TireQuantity>(quantity)) {
    case TireQuantity::pressure:
      explain_expected(around, instant, out);
      return;
    case TireQuantity::normalized_pressure:
      explain_normalized(around, out);
      return;
    case TireQuantity::gauge_pressure:
      explain_gauge_pressure(around, out);
      return;
    case TireQuantity::leak_rate:
      explain_leak(around, out);
      return;
    case TireQuantity::time_until_minimum:
      explain_time_until_minimum(around, out);
      return;
    case TireQuantity::verdict:
      explain_verdict(around, out);
      return;
    case TireQuantity::pressure_to_set:
      explain_pressure_to_set(around, out);
      return;
    case TireQuantity::temperature: {
      const auto air = tire_air(around, instant);
      if (air && !air->own) {
        out.assumed.push_back(
            fmt::format("{}: its place's air, with the tire's 1.5 h behind it", print.temperature(air->celsius)));
      }
      if (!air) out.missing.emplace_back("temperature of the tire, and of its place: not known");
      return;
    }
    case TireQuantity::temperature_at_reading: {
      const auto air = last_ ? tire_air(around, last_->at) : std::nullopt;
      if (air && last_->celsius)
        out.assumed.push_back(fmt::format("temperature of the air in it: {}", whose(air->own)));
      return;
    }
    case TireQuantity::assumed_temperature: {
      const auto air = tire_air(around, around.now());
      if (air) out.assumed.push_back(fmt::format("temperature of the air in it: {}", whose(air->own)));
      return;
    }
    case TireQuantity::age:
      out.calculation.emplace_back("from the Sunday on which the week of the date code begins (49 CFR 574.5)");
      return;
    case TireQuantity::standing_time:
      if (!around.parameter(index_of(TireParameter::moved_date))) out.assumed.emplace_back("stands since lay-up");
      return;
  }
}

void TireModel::explain_expected(const Surroundings& around, Instant instant, Explanation& out) const {
  const TirePrinter print{{around}};
  const TireFill fill = current_fill(around);
  assume(around, fill, out);
  const Measured current = around.measured(index_of(TireQuantity::pressure));
  const TireExpectation e = expectation(around, current.known && current.by_hand, instant);
  if (!e.answer.known()) {
    if (last_ && last_->at == instant && last_->residual) {
      out.calculation.push_back(print.no_longer_kept(instant));
    } else {
      out.missing.emplace_back(e.answer.unknown_because);
    }
    return;
  }
  out.calculation.push_back(fmt::format("filled to {} at {} ({}) on {}; now it is {} ({})",
                                        print.pressure(fill.pressure), print.temperature(*fill.celsius),
                                        print.kelvin(*fill.celsius), print.date(fill.date),
                                        print.temperature(e.air.celsius), print.kelvin(e.air.celsius)));
  out.calculation.push_back(fmt::format("({} + {}) x {} / {} - {} = {}", print.pressure(fill.pressure),
                                        print.pressure(fill.station_pressure), print.kelvin(e.air.celsius),
                                        print.kelvin(*fill.celsius), print.pressure(e.ambient.value),
                                        print.pressure(e.dry)));
  out.calculation.push_back(fmt::format("{} x {:.4f} (left after seepage through the rubber since {}) = {}",
                                        print.pressure(e.dry), e.kept, print.date(fill.date),
                                        print.pressure(e.answer.value)));
  out.calculation.push_back(
      fmt::format("with its uncertainty: {}", print.uncertain(e.answer.value, e.answer.plus_minus)));
  if (e.moist < 0) {
    out.calculation.push_back(fmt::format("moist fill air may have lost up to {} to condensation: in the uncertainty",
                                          print.pressure(-e.moist)));
  }
  out.assumed.push_back(
      fmt::format("temperature of the air in it, {}: {}", print.temperature(e.air.celsius), whose(e.air.own)));
  if (e.ambient.plus_minus >= 3000) out.assumed.emplace_back("outside pressure now: the standard one at this altitude");
}

void TireModel::explain_normalized(const Surroundings& around, Explanation& out) const {
  if (!last_ || !last_->normalized) return;
  const TirePrinter print{{around}};
  const auto air = tire_air(around, last_->at);
  if (!air) {
    out.calculation.push_back(print.pressure(last_->pressure) + " as read; " + print.no_longer_kept(last_->at));
    return;
  }
  const Sample ambient = tire_ambient(around, last_->by_hand, last_->at);
  out.calculation.push_back(fmt::format("({} + {}) x {} K / {} - {} = {}", print.pressure(last_->pressure),
                                        print.pressure(ambient.value), normal_temperature.kelvin(),
                                        print.kelvin(air->celsius), print.pressure(standard_atmosphere.value),
                                        print.pressure(*last_->normalized)));
  out.assumed.push_back(fmt::format("temperature of the air in it: {}", whose(air->own)));
}

void TireModel::explain_gauge_pressure(const Surroundings& around, Explanation& out) const {
  if (!last_ || last_->by_hand) return;
  const auto reference = around.sealed_reference(index_of(TireQuantity::pressure));
  if (!reference) return;
  const TirePrinter print{{around}};
  const AbsolutePressure station(around.station_pressure_at(last_->at).value);
  const auto by_gauge = true_gauge(GaugePressure(last_->pressure), *reference, station);
  out.calculation.push_back(fmt::format("{} + {} - {} = {}", print.pressure(last_->pressure),
                                        print.pressure(reference->value), print.pressure(station.value),
                                        print.pressure(by_gauge.value)));
}

void TireModel::explain_time_until_minimum(const Surroundings& around, Explanation& out) const {
  const auto minimum = around.parameter(index_of(TireParameter::minimum_pressure));
  if (!minimum || !last_ || !last_->normalized) return;  // why it is unknown stands with it
  const TirePrinter print{{around}};
  const std::string at_normal = print.at_normal();
  const double above = *last_->normalized - *minimum;
  if (above <= 0) {
    out.calculation.push_back(fmt::format("{} at {} is not above the minimum of {}", print.pressure(*last_->normalized),
                                          at_normal, print.pressure(*minimum)));
    return;
  }
  const double loss = loss_per_second(around);
  if ((lost() && !line_by_hand_) || !(loss > 0)) return;
  out.calculation.push_back(fmt::format("({} at {} - {}) / {} = {:.1f} d, less the {:.1f} d since the reading",
                                        print.pressure(*last_->normalized), at_normal, print.pressure(*minimum),
                                        print.rate(loss), above / loss / 86400,
                                        to_seconds(around.now() - last_->at) / 86400));
  out.calculation.push_back(loss > seepage_per_second(told_line())
                                ? "it loses by seepage through the rubber and by its leak"
                                : "it loses by seepage through the rubber alone");
}

void TireModel::explain_leak(const Surroundings& around, Explanation& out) const {
  if (lost() && !line_by_hand_) return;  // its trend is that of before
  const TirePrinter print{{around}};
  if (!line_) {
    out.missing.emplace_back(
        changed_in_a_step()
            ? "a rate: its readings by hand lie on no line"
            : "a trend: nine days of readings, or three hand readings over two weeks, since the last act");
    return;
  }
  const TrendLine& line = *told_line();
  if (young_) {
    out.calculation.push_back(
        fmt::format("it lost less before {}: the rate is that of the days since", print.date(line.first)));
  }
  out.calculation.push_back(fmt::format("{} {} from {} to {}: slope {} ± {} (normalized to {})", line.count,
                                        line_by_hand_ ? "hand readings" : "daily values", print.date(line.first),
                                        print.date(line.last), print.rate(line.slope),
                                        print.rate(2 * line.standard_error), print.at_normal()));
  out.calculation.push_back(fmt::format("loss {} - seepage {} = {}", print.rate(-line.slope),
                                        print.rate(seepage_per_second(line)), print.rate(leak_per_second(line))));
  if (perhaps_more_ > 0) {
    out.calculation.push_back(
        fmt::format("of late it may lose {} more, and the ± of the rate covers that", print.rate(perhaps_more_)));
  }
  if (leaks_ && !line_by_hand_) explain_leaking(around, out);
}

// The ± of the rate says how far it may be off; the verdict asks whether the days as a whole show a loss.
void TireModel::explain_leaking(const Surroundings& around, Explanation& out) const {
  const TirePrinter print{{around}};
  const double seepage = seepage_per_second(line_);
  if (!tire_leaks(trend(), PressureDifference(std::max(0.0, seepage) * 7 * 86400))) {
    out.calculation.emplace_back(
        "the verdict stands since the leak was found: until it is filled, or the trend shows no loss beyond seepage");
  } else if (young_ || perhaps_more_ > 0) {
    out.calculation.push_back(fmt::format("the verdict goes by all {} days: {} ± {} beyond seepage", line_->count,
                                          print.rate(leak_per_second(*line_)), print.rate(2 * line_->standard_error)));
  }
}

void TireModel::explain_verdict(const Surroundings& around, Explanation& out) const {
  const TirePrinter print{{around}};
  if (!last_) {
    out.missing.emplace_back("a reading since the fill");
    return;
  }
  if (last_->residual) {
    out.calculation.push_back(fmt::format("at {} it lies {} {} what it should read, ± {}", print.at_normal(),
                                          print.pressure(std::abs(*last_->residual)),
                                          *last_->residual < 0 ? "below" : "above",
                                          print.pressure(in_quadrature(last_->plus_minus, last_->own_plus_minus))));
  } else {
    out.missing.emplace_back("what it should read");
  }
  if (lost()) out.calculation.push_back(fmt::format("it fell {} at once, seen twice", print.pressure(-jump_)));
  if (const auto minimum = around.parameter(index_of(TireParameter::minimum_pressure))) {
    out.calculation.push_back(fmt::format("{} read; minimum {} (meant at {})", print.pressure(last_->pressure),
                                          print.pressure(*minimum), print.at_normal()));
  }
  if (!last_->residual && GaugePressure(last_->pressure) < nearly_flat) {
    out.calculation.push_back(fmt::format("{} read is nearly flat: below {}, whatever it was filled to",
                                          print.pressure(last_->pressure), print.pressure(nearly_flat.value)));
  }
  if (line_) explain_leak(around, out);
}

void TireModel::explain_pressure_to_set(const Surroundings& around, Explanation& out) const {
  const TirePrinter print{{around}};
  const auto cold = around.parameter(index_of(TireParameter::cold_pressure));
  const auto air = tire_air(around, around.now());
  if (!cold) out.missing.emplace_back("cold_pressure");
  if (!air) out.missing.emplace_back("temperature of the tire, or of its place");
  if (!cold || !air) return;
  const AbsolutePressure station(around.station_pressure_at(around.now()).value);
  const auto to_set = overwinter::pressure_to_set(GaugePressure(*cold), Temperature(air->celsius), station);
  if (to_set) {
    out.calculation.push_back(fmt::format("({} + {}) x {} / {} K - {} = {}", print.pressure(*cold),
                                          print.pressure(standard_atmosphere.value), print.kelvin(air->celsius),
                                          normal_temperature.kelvin(), print.pressure(station.value),
                                          print.pressure(to_set->value)));
  }
  const auto maximum = around.parameter(index_of(TireParameter::maximum_pressure));
  if (!maximum) {
    out.missing.emplace_back("maximum_pressure (the sidewall's): mind it yourself");
  } else if (to_set && to_set->value > *maximum) {
    out.calculation.push_back(fmt::format("held to the sidewall's {}", print.pressure(*maximum)));
  }
  out.assumed.push_back(fmt::format("temperature of the air in it: {}", whose(air->own)));
}

}  // namespace overwinter
