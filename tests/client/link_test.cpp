// The person's commands over each kind of link that a site file can name. A command that is answered went through it:
// the answer comes from the service, over the same link.
#include <gtest/gtest.h>

#include <filesystem>

#include "tests/broker/certificates.h"
#include "tests/client/rig.h"

namespace overwinter {
namespace {

bool link_holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

void expect_all_commands_work(const Rig& rig) {
  const Ran told = rig.overwinter({"record", "right_front_tire", "pressure", "48.5", "psi"});
  EXPECT_EQ(told.code, 0) << told.out << told.err;
  EXPECT_TRUE(link_holds(told.out, "48.5 psi")) << told.out;
  Ran status;
  EXPECT_TRUE(eventually([&] {
    status = rig.overwinter({"status"});
    return status.code == 0 && link_holds(status.out, "48.5 psi");
  })) << status.out
      << status.err;
  const Ran heard = rig.overwinter({"listen", "shed/#", "--for", "2 s"}, [&](pid_t) {
    ASSERT_TRUE(rig.waits_for_subscription("shed/#"));
    rig.publish("shed/climate", R"({"temperature":4.5,"humidity":71})");
  });
  EXPECT_EQ(heard.code, 0) << heard.err;
  EXPECT_TRUE(link_holds(heard.out, "shed_climate:")) << heard.out;
}

TEST(Link, OfMqtt311) {
  Rig rig("protocol: mqtt_3_1_1");
  rig.start_broker();
  rig.start_service();
  expect_all_commands_work(rig);
  EXPECT_FALSE(link_holds(rig::text_of(rig.folder() / "mosquitto.log"), "as overwinter-alder_bend (p5"));
  EXPECT_TRUE(
      link_holds(rig::text_of(rig.folder() / "mosquitto.log"), "as overwinter-alder_bend (p2"));  // mosquitto's words
}

TEST(Link, WithAPassword) {
  Rig rig("user: ann, password_file: secret");
  rig.folder().write("secret", "right\n");
  rig::make_user(rig.folder(), "users", "ann", "right");
  rig::BrokerOptions options;
  options.anonymous = false;
  options.listener_lines = "password_file " + (rig.folder() / "users") + "\n";
  rig.start_broker(options);
  rig.start_service();
  expect_all_commands_work(rig);
  rig.folder().write("secret", "wrong horse\n");
  const Ran refused = rig.overwinter({"status"});
  EXPECT_EQ(refused.code, 3) << refused.out << refused.err;
  EXPECT_FALSE(link_holds(refused.err, "wrong horse")) << refused.err;
}

TEST(Link, WithCertificates) {
  Rig rig("tls: {ca_file: ca.pem}", "localhost");
  rig::make_authority(rig.folder(), "ca");
  rig::make_certificate(rig.folder(), "localhost", 30);
  rig::BrokerOptions options;
  options.listener_lines = rig::tls_lines(rig.folder());
  rig.start_broker(options);
  rig.start_service();
  expect_all_commands_work(rig);
  // Another authority's certificate: nothing is said to such a broker.
  rig::make_authority(rig.folder(), "ca");
  const Ran refused = rig.overwinter({"take_out", "left_front_tire"});
  EXPECT_EQ(refused.code, 3) << refused.out << refused.err;
  EXPECT_TRUE(link_holds(refused.err, "ertificate")) << refused.err;
  std::filesystem::remove(rig.folder() / "ca.pem");
  const Ran without = rig.overwinter({"status"});
  EXPECT_EQ(without.code, 3) << without.out << without.err;
  EXPECT_TRUE(without.err.starts_with("error: the ca_file " + (rig.folder() / "ca.pem") + " does not exist\n"))
      << without.err;
}

}  // namespace
}  // namespace overwinter
