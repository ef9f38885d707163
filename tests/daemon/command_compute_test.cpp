// overwinter compute against tests/conformance/functions.txt, whose head tells the format.
#include "daemon/command_compute.h"

#include <gtest/gtest.h>

#include <charconv>
#include <fstream>
#include <set>
#include <sstream>

#include "rules/physics/catalog.h"
#include "tests/places.h"

namespace overwinter {
namespace {

struct Computed {
  int code = 0;
  std::string out, err;
};

Computed told(std::string_view expression, std::string_view unit) {
  std::ostringstream out, err;
  ComputeOptions options;
  options.expression = expression;
  options.in = unit;
  const int code = compute(options, Console{out, err});
  return {code, out.str(), err.str()};
}

double number(std::string_view text) {
  double value = 0;
  const auto end = std::from_chars(text.data(), text.data() + text.size(), value).ptr;
  EXPECT_EQ(end, text.data() + text.size()) << text;
  return value;
}

// The parts before and after the last `mark`.
std::pair<std::string_view, std::string_view> split(std::string_view text, std::string_view mark) {
  const std::size_t at = text.rfind(mark);
  if (at == std::string_view::npos) return {text, {}};
  return {text.substr(0, at), text.substr(at + mark.size())};
}

void check_number(std::string_view line) {
  const auto [question, answer] = split(line, " = ");
  const auto [expression, unit] = split(question, " in ");
  const auto [wanted, tolerance] = split(answer, " within ");
  const Computed is = told(expression, unit);
  ASSERT_EQ(is.code, exit_done) << is.err;
  EXPECT_EQ(is.err, "");
  ASSERT_TRUE(is.out.ends_with('\n'));
  EXPECT_NEAR(number(std::string_view(is.out).substr(0, is.out.size() - 1)), number(wanted), number(tolerance));
}

void check_refusal(std::string_view line) {
  const auto [question, answer] = split(line, " ! ");
  const auto [expression, unit] = split(question, " in ");
  const Computed is = told(expression, unit);
  EXPECT_EQ(is.code, number(answer.substr(0, 1)));
  EXPECT_EQ(is.out, "");
  EXPECT_NE(is.err.find(answer.substr(2)), std::string::npos) << is.err;
}

TEST(Compute, AnswersAsTheConformanceCasesSay) {
  std::ifstream file(places::repository() / "tests/conformance/functions.txt");
  ASSERT_TRUE(file);
  std::multiset<std::string> called;
  int line_number = 0;
  for (std::string line; std::getline(file, line);) {
    ++line_number;
    if (line.empty() || line.front() == '#') continue;
    SCOPED_TRACE("functions.txt:" + std::to_string(line_number) + ": " + line);
    if (line.find(" ! ") != std::string::npos) {
      check_refusal(line);
    } else {
      called.insert(line.substr(0, line.find('(')));
      check_number(line);
    }
  }
  for (const Function& function : physics_functions()) {
    EXPECT_GE(called.count(std::string(function.name)), 2U) << function.name << " is hardly tested";
  }
}

TEST(Compute, PrintsAtLeastSevenSignificantDigits) {
  EXPECT_EQ(told("1 psi", "psi").out, "1.000000\n");
  EXPECT_EQ(told("1 psi", "Pa").out, "6894.75729317\n");
  EXPECT_EQ(told("0.00125", "1").out, "0.001250000\n");
}

TEST(Compute, NamesTheUnitsOfTheAnswerBesideAWrongOne) {
  const Computed is = told("3 K", "degf_step");
  EXPECT_EQ(is.code, exit_usage);
  EXPECT_EQ(
      is.err,
      "error: `degf_step` is not a unit\n"
      "hint: did you mean `degF_step`? the answer is a temperature difference: `K`, `degC_step` or `degF_step`\n");
  EXPECT_EQ(told("3 K +", "foo").code, exit_usage);
}

TEST(Compute, TellsAPersonNumberAndUnit) {
  EXPECT_EQ(told("dew_point(21 degC, 55 %)", "").out, "11.6 °C\n");
  EXPECT_EQ(told("1 psi < 2 psi", "").out, "yes\n");
  EXPECT_EQ(told("2026-10-24", "").out, "2026-10-24T00:00:00Z\n");
}

// Factors: NIST SP 811 (2008), appendix B.
TEST(Compute, PrintsNoZeroForWhatIsSmall) {
  EXPECT_EQ(told("3 g", "").out, "0.00300 kg\n");
  EXPECT_EQ(told("1 J", "").out, "0.000278 Wh\n");
  EXPECT_EQ(told("1 J / 1000000", "").out, "2.78e-10 Wh\n");
  EXPECT_EQ(told("1 psf", "").out, "0.0479 kPa\n");
  EXPECT_EQ(told("135 min", "").out, "2.25 h\n");
  EXPECT_EQ(told("23 d", "").out, "23 d\n");
  EXPECT_EQ(told("-7 mm", "").out, "-0.700 cm\n");
  EXPECT_EQ(told("0 kg", "").out, "0.0 kg\n");
  EXPECT_EQ(told("0.04 degC", "").out, "0.0 °C\n");  // its zero is no origin
  EXPECT_EQ(told("1 psi/degF_step", "").out, "12.4 kPa/K\n");
}

TEST(Compute, NeverConvertsBetweenGaugeAndAbsolute) {
  EXPECT_EQ(told("absolute(0 psi)", "kPa").out, "101.3250\n");
  EXPECT_EQ(told("gauge(101.325 kPa)", "kPa").out, "0.000000\n");
}

}  // namespace
}  // namespace overwinter
