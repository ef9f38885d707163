// A number that tells whether something is the same as before: FNV-1a, 64 bit (Fowler, Noll, Vo).
#pragma once

#include <bit>
#include <cstdint>
#include <string_view>

namespace overwinter {

class Fingerprint {
 public:
  Fingerprint& add(std::string_view text) {
    for (const char c : text) add_byte(static_cast<unsigned char>(c));
    add_byte(0);  // where one text ends
    return *this;
  }
  Fingerprint& add(std::uint64_t number) {
    for (int i = 0; i < 8; ++i) add_byte(static_cast<unsigned char>(number >> (8 * i)));
    return *this;
  }
  Fingerprint& add(double number) { return add(std::bit_cast<std::uint64_t>(number)); }
  std::uint64_t value() const { return hash_; }

 private:
  void add_byte(unsigned char byte) { hash_ = (hash_ ^ byte) * 0x100000001b3U; }

  std::uint64_t hash_ = 0xcbf29ce484222325U;
};

}  // namespace overwinter
