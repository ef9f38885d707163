#include "rules/gear/site.h"

#include <fmt/format.h>

#include "rules/gear/model.h"
#include "rules/gear/place.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

constexpr auto station_pressure = static_cast<std::uint8_t>(SiteQuantity::station_pressure);

// Follows the outdoors at each of its readings; once an hour besides, for a barometer that fell silent.
class SiteModel final : public Model {
 public:
  void update(Surroundings& around) override {
    const Sample pressure = around.station_pressure_at(around.now());
    around.set(station_pressure, pressure.value, pressure.plus_minus);
    wake_ = std::chrono::floor<std::chrono::hours>(around.now()) + one_hour;
  }

  void explain(const Surroundings& around, std::uint8_t quantity, Instant instant, Explanation& out) const override {
    if (quantity != station_pressure) return;
    const Sample pressure = around.station_pressure_at(instant);
    out.calculation.push_back(fmt::format("air pressure at {:.0f} m: {}", around.altitude(),
                                          print_with_uncertainty(pressure.value, pressure.plus_minus, Type::absolute(),
                                                                 Shown::by_dimension, around.display_units())));
    const auto has = [&](PlaceQuantity q) {
      return around.at(Surroundings::Whose::outdoors, index_of(q), instant).known;
    };
    const bool read = has(PlaceQuantity::station_pressure) || has(PlaceQuantity::sea_level_pressure);
    if (!read) out.assumed.emplace_back("standard pressure at the site's altitude (no barometer was read outdoors)");
  }

  Instant next_wake() const override { return wake_; }
  void save(ArchiveWriter& out) const override { out(wake_); }
  void load(ArchiveReader& in) override { in(wake_); }

 private:
  Instant wake_ = Instant{};
};

KindSpec make_kind() {
  KindSpec kind;
  kind.name = "site";
  kind.sources = {"US Standard Atmosphere 1976 (ISO 2533); ASHRAE Handbook Fundamentals 2017, chapter 1, eq. 3"};
  kind.text = "The installation as a whole.";
  kind.quantities = {{.name = "station_pressure",
                      .type = Type::absolute(),
                      .text = "Pressure of the air at the site: measured outdoors, or standard for its altitude."}};
  using enum InputSpec::Whose;
  kind.inputs = {{outdoors, "station_pressure"}, {outdoors, "sea_level_pressure"}};
  kind.make_model = [] { return std::unique_ptr<Model>(std::make_unique<SiteModel>()); };
  return kind;
}

}  // namespace

const KindSpec& site_kind() {
  static const KindSpec kind = make_kind();
  return kind;
}

}  // namespace overwinter
