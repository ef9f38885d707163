#include "daemon/broker_options.h"

#include <mqtt/async_client.h>

namespace overwinter {
namespace {

constexpr std::chrono::seconds connect_limit{10};
constexpr std::uint32_t session_seconds = 24 * 3600;
// That the library has not sent yet, on a slow line: beyond its own 100 it takes no more, and a level would be lost.
constexpr int most_buffered = 100'000;

}  // namespace

std::string uri_of(const BrokerSpec& spec) {
  const std::string host = spec.host.find(':') == std::string::npos ? spec.host : "[" + spec.host + "]";
  return (spec.tls ? "ssl://" : "tcp://") + host + ":" + std::to_string(spec.port);
}

mqtt::create_options create_options_of(const BrokerSpec& spec) {
  mqtt::create_options options(spec.mqtt_3_1_1 ? MQTTVERSION_3_1_1 : MQTTVERSION_5);
  options.set_max_buffered_messages(most_buffered);
  return options;
}

void fill(mqtt::connect_options& options, const BrokerSettings& settings) {
  const BrokerSpec& spec = settings.spec;
  options.set_connect_timeout(connect_limit);
  options.set_keep_alive_interval(keep_alive);
  options.set_automatic_reconnect(false);  // retries are ours: jittered, and each connect has its own callbacks
  if (!settings.will_topic.empty()) {
    mqtt::will_options will(settings.will_topic, settings.will_payload, 1, true);
    if (!spec.mqtt_3_1_1 && settings.will_delay > Span{}) {
      mqtt::properties properties;
      const auto seconds = std::chrono::duration_cast<std::chrono::seconds>(settings.will_delay).count();
      properties.add(mqtt::property(mqtt::property::WILL_DELAY_INTERVAL, static_cast<std::int32_t>(seconds)));
      will.set_properties(std::move(properties));
    }
    options.set_will(std::move(will));
  }
  if (!spec.user.empty()) options.set_user_name(spec.user);
  if (!settings.password.empty()) options.set_password(settings.password);
  if (spec.tls) {
    mqtt::ssl_options tls;
    if (!spec.ca_file.empty()) tls.set_trust_store(spec.ca_file);  // else the system's
    tls.set_enable_server_cert_auth(true);
    tls.set_verify(true);                           // the host name too
    tls.set_ssl_version(MQTT_SSL_VERSION_DEFAULT);  // the newest that both know; naming 1.2 would refuse 1.3
    if (!spec.certificate_file.empty()) {
      tls.set_key_store(spec.certificate_file);
      tls.set_private_key(spec.key_file);
    }
    options.set_ssl(std::move(tls));
  }
  if (spec.mqtt_3_1_1) {
    options.set_mqtt_version(MQTTVERSION_3_1_1);
    options.set_clean_session(!settings.keeps_session);
    return;
  }
  options.set_mqtt_version(MQTTVERSION_5);
  options.set_clean_start(!settings.keeps_session);
  if (settings.keeps_session) {
    mqtt::properties properties;
    properties.add(mqtt::property(mqtt::property::SESSION_EXPIRY_INTERVAL, static_cast<std::int32_t>(session_seconds)));
    options.set_properties(std::move(properties));
  }
}

}  // namespace overwinter
