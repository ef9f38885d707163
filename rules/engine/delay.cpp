#include "rules/engine/delay.h"

#include "rules/limits.h"

namespace overwinter {

bool run_delay(Delay& delay, const Cell& condition, Instant now) {
  if (!condition.known) {
    if (delay.running && delay.resumed != never) {
      delay.elapsed += now - delay.resumed;
      delay.resumed = never;
      delay.stopped = now;
    }
    return false;
  }
  if (condition.value == 0) {
    delay = Delay{};
    return false;
  }
  const bool stopped_too_long =
      delay.running && delay.resumed == never && now - delay.stopped > limits::unknown_resets_delays;
  if (!delay.running || stopped_too_long) {
    delay = Delay{};
    delay.running = true;
    delay.began = now;
    delay.resumed = now;
    return true;
  }
  if (delay.resumed == never) delay.resumed = now;
  return false;
}

void withhold_delay(Delay& delay, bool known, Instant now) {
  delay.elapsed = Span{};
  if (!delay.running) return;
  delay.resumed = never;
  if (known) {
    delay.stopped = never;  // not by what is unknown
  } else if (delay.stopped == never) {
    delay.stopped = now;
  }
}

bool is_withheld(const Delay& delay) { return delay.running && delay.resumed == never && delay.elapsed == Span{}; }

Span delay_run(const Delay& delay, Instant now) {
  return delay.elapsed + (delay.resumed == never ? Span{} : now - delay.resumed);
}

Instant delay_deadline(const Delay& delay, Span length) {
  if (!delay.running || delay.resumed == never) return never;
  return delay.resumed + (length - delay.elapsed);
}

}  // namespace overwinter
