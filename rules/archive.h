// Plain binary state for snapshots: one visitor writes it and reads it back, so the two cannot drift apart.
// A type takes part by a member `template <class A> void archive(A& a) { a(x, y, z); }`.
// Little-endian, fixed widths. Reading never trusts the bytes: past the end, a hostile count, or an instant of another
// age turns `ok` off and leaves the rest at zero.
#pragma once

#include <array>
#include <bit>
#include <chrono>
#include <cstdint>
#include <cstring>
#include <deque>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

namespace overwinter {

// The layout of what is archived. A type that gains a member reads it where `a.layout()` says that it was written, and
// present_layout goes up by one: a service that was updated goes on with what the one before it kept.
inline constexpr std::uint32_t oldest_layout = 8, present_layout = 9;

class ArchiveWriter {
 public:
  static constexpr bool reading = false;
  static constexpr std::uint32_t layout() { return present_layout; }

  template <class... T>
  void operator()(const T&... values) {
    (put(values), ...);
  }
  std::string take() { return std::move(bytes_); }

 private:
  void raw(std::uint64_t bits, unsigned width) {
    for (unsigned i = 0; i < width; ++i) bytes_.push_back(static_cast<char>((bits >> (8 * i)) & 0xFFU));
  }
  template <class T>
  void put(const T& v) {
    if constexpr (std::is_same_v<T, double>) {
      raw(std::bit_cast<std::uint64_t>(v), 8);
    } else if constexpr (std::is_enum_v<T> || std::is_integral_v<T>) {
      raw(static_cast<std::uint64_t>(v), sizeof(T));
    } else {
      const_cast<T&>(v).archive(*this);  // the visitor is one function for both directions
    }
  }
  template <class Rep, class Period>
  void put(const std::chrono::duration<Rep, Period>& v) {
    put(v.count());
  }
  void put(const std::chrono::sys_time<std::chrono::milliseconds>& v) { put(v.time_since_epoch().count()); }
  void put(const std::string& v) {
    put(static_cast<std::uint32_t>(v.size()));
    bytes_ += v;
  }
  template <class T>
  void put(const std::optional<T>& v) {
    put(v.has_value());
    if (v) put(*v);
  }
  template <class A, class B>
  void put(const std::pair<A, B>& v) {
    put(v.first);
    put(v.second);
  }
  template <class T>
  void put(const std::vector<T>& v) {
    put_range(v);
  }
  template <class T>
  void put(const std::deque<T>& v) {
    put_range(v);
  }
  template <class K, class V, class C>
  void put(const std::map<K, V, C>& v) {
    put_range(v);
  }
  template <class T, std::size_t N>
  void put(const std::array<T, N>& v) {
    for (const T& x : v) put(x);
  }
  template <class R>
  void put_range(const R& v) {
    put(static_cast<std::uint32_t>(v.size()));
    for (const auto& x : v) put(x);
  }

  std::string bytes_;
};

class ArchiveReader {
 public:
  static constexpr bool reading = true;

  explicit ArchiveReader(std::string_view bytes, std::uint32_t layout = present_layout)
      : rest_(bytes), layout_(layout) {}

  template <class... T>
  void operator()(T&... values) {
    (get(values), ...);
  }
  std::uint32_t layout() const { return layout_; }
  bool ok() const { return ok_; }
  bool finished() const { return ok_ && rest_.empty(); }
  void fail() {
    ok_ = false;
    rest_ = {};
  }

 private:
  using Instant = std::chrono::sys_time<std::chrono::milliseconds>;

  std::uint64_t raw(unsigned width) {
    if (rest_.size() < width) {
      fail();
      return 0;
    }
    std::uint64_t bits = 0;
    for (unsigned i = 0; i < width; ++i) bits |= std::uint64_t{static_cast<unsigned char>(rest_[i])} << (8 * i);
    rest_.remove_prefix(width);
    return bits;
  }
  template <class T>
  void get(T& v) {
    if constexpr (std::is_same_v<T, double>) {
      v = std::bit_cast<double>(raw(8));
    } else if constexpr (std::is_same_v<T, bool>) {
      v = (raw(1) & 1U) != 0;
    } else if constexpr (std::is_enum_v<T> || std::is_integral_v<T>) {
      v = static_cast<T>(raw(sizeof(T)));
    } else {
      v.archive(*this);
    }
  }
  template <class Rep, class Period>
  void get(std::chrono::duration<Rep, Period>& v) {
    Rep count{};
    get(count);
    v = std::chrono::duration<Rep, Period>(count);
  }
  // Calendars and sums of instants are sound only for those that can have been written.
  void get(Instant& v) {
    Instant::duration since_1970{};
    get(since_1970);
    v = Instant(since_1970);
    if (v != Instant::max() && (v < earliest || v > latest)) {
      v = Instant{};
      fail();
    }
  }
  void get(std::string& v) {
    const std::uint32_t n = count(1);
    v.assign(rest_.substr(0, n));
    rest_.remove_prefix(n);
  }
  template <class T>
  void get(std::optional<T>& v) {
    bool present = false;
    get(present);
    v.reset();
    if (!present) return;
    T value{};  // clang 16 takes a nested struct with default members for no argument of emplace()
    get(value);
    v = std::move(value);
  }
  template <class A, class B>
  void get(std::pair<A, B>& v) {
    get(v.first);
    get(v.second);
  }
  template <class T>
  void get(std::vector<T>& v) {
    get_sequence(v);
  }
  template <class T>
  void get(std::deque<T>& v) {
    get_sequence(v);
  }
  template <class T, std::size_t N>
  void get(std::array<T, N>& v) {
    for (T& x : v) get(x);
  }
  template <class K, class V, class C>
  void get(std::map<K, V, C>& v) {
    v.clear();
    for (std::uint32_t n = count(2); n > 0 && ok_; --n) {
      std::pair<K, V> entry;
      get(entry);
      v.insert(std::move(entry));
    }
  }
  template <class S>
  void get_sequence(S& v) {
    v.clear();
    for (std::uint32_t n = count(1); n > 0 && ok_; --n) get(v.emplace_back());
  }
  // A count of elements of at least `width` bytes each: more than the rest can hold is hostile.
  std::uint32_t count(std::size_t width) {
    std::uint32_t n = 0;
    get(n);
    if (n > rest_.size() / width) {
      fail();
      return 0;
    }
    return n;
  }

  static constexpr Instant earliest = std::chrono::sys_days(std::chrono::year(1900) / 1 / 1);
  static constexpr Instant latest = std::chrono::sys_days(std::chrono::year(3000) / 1 / 1);

  std::string_view rest_;
  std::uint32_t layout_;
  bool ok_ = true;
};

}  // namespace overwinter
