// A visit to the broker that the site file names: what every command over the running service begins with.
#pragma once

#include <memory>

#include "daemon/broker_client.h"
#include "daemon/console.h"

namespace overwinter {

// Connected; nullptr: not, and why on console.err.
std::unique_ptr<BrokerClient> visit_broker(const Plan& plan, const Console& console);

}  // namespace overwinter
