// What a physics function answers: a value, or no value with the reason in words.
// Physics never clamps in silence and never returns NaN; outside a model's range there is no value.
#pragma once

#include <tl/expected.hpp>

namespace overwinter {

// Why there is no value: a static sentence without a full stop, for a person
// ("no frost point above the triple point: the air holds more than 611.7 Pa of vapor").
struct NoValue {
  const char* reason;
};

template <class T>
class [[nodiscard]] Outcome : public tl::expected<T, NoValue> {
 public:
  using tl::expected<T, NoValue>::expected;
};

inline tl::unexpected<NoValue> no_value(const char* reason) { return tl::unexpected<NoValue>(NoValue{reason}); }

}  // namespace overwinter
