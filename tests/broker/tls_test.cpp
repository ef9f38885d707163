// The encrypted link: whom it believes.
#include <gtest/gtest.h>

#include "tests/broker/certificates.h"
#include "tests/broker/rig.h"

namespace overwinter::rig {
namespace {

class Tls : public testing::Test {
 protected:
  Broker& begin(const std::string& more = "") {
    BrokerOptions options;
    options.listener_lines = tls_lines(folder) + more;
    options.more_lines = plain_listener();
    broker = std::make_unique<Broker>(folder, options);
    broker->start();
    return *broker;
  }
  // The ear needs no encryption.
  std::string plain_listener() { return "listener " + std::to_string(plain) + " 127.0.0.1\n"; }
  static SiteOptions site(const std::string& tls = "{ca_file: ca.pem}") {
    SiteOptions options;
    options.host = "localhost";
    options.broker_lines = "  tls: " + tls + "\n";
    return options;
  }
  void expect_refused(const Daemon& daemon, const std::string& because) {
    EXPECT_TRUE(daemon.logs("cannot connect to the broker at localhost"));
    EXPECT_TRUE(daemon.logs(because));
    EXPECT_EQ(daemon.log().find("connected to"), std::string::npos);
  }

  Folder folder;
  std::uint16_t plain = free_port();
  std::unique_ptr<Broker> broker;
};

TEST_F(Tls, ACertificateOfTheNamedAuthorityIsBelieved) {
  make_authority(folder, "ca");
  make_certificate(folder, "localhost", 30);
  for (const char* version : {"tlsv1.2", "tlsv1.3"}) {
    begin(std::string("tls_version ") + version + "\n");
    const Ear ear(plain);
    const Daemon daemon(folder, broker->port(), site());
    ear.await("overwinter/rig/service", "ready");
    broker->kill();
  }
}

TEST_F(Tls, AnExpiredCertificateIsRefused) {
  make_authority(folder, "ca");
  make_certificate(folder, "localhost", -1);
  begin();
  expect_refused(Daemon(folder, broker->port(), site()), "ertificate");
}

TEST_F(Tls, AnotherHostsCertificateIsRefused) {
  make_authority(folder, "ca");
  make_certificate(folder, "shed.example", 30);
  begin();
  expect_refused(Daemon(folder, broker->port(), site()), "cannot connect to the broker at");
}

TEST_F(Tls, AnotherAuthoritysCertificateIsRefused) {
  make_authority(folder, "ca");
  make_authority(folder, "other");
  make_certificate(folder, "localhost", 30);
  begin();
  expect_refused(Daemon(folder, broker->port(), site("{ca_file: other.pem}")), "ertificate");
  // No authority named: the system's, and never a plain link.
  expect_refused(Daemon(folder, broker->port(), site("{}")), "ertificate");
}

TEST_F(Tls, AFileThatIsNotThereIsNamed) {
  make_authority(folder, "ca");
  make_certificate(folder, "localhost", 30);
  folder.write("empty.pem", "");
  begin();
  const auto log_of = [&](const std::string& tls, const std::string& because) {
    EXPECT_TRUE(Daemon(folder, broker->port(), site(tls)).logs(because)) << because;
  };
  log_of("{ca_file: none.pem}", "the ca_file " + (folder / "none.pem") + " does not exist");
  log_of("{ca_file: empty.pem}", "the ca_file " + (folder / "empty.pem") + " cannot be read or is empty");
  log_of("{ca_file: ca.pem, certificate_file: ca.pem, key_file: none.key}",
         "the key_file " + (folder / "none.key") + " does not exist");
}

}  // namespace
}  // namespace overwinter::rig
