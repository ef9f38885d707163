#include "daemon/refusal_words.h"

#include <MQTTAsync.h>

namespace overwinter {

std::string words_of_refusal(int code) {
  const char* reason = MQTTReasonCode_toString(static_cast<MQTTReasonCodes>(code));
  return reason == nullptr ? "refused" : reason;
}

std::string words_of_failed_connect(int code, bool tls) {
  if (code == 1 || code == MQTTREASONCODE_UNSUPPORTED_PROTOCOL_VERSION) {
    return "the broker speaks another version of MQTT: see `protocol` in the site file";
  }
  if (code == 2) return "the broker refuses our client id";
  if (code == 3) return "the broker says that it is not available";
  if (code == 4) return "the broker refuses user or password";
  if (code == 5) return "the broker refuses us";
  if (code >= refused_from) return "the broker refuses us: " + words_of_refusal(code);
  if (tls) return "no connection, or its certificate is refused: is it in date, of that host, and of the ca_file?";
  return "no connection";
}

}  // namespace overwinter
