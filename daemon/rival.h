// Whether another program is connected with our client id. A broker keeps one connection for each: every connect of the
// one ends the connection of the other (MQTT 5.0 and 3.1.1, 3.1.4), and so they go on for ever. MQTT 5 gives the
// reason, 0x8E; MQTT 3.1.1 none, and there several short connections in a row speak for it. Pure.
#pragma once

#include "rules/quantity/time.h"

namespace overwinter {

class RivalWatch {
 public:
  void connected(Span steady_now);
  // The connection, or an attempt at one. True: the third in a row that ended within seconds.
  bool lost(Span steady_now);
  // Connected for an hour: whoever it was is gone.
  bool is_alone(Span steady_now) const;

 private:
  bool up_ = false;
  Span since_{};
  int short_ones_ = 0;  // connections in a row
};

}  // namespace overwinter
