#include "rules/gear/generator_run.h"

#include <algorithm>

namespace overwinter {
namespace {

Span span_of(Seconds s) { return span_from_seconds(s.value); }
Seconds seconds_of(Span s) { return Seconds(to_seconds(s)); }

// How long until `reached` has grown to `wanted`; nothing where it does not grow.
std::optional<Span> still_to_go(Span reached, Span wanted, bool grows) {
  if (reached >= wanted) return Span{0};
  if (!grows) return std::nullopt;
  return wanted - reached;
}

}  // namespace

void GeneratorRun::tell_running(bool runs, bool told_by_hand, Instant at) {
  // A person may tell an earlier hour, but not one of a run that is over.
  if (!running) at = std::max(at, stopped != never ? stopped : started);
  if (running && at > counted_to) count(at);
  by_hand = told_by_hand;
  if (runs && !running) {
    if (!open) {
      *this = GeneratorRun{.open = true, .started = at, .total = total, .since_oil_change = since_oil_change};
      by_hand = told_by_hand;
    }
    counted_to = at;
    stopped = never;
  } else if (!runs && running) {
    stopped = std::max(at, counted_to);
  }
  running = runs;
}

void GeneratorRun::count(Instant to) {
  if (running && to > counted_to) {
    const Span stretch = to - counted_to;
    ran += stretch;
    total += stretch;
    since_oil_change += stretch;
    if (is_loaded) loaded += stretch;
    if (is_hot) hot += stretch;
  }
  counted_to = std::max(counted_to, to);
}

ExerciseRun GeneratorRun::exercise() const {
  ExerciseRun run;
  run.running = seconds_of(ran);
  if (load_known) run.loaded = seconds_of(loaded);
  if (oil_known) run.hot = seconds_of(hot);
  return run;
}

Instant GeneratorRun::counts_at(const ExerciseProfile& profile) const {
  if (!open || !running || by_hand) return never;
  const Span running_left = std::max(Span{0}, span_of(profile.running) - ran);
  if (!load_known && !oil_known) return counted_to + running_left;
  std::optional<Span> proof;
  if (load_known) proof = still_to_go(loaded, span_of(profile.loaded), is_loaded);
  if (oil_known) {
    const auto heat = still_to_go(hot, span_of(profile.hot), is_hot);
    if (heat && (!proof || *heat < *proof)) proof = heat;
  }
  return proof ? counted_to + std::max(running_left, *proof) : never;
}

}  // namespace overwinter
