// The radio or bridge that sensors come through. The engine counts its silent sensors and finds whether it is silent
// itself; there is nothing to compute from its readings.
#include "rules/gear/kinds.h"
#include "rules/gear/model.h"

namespace overwinter {
namespace {

class GatewayModel final : public Model {
 public:
  void update(Surroundings&) override {}
  void save(ArchiveWriter&) const override {}
  void load(ArchiveReader&) override {}
};

KindSpec make_kind() {
  KindSpec kind;
  kind.name = "gateway";
  kind.text = "A radio, bridge or logger that other sensors come through (their key `via` names it).";
  kind.quantities = {
      {.name = "online", .type = Type::boolean(), .measured = true, .text = "Whether it tells that it is online."},
      {.name = "silent_sensors",
       .type = Type::share(),
       .shown = Shown::plain,
       .text = "How many of the sensors that come through it are silent."},
  };
  kind.make_model = [] { return std::unique_ptr<Model>(std::make_unique<GatewayModel>()); };
  return kind;
}

}  // namespace

const KindSpec& gateway_kind() {
  static const KindSpec kind = make_kind();
  return kind;
}

}  // namespace overwinter
