// The present value of every slot: what conditions read. A slot that changed in the present step is `touched`; the
// engine works through the touched ones that something reads, and nothing else.
#pragma once

#include <cstdint>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "rules/engine/plan.h"
#include "rules/gear/model.h"
#include "rules/language/evaluator.h"

namespace overwinter {

enum class Quality : std::uint8_t { good, uncertain, bad };

struct SlotState {
  double value = 0;
  double plus_minus = 0;  // k = 2
  Instant at{};           // of the reading, or of the computation
  bool has_value = false;
  bool by_hand = false;
  Quality quality = Quality::good;
  const char* because = "no reading yet";            // why unknown or uncertain
  Expectation expected{0, 0, "no reading yet"};      // at the reading's own instant
  Expectation expected_now{0, 0, "no reading yet"};  // at this moment; kept for the conditions and texts that read it
  std::uint64_t touched_in = 0;                      // step

  bool known() const { return has_value && quality == Quality::good; }
};

class Board final : public Readings {
 public:
  // is_read: by slot, whether anything is to be done when it is touched.
  Board(const Plan& plan, std::vector<char> is_read);

  Cell read(Reference reference) const override;
  Instant arrived(std::uint32_t slot) const override {
    if (!fresh(slot)) return never;
    // What fell silent was known up to now, whenever it was read.
    return !slots_[slot].known() || slots_[slot].at == Instant{} ? now_ : slots_[slot].at;
  }

  // A reading of this slot (also an unknown that ended one) arrived in the present step.
  bool fresh(std::uint32_t slot) const { return slots_[slot].touched_in == step_; }
  const SlotState& operator[](std::uint32_t slot) const { return slots_[slot]; }
  std::uint32_t size() const { return static_cast<std::uint32_t>(slots_.size()); }

  void begin_step(Instant now) {
    now_ = now;
    ++step_;
    touched_.clear();
  }
  Instant now() const { return now_; }
  std::uint64_t step() const { return step_; }
  // Slots touched in this step that are read, in order of touching; grows while models run.
  const std::vector<std::uint32_t>& touched() const { return touched_; }

  // A reading: always touches. A computed value: touches when it changed.
  void set_reading(std::uint32_t slot, double value, double plus_minus, Instant at, bool by_hand);
  void set_computed(std::uint32_t slot, double value, double plus_minus);
  void set_unknown(std::uint32_t slot, const char* because);
  // Of another sensor nothing was read yet; for how much of the week it was known stays.
  void begin_anew(std::uint32_t slot, const char* because);
  void set_quality(std::uint32_t slot, Quality quality, const char* because);
  void set_expected(std::uint32_t slot, const Expectation& expected);
  void set_expected_now(std::uint32_t slot, const Expectation& expected) { slots_[slot].expected_now = expected; }
  void touch(std::uint32_t slot) {
    if (fresh(slot)) return;
    slots_[slot].touched_in = step_;
    if (is_read_[slot] != 0) touched_.push_back(slot);
  }

  // Share of the present week during which the slot was known; begin_week starts the count anew.
  void begin_week();
  Instant week_began() const { return week_began_; }
  double share_known(std::uint32_t slot) const;

  template <class A>
  void archive_slot(A& a, std::uint32_t slot);

 private:
  struct Known {
    Instant since{};  // of the present known stretch
    Span total{};     // of the ended ones
    bool known = false;
  };
  void count_known(std::uint32_t slot);
  // Static texts keep their address over a restart only by being owned here.
  const char* intern(const std::string& text) { return texts_.insert(text).first->c_str(); }
  template <class A>
  void archive_text(A& a, const char*& text);

  std::vector<SlotState> slots_;
  std::vector<Known> known_;
  std::vector<char> is_read_;
  std::vector<std::uint32_t> touched_;
  std::uint64_t step_ = 0;
  Instant now_{};
  Instant week_began_{};
  std::set<std::string> texts_;
};

template <class A>
void Board::archive_text(A& a, const char*& text) {
  std::string copy = text == nullptr ? "" : text;
  a(copy);
  if constexpr (A::reading) text = copy.empty() ? nullptr : intern(copy);
}

template <class A>
void Board::archive_slot(A& a, std::uint32_t slot) {
  SlotState& s = slots_[slot];
  Known& k = known_[slot];
  a(s.value, s.plus_minus, s.at, s.has_value, s.by_hand, s.quality);
  archive_text(a, s.because);
  for (Expectation* e : {&s.expected, &s.expected_now}) {
    a(e->value, e->plus_minus);
    archive_text(a, e->unknown_because);
  }
  a(k.since, k.total, k.known, week_began_);
  if constexpr (A::reading) {
    if (s.quality > Quality::bad) a.fail();
    if (s.because == nullptr) s.because = "no reading yet";
  }
}

}  // namespace overwinter
