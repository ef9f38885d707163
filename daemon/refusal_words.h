// What a broker's refusal means, in words: of a connection, a subscription, a publication. Pure.
#pragma once

#include <string>

namespace overwinter {

inline constexpr int refused_from = 0x80;  // MQTT 5, 2.4; of a SUBACK also in MQTT 3.1.1 (3.9.3)

// code: at or above refused_from.
std::string words_of_refusal(int code);
// code: a return code of MQTT 3.1.1 (3.2.2.3) or a reason code of MQTT 5 (3.2.2.2); else the library's: what failed
// below MQTT it keeps to itself.
std::string words_of_failed_connect(int code, bool tls);

}  // namespace overwinter
