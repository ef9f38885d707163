// Things that age by the calendar: gas and carbon monoxide detectors, extinguishers, water filters, anodes, papers.
// Detectors are replaced by the date on them, counted from when they were made; their makers' dates come first.
#include <algorithm>
#include <cstdint>
#include <optional>

#include "rules/gear/kinds.h"
#include "rules/gear/model.h"

namespace overwinter {
namespace {

enum Quantity : std::uint8_t { age, time_until_replacement, time_until_test };
enum Parameter : std::uint8_t { made_date, installed_date, tested_date, replace_after, test_every };
enum Act : std::uint8_t { replaced, tested };

constexpr double longest = 1200 * to_seconds(one_month);  // a hundred years

// Ages are told again at each local midnight.
class DatedItemModel final : public Model {
 public:
  void update(Surroundings& around) override {
    wake_ = next_local(around.now(), std::chrono::milliseconds(0), around.zone());
    const auto begin = began(around);
    if (is_to_come(around, begin)) {
      for (const Quantity quantity : {age, time_until_replacement, time_until_test}) {
        around.unset(quantity, "the date when it was made or installed lies in the future");
      }
      return;
    }
    tell(around, age, begin ? std::optional(std::max(0.0, to_seconds(around.now()) - *begin)) : std::nullopt);
    tell(around, time_until_replacement, left(around, begin, around.parameter(replace_after)));
    auto test = around.parameter(tested_date);
    if (is_to_come(around, test)) test.reset();
    const auto since = std::max(test, begin);  // a test from before was of the item that went
    tell(around, time_until_test, left(around, since, around.parameter(test_every)));
  }

  // From then on the dates of the site file that lie before belong to the item that went.
  void act(Surroundings&, std::uint8_t act, Instant at) override {
    if (act == replaced) replaced_at_ = std::max(replaced_at_.value_or(to_seconds(at)), to_seconds(at));
  }

  void explain(const Surroundings& around, std::uint8_t quantity, Instant, Explanation& out) const override {
    if (!began(around)) out.missing.emplace_back("made or installed: no date given");
    if (quantity == time_until_replacement && !around.parameter(replace_after)) {
      out.missing.emplace_back("replace_after: not given");
    }
    if (quantity == time_until_test && !around.parameter(test_every)) out.missing.emplace_back("test_every: not given");
  }

  Instant next_wake() const override { return wake_; }
  void save(ArchiveWriter& out) const override { out(replaced_at_, wake_); }
  void load(ArchiveReader& in) override { in(replaced_at_, wake_); }

 private:
  // When the present item began to age: made before installed, for shelves age a detector too.
  std::optional<double> began(const Surroundings& around) const {
    auto begin = around.parameter(made_date);
    if (!begin) begin = around.parameter(installed_date);
    if (replaced_at_) begin = std::max(begin.value_or(*replaced_at_), *replaced_at_);
    return begin;
  }
  static bool is_to_come(const Surroundings& around, std::optional<double> date) {
    return date && lies_ahead(instant_from_seconds(*date), around.now());
  }
  // By the calendar, as the date on a label: made on a 20th, due on a 20th.
  static std::optional<double> left(const Surroundings& around, std::optional<double> since,
                                    std::optional<double> span) {
    if (!since || !span) return std::nullopt;
    return to_seconds(later_by_calendar(instant_from_seconds(*since), span_from_seconds(*span), around.zone()) -
                      around.now());
  }
  static void tell(Surroundings& around, std::uint8_t quantity, std::optional<double> value) {
    if (value) {
      around.set(quantity, *value);
    } else {
      around.unset(quantity, "the site file gives no date or no interval for it");
    }
  }

  std::optional<double> replaced_at_;  // s since 1970
  Instant wake_ = Instant{};
};

KindSpec make_kind() {
  const Type duration = Type::duration();
  const std::vector<std::string_view> began{"made.date", "installed.date"};
  const std::vector<std::string_view> began_or_tested{"made.date", "installed.date", "tested.date"};
  KindSpec kind;
  kind.name = "dated_item";
  kind.text = "Something that ages by the calendar: a detector, an extinguisher, a filter, an anode, a registration.";
  kind.quantities = {
      {.name = "age",
       .type = duration,
       .text = "Time since it was made, else since it was installed.",
       .needs_one_of = began},
      {.name = "time_until_replacement",
       .type = duration,
       .text = "Until replace_after has passed; negative: overdue.",
       .needs = {"replace_after"},
       .needs_one_of = began},
      {.name = "time_until_test",
       .type = duration,
       .text = "Until test_every has passed since the last test, or since it began to age; negative: overdue.",
       .needs = {"test_every"},
       .needs_one_of = began_or_tested},
  };
  kind.parameters = {
      {.name = "made.date", .type = Type::instant(), .text = "When it was made, by its label."},
      {.name = "installed.date", .type = Type::instant(), .text = "When it was installed, where made is not known."},
      {.name = "tested.date", .type = Type::instant(), .text = "When it was last tested."},
      {.name = "replace_after",
       .type = duration,
       .text = "How long it lasts, by its maker: gas and CO detectors 5 to 10 years.",
       .minimum = to_seconds(one_day),
       .maximum = longest},
      {.name = "test_every",
       .type = duration,
       .text = "How often it wants a test, by its maker.",
       .minimum = to_seconds(one_day),
       .maximum = longest,
       .needs_one_of = began_or_tested},
  };
  kind.acts = {
      {.name = "replaced", .values = {}, .dated = "installed.date", .done = "replaced"},
      {.name = "tested", .values = {}, .dated = "tested.date", .done = "tested"},
  };
  kind.make_model = [] { return std::unique_ptr<Model>(std::make_unique<DatedItemModel>()); };
  return kind;
}

}  // namespace

const KindSpec& dated_item_kind() {
  static const KindSpec kind = make_kind();
  return kind;
}

}  // namespace overwinter
