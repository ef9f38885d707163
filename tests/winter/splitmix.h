// The winters' own random numbers: the same on every machine and library, unlike the standard distributions.
#pragma once

#include <cstdint>

namespace overwinter {

// SplitMix64: Steele, Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014.
class SplitMix {
 public:
  explicit SplitMix(std::uint64_t seed) : state_(seed) {}

  std::uint64_t next() {
    std::uint64_t z = (state_ += 0x9E3779B97F4A7C15U);
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31U);
  }
  // 0 <= u < 1
  double uniform() { return static_cast<double>(next() >> 11U) * 0x1p-53; }
  double between(double low, double high) { return low + (high - low) * uniform(); }
  // Mean 0, standard deviation 1, within +-3.47: the sum of four uniforms.
  double bell() { return (uniform() + uniform() + uniform() + uniform() - 2) * 1.7320508075688772; }

 private:
  std::uint64_t state_;
};

}  // namespace overwinter
