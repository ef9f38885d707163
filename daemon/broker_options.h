// What the broker's library is told before it connects: protocol, last will, session, who we are, TLS.
#pragma once

#include <chrono>
#include <string>

#include "daemon/broker_link.h"

namespace mqtt {
class connect_options;
class create_options;
}  // namespace mqtt

namespace overwinter {

inline constexpr std::chrono::seconds keep_alive{30};

std::string uri_of(const BrokerSpec& spec);
mqtt::create_options create_options_of(const BrokerSpec& spec);
// The options stay where they are built: the C structure inside points into them, and a copy does not re-point it.
void fill(mqtt::connect_options& options, const BrokerSettings& settings);

}  // namespace overwinter
