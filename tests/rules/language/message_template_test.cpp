#include "rules/language/message_template.h"

#include <gtest/gtest.h>

#include "tests/rules/language/fake_scope.h"

namespace overwinter {
namespace {

constexpr double psi = 6894.757293168361;

class Template : public ::testing::Test {
 protected:
  Template() {
    context.name = "Left front tire";
    context.detail = "temperature, humidity";
    context.units = DisplayUnits::us;
    context.now = *parse_rfc3339("2026-12-24T12:00:00Z");
    set("pressure", 42.6 * psi);
    set("pressure.expected", 45.83 * psi);
    set("pressure.expected.plus_minus", 1.42 * psi);
    set("pressure.plus_minus", 1 * psi);
    set("temperature", -11);
    set("outdoors.temperature", -21);
    set("verdict", 3);
    set("dew_point", 2);
    set("dew_point.plus_minus", 0.5);
    set("filled.date", to_seconds(*parse_rfc3339("2026-12-19T00:00:00Z")));
  }

  void set(std::string_view name, double value) {
    readings.set(fake::compile_any(name, scope).value().references.at(0), Cell::of(value));
  }
  std::string told(std::string_view text) {
    const Result<MessageTemplate> message = compile_template(text, scope, fake::functions());
    if (!message) return "fault: " + message.error().text;
    std::vector<Window> windows(message->history_count());
    return render(*message, readings, windows, context);
  }
  Fault fault(std::string_view text) { return compile_template(text, scope, fake::functions()).error(); }

