#include "rules/engine/board.h"

#include <algorithm>
#include <utility>

namespace overwinter {

Board::Board(const Plan& plan, std::vector<char> is_read)
    : slots_(plan.slots.size()), known_(plan.slots.size()), is_read_(std::move(is_read)) {
  for (std::uint32_t i = 0; i < slots_.size(); ++i) {
    const Slot& spec = plan.slots[i];
    SlotState& state = slots_[i];
    switch (spec.role) {
      case Slot::Role::parameter:
        state.because = "not given in the site file";
        if (spec.value) {
          state.value = *spec.value;
          state.has_value = true;
        }
        break;
      case Slot::Role::watch:
        state.has_value = true;  // false until the engine says otherwise
        break;
      case Slot::Role::measured:
        if (spec.sensor == no_index && !spec.by_hand) state.because = "no source";
        break;
      case Slot::Role::computed:
        state.because = "not computed yet";
        break;
    }
    known_[i].known = state.known();
  }
}

Cell Board::read(Reference reference) const {
  const SlotState& s = slots_[reference.slot];
  const auto cell = [&s](double value, bool known) { return Cell{known ? value : 0.0, known, known && s.by_hand}; };
  switch (reference.facet) {
    case Facet::value:
      return cell(s.value, s.known());
    case Facet::expected:
      return cell(s.expected.value, s.expected.known());
    case Facet::expected_plus_minus:
      return cell(s.expected.plus_minus, s.expected.known());
    // Reckoned from the thermometer, whoever read the gauge.
    case Facet::expected_now:
      return s.expected_now.known() ? Cell::of(s.expected_now.value) : Cell::unknown();
    case Facet::expected_now_plus_minus:
      return s.expected_now.known() ? Cell::of(s.expected_now.plus_minus) : Cell::unknown();
    case Facet::deviation:
      return cell(s.value - s.expected.value, s.known() && s.expected.known());
    case Facet::plus_minus:
      return cell(s.plus_minus, s.known());
    case Facet::at:
      return cell(to_seconds(s.at), s.at != Instant{});
    case Facet::since_read:
      return cell(to_seconds(now_ - s.at), s.at != Instant{});
    case Facet::quality:
      return cell(static_cast<double>(s.quality), s.has_value);
  }
  return Cell::unknown();
}

void Board::set_reading(std::uint32_t slot, double value, double plus_minus, Instant at, bool by_hand) {
  SlotState& s = slots_[slot];
  s.value = value;
  s.plus_minus = plus_minus;
  s.at = at;
  s.has_value = true;
  s.by_hand = by_hand;
  s.quality = Quality::good;
  touch(slot);
  count_known(slot);
}

void Board::set_computed(std::uint32_t slot, double value, double plus_minus) {
  SlotState& s = slots_[slot];
  const bool same = s.has_value && s.value == value && s.plus_minus == plus_minus;
  s.at = now_;
  if (same) return;
  s.value = value;
  s.plus_minus = plus_minus;
  touch(slot);
  if (s.has_value) return;
  s.has_value = true;
  count_known(slot);
}

void Board::set_unknown(std::uint32_t slot, const char* because) {
  SlotState& s = slots_[slot];
  s.because = because;
  if (!s.has_value) return;
  s.has_value = false;
  touch(slot);
  count_known(slot);
}

void Board::begin_anew(std::uint32_t slot, const char* because) {
  slots_[slot] = SlotState{};
  slots_[slot].because = because;
  touch(slot);
  count_known(slot);
}

void Board::set_quality(std::uint32_t slot, Quality quality, const char* because) {
  SlotState& s = slots_[slot];
  if (s.quality == quality) return;
  s.quality = quality;
  s.because = because;
  touch(slot);
  count_known(slot);
}

void Board::set_expected(std::uint32_t slot, const Expectation& expected) {
  slots_[slot].expected = expected;
  touch(slot);
}

void Board::count_known(std::uint32_t slot) {
  Known& k = known_[slot];
  const bool known = slots_[slot].known();
  if (k.known == known) return;
  if (k.known) k.total += now_ - std::max(k.since, week_began_);
  k.known = known;
  k.since = now_;
}

void Board::begin_week() {
  week_began_ = now_;
  for (Known& k : known_) {
    k.total = Span{};
    k.since = now_;
  }
}

double Board::share_known(std::uint32_t slot) const {
  const Known& k = known_[slot];
  const Span week = now_ - week_began_;
  if (week <= Span{}) return 0;
  const Span known = k.total + (k.known ? now_ - std::max(k.since, week_began_) : Span{});
  return to_seconds(known) / to_seconds(week);
}

}  // namespace overwinter
