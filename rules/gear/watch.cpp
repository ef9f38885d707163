#include "rules/gear/watch.h"

namespace overwinter {

const std::array<QuantitySpec, watch_count>& watch_quantities() {
  static const std::array<QuantitySpec, watch_count> quantities{{
      {.name = "sensor_is_silent",
       .type = Type::boolean(),
       .text = "A bound sensor has been silent for its stale_after, and no silent gateway explains it."},
      {.name = "sensor_is_stuck",
       .type = Type::boolean(),
       .text = "A number repeats exactly while what it should follow has moved."},
      {.name = "readings_jumped",
       .type = Type::boolean(),
       .text = "Of a gateway or a place: several pieces of gear of one kind jumped together."},
      {.name = "gateway_is_silent",
       .type = Type::boolean(),
       .text = "Of a gateway: offline, or half or more of its sensors fell silent together."},
      {.name = "journal_is_unwritable",
       .type = Type::boolean(),
       .text = "Of the site: the journal could not be written."},
  }};
  return quantities;
}

}  // namespace overwinter