  FakeScope scope = fake::world();
  FakeReadings readings;
  RenderContext context;
};

TEST_F(Template, PlainTextStaysAsItIs) { EXPECT_EQ(told("Gauge it by hand."), "Gauge it by hand."); }

TEST_F(Template, NamesWhatItAppliesTo) {
  EXPECT_EQ(told("{name} is below what it should read"), "Left front tire is below what it should read");
  EXPECT_EQ(told("{ detail } silent"), "Temperature, humidity silent");
  EXPECT_EQ(told("Silent: {detail}"), "Silent: temperature, humidity");
}

TEST_F(Template, AMeasuredValuePrintsAlone) { EXPECT_EQ(told("{pressure}"), "42.6 psi"); }

TEST_F(Template, AnExpectedValuePrintsWithItsUncertainty) {
  EXPECT_EQ(told("{pressure}; {pressure.expected} expected."), "42.6 psi; 45.8 ± 1.5 psi expected.");
}

TEST_F(Template, AComputedValuePrintsWithItsUncertainty) {
  context.units = DisplayUnits::metric;
  EXPECT_EQ(told("{dew_point}"), "2.0 ± 0.5 °C");
}

TEST_F(Template, OnlyAQuantityAlonePrintsWithItsUncertainty) {
  EXPECT_EQ(told("{pressure.expected - 1 psi}"), "44.8 psi");
  EXPECT_EQ(told("{(pressure.expected)}"), "45.8 ± 1.5 psi");
}

TEST_F(Template, WithoutAKnownUncertaintyTheValuePrintsAlone) {
  readings.cells.clear();
  set("pressure.expected", 45.83 * psi);
  EXPECT_EQ(told("{pressure.expected}"), "45.8 psi");
}

TEST_F(Template, UnknownPrintsUnknown) { EXPECT_EQ(told("{voltage} and {mean(voltage, 1 d)}"), "unknown and unknown"); }

TEST_F(Template, ADifferencePrintsAsOne) { EXPECT_EQ(told("{temperature - outdoors.temperature}"), "18 °F"); }

TEST_F(Template, AUnitCanBeNamed) {
  EXPECT_EQ(told("{temperature in degC}"), "-11.0 °C");
  EXPECT_EQ(told("{pressure in kPa}"), "293.7 kPa");
  EXPECT_EQ(told("{ pressure   in kPa }"), "293.7 kPa");
}

TEST_F(Template, AnUncertaintyIsToldInTheUnitThatIsNamed) {
  EXPECT_EQ(told("{pressure.expected in psi}"), "45.8 ± 1.5 psi");
  EXPECT_EQ(told("{pressure.expected in kPa}"), "316 ± 10 kPa");
  EXPECT_EQ(told("{pressure.expected in bar}"), "3.16 ± 0.10 bar");
  EXPECT_EQ(told("{dew_point in degF}"), "35.6 ± 0.9 °F");
  EXPECT_EQ(told("{pressure.expected - 1 psi in psi}"), "44.8 psi");
}

TEST_F(Template, AnUncertaintyAloneIsRoundedUpAsBehindItsValue) {
  EXPECT_EQ(told("{pressure.expected.plus_minus}"), "1.5 psi");
  EXPECT_EQ(told("{(pressure.expected.plus_minus)}"), "1.5 psi");
  EXPECT_EQ(told("{pressure.expected.plus_minus in kPa}"), "10 kPa");
  EXPECT_EQ(told("{dew_point.plus_minus in degF_step}"), "0.9 °F");
  EXPECT_EQ(told("{dew_point.plus_minus}"), "0.9 °F");
  EXPECT_EQ(told("{2 * pressure.expected.plus_minus}"), "2.8 psi");  // a number like others
}

TEST_F(Template, DoubledBracesAreBraces) {
  EXPECT_EQ(told("{{x} {{name}} }"), "{x} {name} }");
  EXPECT_EQ(told("{{{name}}}"), "{Left front tire}");
}

TEST_F(Template, WordsAndDatesPrintForAPerson) {
  EXPECT_EQ(told("{verdict} since {filled.date}"), "sudden loss since Sat Dec 19");
  EXPECT_EQ(told("{verdict == \"low\"}"), "no");
}

TEST_F(Template, ABraceInAWordEndsNothing) {
  EXPECT_EQ(fault("{verdict == \"}\"}").text, "`}` is no word that can stand here");
}

TEST_F(Template, CountsTheHistoriesOfAllItsParts) {
  const MessageTemplate message =
      compile_template("{mean(voltage, 1 d)} {name} {lowest(voltage, 1 d) - highest(voltage, 1 d)}", scope,
                       fake::functions())
          .value();
  EXPECT_EQ(message.history_count(), 3U);
}

TEST_F(Template, WindowsGoToTheirParts) {
  const MessageTemplate message =
      compile_template("{mean(voltage, 1 h)} {highest(voltage, 1 h)}", scope, fake::functions()).value();
  std::vector<Window> windows(2);
  set("voltage", 12);
  render(message, readings, windows, context);
  context.now += 30 * one_minute;
  set("voltage", 13);
  EXPECT_EQ(render(message, readings, windows, context), "12.00 V 13.00 V");
}

TEST_F(Template, FaultsCountColumnsInTheWhole) {
  const Fault wrong = fault("Bei 5 °C: {temprature}");
  EXPECT_EQ(wrong.text, "there is no `temprature` here");
  EXPECT_EQ(wrong.where, (Place{"", 1, 12, 10}));
  EXPECT_EQ(wrong.hint, "did you mean `temperature`?");
}

TEST_F(Template, ABraceMustBeClosed) {
  const Fault wrong = fault("it is {temperature");
  EXPECT_EQ(wrong.text, "a `{` is not closed");
  EXPECT_EQ(wrong.where, (Place{"", 1, 7, 1}));
}

// SITE: all problems are reported together.
TEST_F(Template, EachFaultyBraceIsTold) {
  Faults others;
  constexpr std::string_view text = "{temperatur} {presure + humidty} {} {temperature in kg} {name} {pressure";
  const Result<MessageTemplate> message = compile_template(text, scope, fake::functions(), &others);
  ASSERT_FALSE(message);
  EXPECT_EQ(message.error().where, (Place{"", 1, 2, 10}));
  std::vector<std::uint32_t> columns;
  for (const Fault& other : others) columns.push_back(other.where.column);
  EXPECT_EQ(columns, (std::vector<std::uint32_t>{15, 25, 34, 53, 64}));
}

TEST_F(Template, AWordOfTemplatesIsSuggestedToo) {
  EXPECT_EQ(fault("{nam} is low").hint, "did you mean `name`?");
  EXPECT_EQ(fault("{detial}").hint, "did you mean `detail`?");
  EXPECT_EQ(fault("{temprature}").hint, "did you mean `temperature`?");
}

TEST_F(Template, ABraceMustNotBeEmpty) { EXPECT_EQ(fault("it is { }").text, "an empty brace"); }

TEST_F(Template, TheUnitMustFit) {
  EXPECT_EQ(fault("{temperature in K}").text, "a temperature cannot be shown in `K`");
  EXPECT_EQ(fault("{temperature in K}").where, (Place{"", 1, 17, 1}));
  EXPECT_EQ(fault("{pressure in V}").hint, "it can be shown in `psi`, `kPa`, `bar`");
  EXPECT_EQ(fault("{pressure in psy}").text, "`psy` is not a unit");
}

TEST_F(Template, InchIsWrittenOut) {
  EXPECT_EQ(fault("{5 ft in in}").hint, "the inch is `inch`");
  EXPECT_EQ(told("{5 ft in inch}"), "60 in");
}

TEST_F(Template, InStandsOnlyLast) {
  EXPECT_EQ(fault("{temperature in degC + 5 K}").text,
            "`in` stands only before the unit at the end of a brace in a message");
}

TEST_F(Template, CountsTheLeastOfItsFirstSentence) {
  const auto least = [this](std::string_view text) {
    return compile_template(text, scope, fake::functions()).value().least_of_first_sentence();
  };
  EXPECT_EQ(least(""), 0U);
  EXPECT_EQ(least("One. Two."), 4U);
  EXPECT_EQ(least("One.5 and two? Three!"), 14U);
  EXPECT_EQ(least("{name} is {pressure}. Pump."), 7U);  // each value as one
  EXPECT_EQ(least("−3 °F ± 1."), 10U);                  // code points
}

}  // namespace
}  // namespace overwinter
