// A door, hatch or vent that is to stand open (a refrigerator's, against mold) or shut (an entry door).
#include <cstdint>

#include "rules/gear/kinds.h"
#include "rules/gear/model.h"

namespace overwinter {
namespace {

enum Quantity : std::uint8_t { open, as_it_should_be };
enum Parameter : std::uint8_t { should_be };

constexpr std::string_view positions[] = {"open", "closed"};

class DoorOrVentModel final : public Model {
 public:
  void update(Surroundings& around) override {
    const auto wanted = around.parameter(should_be);
    const Measured now = around.measured(open);
    if (!wanted) return around.unset(as_it_should_be, "the site file does not say what it should_be");
    if (!now.known) return around.unset(as_it_should_be, "not known whether it is open");
    const bool wanted_open = *wanted == 0;
    around.set(as_it_should_be, (now.value != 0) == wanted_open ? 1 : 0);
  }

  void explain(const Surroundings& around, std::uint8_t quantity, Instant, Explanation& out) const override {
    if (quantity != as_it_should_be) return;
    const auto wanted = around.parameter(should_be);
    if (!wanted) {
      out.missing.emplace_back("should_be: not given");
    } else if (const Measured now = around.measured(open); !now.known) {
      out.missing.emplace_back("open: no reading");
    } else {
      out.calculation.push_back(std::string("it is ") + (now.value != 0 ? "open" : "closed") + " and should be " +
                                std::string(positions[*wanted == 0 ? 0 : 1]));
    }
  }

  void save(ArchiveWriter&) const override {}
  void load(ArchiveReader&) override {}
};

KindSpec make_kind() {
  KindSpec kind;
  kind.name = "door_or_vent";
  kind.text = "A door, hatch, cover or vent with a contact that tells whether it is open.";
  kind.quantities = {
      {.name = "open", .type = Type::boolean(), .measured = true, .text = "Whether it is open."},
      {.name = "as_it_should_be",
       .type = Type::boolean(),
       .text = "Whether it is as should_be wants it.",
       .rests_on = {"open"},
       .needs = {"should_be"}},
  };
  kind.parameters = {
      {.name = "should_be", .type = Type::word(positions), .text = "How it should stand over the winter."},
  };
  kind.make_model = [] { return std::unique_ptr<Model>(std::make_unique<DoorOrVentModel>()); };
  return kind;
}

}  // namespace

const KindSpec& door_or_vent_kind() {
  static const KindSpec kind = make_kind();
  return kind;
}

}  // namespace overwinter
