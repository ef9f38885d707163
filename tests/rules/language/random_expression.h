// Random expressions for properties: well-formed text over the names of the fake world, and random text over the
// language's alphabet.
#pragma once

#include <rapidcheck.h>

#include <string>
#include <vector>

namespace overwinter {

inline std::string random_leaf() {
  static const std::vector<std::string> leaves = {"temperature",
                                                  "pressure",
                                                  "humidity",
                                                  "voltage",
                                                  "door_open",
                                                  "verdict",
                                                  "outdoors.temperature",
                                                  "dew_point",
                                                  "pressure.expected",
                                                  "pressure.deviation",
                                                  "temperature.since_read",
                                                  "temperature.at",
                                                  "now",
                                                  "true",
                                                  "false",
                                                  "3 psi",
                                                  "-18 degC",
                                                  "5 K",
                                                  "60 %",
                                                  "0.5",
                                                  "12 V",
                                                  "7 d",
                                                  "2026-10-24",
                                                  "\"leaking\"",
                                                  "margin",
                                                  "minimum_pressure",
                                                  "0",
                                                  "1e3",
                                                  "0.05 1/d"};
  return *rc::gen::elementOf(leaves);
}

// Every operand in brackets where the grammar may need them.
inline std::string random_expression(int depth) {
  if (depth == 0 || *rc::gen::inRange(0, 5) == 0) return random_leaf();
  const auto sub = [depth] { return random_expression(depth - 1); };
  static const std::vector<std::string> operators = {"+", "-", "*", "/", "<", "<=", ">", ">=", "==", "!=", "and", "or"};
  static const std::vector<std::string> histories = {"mean",  "lowest",     "highest", "change",
                                                     "slope", "time_share", "held_for"};
  switch (*rc::gen::inRange(0, 9)) {
    case 0:
      return "not (" + sub() + ")";
    case 1:
      return "-(" + sub() + ")";
    case 2:
      return "if " + sub() + " then " + sub() + " else " + sub();
    case 3:
      return *rc::gen::elementOf(histories) + "(" + sub() + ", 2 h)";
    case 4:
      return "min(" + sub() + ", " + sub() + ")";
    case 5:
      return "first_known(" + sub() + ", " + sub() + ")";
    case 6:
      return "abs(" + sub() + ")";
    default:
      return "(" + sub() + ") " + *rc::gen::elementOf(operators) + " (" + sub() + ")";
  }
}

// What passes the checker more often: a boolean over comparisons of numbers of one type.
inline std::string random_condition(int depth) {
  if (depth > 0 && *rc::gen::inRange(0, 3) != 0) {
    static const std::vector<std::string> joins = {" and ", " or ", " == "};
    if (*rc::gen::inRange(0, 4) == 0) return "(not " + random_condition(depth - 1) + ")";
    if (*rc::gen::inRange(0, 4) == 0) return "held_for(" + random_condition(depth - 1) + ", 90 min)";
    return "(" + random_condition(depth - 1) + *rc::gen::elementOf(joins) + random_condition(depth - 1) + ")";
  }
  static const std::vector<std::string> comparisons = {
      "(temperature > 5 degC)",
      "door_open",
      "(mean(temperature, 2 h) < outdoors.temperature)",
      "(verdict == \"leaking\")",
      "(slope(voltage, 1 d) < -0.01 V/d)",
      "(pressure.deviation < -max(margin, pressure.expected.plus_minus))",
      "known(voltage)",
      "(time_share(door_open, 3 h) > 50 %)",
      "(change(pressure, 1 d) / voltage * 1 V > 1 psi)",
      "(now - temperature.at > 3 h)",
      "(if door_open then humidity > 60 % else shore_power)",
      "(first_known(voltage, 12 V) >= 12.2 V)",
      "(reciprocal(humidity) > 2)"};
  return *rc::gen::elementOf(comparisons);
}

inline std::string random_text() {
  static const std::vector<std::string> pieces = {
      "(", ")",           "+",    "-",    "*",          "/",   "<",   ">", "=",   "==",  "!=",   " ",   ".",
      ",", "\"",          "if",   "then", "else",       "and", "not", "5", "0.5", "psi", "degC", "1/",  "°",
      "%", "temperature", "mean", "in",   "2026-10-24", "T",   "e",   "{", "}",   "\t",  "³",    "\xff"};
  std::string text;
  for (int i = *rc::gen::inRange(0, 20); i > 0; --i) text += *rc::gen::elementOf(pieces);
  return text;
}

}  // namespace overwinter
