#include <algorithm>
#include <chrono>
#include <cstdint>
#include <string>

#include "rules/physics/catalog_row.h"
#include "rules/physics/electrolyte.h"
#include "rules/physics/gasoline.h"
#include "rules/physics/glycol.h"
#include "rules/physics/lead_acid_decline.h"
#include "rules/physics/lead_acid_recharge.h"
#include "rules/physics/lead_acid_state.h"
#include "rules/physics/propane.h"
#include "rules/physics/tire_age.h"
#include "rules/physics/tire_pressure.h"
#include "rules/physics/tire_seepage.h"
#include "rules/quantity/code.h"

namespace overwinter::catalog {
namespace {

constexpr std::string_view chemistries[] = {"flooded", "flooded_calcium", "agm", "gel"};

constexpr Type gauge_pressure = Type::gauge();
constexpr Type voltage = Type::number(dimension::voltage);
constexpr Type current = Type::number(dimension::current);
constexpr Type charge = Type::number(dimension::charge);
constexpr Type rate = Type::number(dimension::rate);

constexpr FunctionParameter of_temperature{"temperature", temperature};
constexpr FunctionParameter of_voltage{"voltage", voltage};
constexpr FunctionParameter chemistry{"chemistry", Type::word(chemistries)};
constexpr FunctionParameter capacity{"capacity", charge};
constexpr FunctionParameter load{"load", current};
constexpr FunctionParameter station_pressure{"station_pressure", absolute_pressure};
constexpr FunctionParameter volume_fraction{"volume_fraction", share, Shown::percent};
constexpr FunctionParameter from{"from", share, Shown::percent};
constexpr FunctionParameter to{"to", share, Shown::percent};

constexpr std::string_view propane_source =
    "Lemmon, McLinden and Wagner, J. Chem. Eng. Data 54 (2009) 3141, ancillary equations";
constexpr std::string_view tire_range = "-40..60 degC, 0..120 psi gauge, station pressure 50..110 kPa";

CallAnswer seepage(const double* values) { return answer(tire_seepage(Temperature(values[0]))); }

CallAnswer state_of_charge(const double* values) {
  return answer(lead_acid_state_of_charge(Voltage(values[0]), Temperature(values[1]), argument<LeadAcid>(values[2])));
}

CallAnswer age_by_date_code(const double* values) {
  if (!(values[1] >= 0 && values[1] < 7.3e9)) return {0, "the date is outside 1970..2200"};
  const std::chrono::sys_seconds day{std::chrono::seconds(static_cast<std::int64_t>(values[1]))};
  return answer(date_code_age(digits_of_code(values[0]), std::chrono::floor<std::chrono::days>(day)));
}

constexpr Function mechanical_rows[] = {
    row("tire_pressure",
        {{"fill_pressure", gauge_pressure},
         {"fill_temperature", temperature},
         of_temperature,
         {"fill_station_pressure", absolute_pressure},
         station_pressure},
        gauge_pressure, Shown::tire_pressure, calls<tire_pressure>, tire_range, "ideal gas law at constant volume"),
    row("normalized_pressure", {{"pressure", gauge_pressure}, of_temperature, station_pressure}, gauge_pressure,
        Shown::tire_pressure, calls<normalized_pressure>,
        "-40..60 degC, -52..1000 kPa gauge, station pressure 50..110 kPa; at 20 degC and 101.325 kPa",
        "ideal gas law at constant volume; ISO 2533"),
    row("tire_seepage", {of_temperature}, rate, Shown::by_dimension, seepage, "-40..60 degC; within a factor of 2",
        "Arrhenius, 1.5 % a month at 70 degF and 45 kJ/mol: Tire Science and Technology 13 (1985), abstract"),
    row("date_code_age", {{"code", Type::code()}, {"date", Type::instant()}}, duration, Shown::by_dimension,
        age_by_date_code, "four digits, week 01..53 and year since 2000", "49 CFR 574.5"),
    row("lead_acid_voltage_at_25_degC", {of_voltage, of_temperature}, voltage, Shown::by_dimension,
        calls<lead_acid_voltage_at_25_degC>, "0..16 V, -40..50 degC; six cells",
        "Harned and Hamer 1935 (from memory): 0.2 mV/K a cell"),
    row("lead_acid_state_of_charge", {of_voltage, of_temperature, chemistry}, share, Shown::percent, state_of_charge,
        "1..12.9 V rested, -40..50 degC; six cells",
        "trade table FL1265 (flooded), Concorde (AGM), common practice (gel)"),
    row("lead_acid_specific_gravity", {of_voltage, of_temperature}, share, Shown::plain,
        calls<lead_acid_specific_gravity>, "1..12.9 V rested, -40..50 degC; six cells, at 25 degC",
        "V/6 - 0.845, battery handbooks (from memory)"),
    row("electrolyte_freezing_point", {{"specific_gravity", share}}, temperature, Shown::by_dimension,
        calls<electrolyte_freezing_point>, "1.000..1.320 at 25 degC",
        "US Army TM 5-1185, table III; a vehicle maker's manual"),
    row("lead_acid_self_discharge", {of_temperature, chemistry}, rate, Shown::by_dimension,
        calls<lead_acid_self_discharge>, "-40..50 degC; within a factor of 2",
        "makers' monthly losses at 25 degC, doubling each 10 K (a VRLA maker's storage times)"),
    row("lead_acid_time", {of_temperature, chemistry, capacity, load, from, to}, duration, Shown::by_dimension,
        calls<lead_acid_time>, "-40..50 degC, nominal capacity above 0, load 0..100 A, 1 >= from >= to >= 0",
        "self-discharge and steady load, integrated"),
    row("lead_acid_capacity_factor", {of_temperature}, share, Shown::plain, calls<lead_acid_capacity_factor>,
        "-25..40 degC, slow discharge", "IEC 60896 (from memory): 0.006 per kelvin"),
    row("charge_voltage",
        {{"voltage_at_25_degC", voltage}, of_temperature, {"coefficient", Type::number(dimension::voltage_per_kelvin)}},
        voltage, Shown::by_dimension, calls<charge_voltage>,
        "-40..50 degC, 12..16 V, coefficient a cell -10..0 mV/K; six cells, no cap",
        "linear temperature compensation, makers' manuals (Trojan -5 mV/K)"),
    row("charge_time", {capacity, from, to, {"current", current}, load, {"efficiency", share, Shown::percent}},
        duration, Shown::by_dimension, calls<charge_time>, "efficiency 0.5..1, from below to; nominal capacity",
        "common practice, no source: constant current, taper from 80 % above C/10"),
    row("propane_vapor_pressure", {t}, absolute_pressure, Shown::by_dimension, calls<propane_vapor_pressure>,
        "-50..60 degC, pure propane", propane_source),
    row("propane_gauge_pressure", {t, station_pressure}, gauge_pressure, Shown::by_dimension,
        calls<propane_gauge_pressure>, "-50..60 degC, 50..110 kPa, pure propane", propane_source),
    row("propane_liquid_density", {t}, density, Shown::by_dimension, calls<propane_liquid_density>,
        "-50..60 degC, saturated", propane_source),
    row("propane_vapor_density", {t}, density, Shown::by_dimension, calls<propane_vapor_density>,
        "-50..60 degC, saturated", propane_source),
    row("propane_liquid_full", {{"liquid_fraction", share, Shown::percent}, t}, temperature, Shown::by_dimension,
        calls<propane_liquid_full>, "-50..60 degC; answers up to 90 degC", "mass balance in a rigid cylinder"),
    row("gasoline_vapor_pressure", {{"rvp", absolute_pressure}, t}, absolute_pressure, Shown::by_dimension,
        calls<gasoline_vapor_pressure>, "Reid vapor pressure 7..15 psi, -20..100 degF",
        "EPA AP-42, chapter 7.1, figure 7.1-13a, slope 3 (from memory)"),
    row("glycol_freezing_point", {volume_fraction}, temperature, Shown::by_dimension, calls<glycol_freezing_point>,
        "0..59 % propylene glycol by volume", "Melinder 2010, polynomial in the mass fraction"),
    row("glycol_burst_point", {volume_fraction}, temperature, Shown::by_dimension, calls<glycol_burst_point>,
        "0..60 % propylene glycol by volume", "Dow engineering guide (from memory)"),
};

}  // namespace

FunctionTable mechanical_functions() { return mechanical_rows; }

}  // namespace overwinter::catalog
