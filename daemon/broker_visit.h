// A visit to the broker that the site file names: what every command over the running service begins with.
#pragma once

#include <memory>
#include <ostream>

#include "daemon/broker_client.h"
#include "daemon/console.h"

namespace overwinter {

// Connected; a fault: no password, or no broker.
Result<std::unique_ptr<BrokerClient>> visit_broker(const Plan& plan);

// Why there is no visit: to a program as {"error","hint"} on `to_a_program`, else on console.err. Its exit code.
int tell_no_visit(const Fault& why, bool json, std::ostream& to_a_program, const Console& console);

}  // namespace overwinter
