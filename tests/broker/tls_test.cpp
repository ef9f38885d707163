// The encrypted link: whom it believes. Certificates are made on the spot (RFC 5280; names by RFC 6125, 6.4).
#include <gtest/gtest.h>

#include <cstdlib>

#include "tests/broker/rig.h"

namespace overwinter::rig {
namespace {

constexpr const char* key = "-newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes";

void run(const Folder& folder, const std::string& words) {
  const std::string line = "cd '" + (folder / "") + "' && openssl " + words + " 2>>openssl.log";
  ASSERT_EQ(std::system(line.c_str()), 0) << line;
}

void make_authority(const Folder& folder, const std::string& name) {
  run(folder, std::string("req -x509 ") + key + " -keyout " + name + ".key -out " + name + ".pem -subj '/CN=" + name +
                  "' -days 30");
}

// days: -1: it ended yesterday.
void make_certificate(const Folder& folder, const std::string& name, int days) {
  folder.write("names", "subjectAltName=DNS:" + name + "\n");
  run(folder, std::string("req ") + key + " -keyout broker.key -out broker.csr -subj '/CN=" + name + "'");
  run(folder,
      "x509 -req -in broker.csr -CA ca.pem -CAkey ca.key -CAcreateserial -extfile names -out broker.pem -days " +
          std::to_string(days));
}

class Tls : public testing::Test {
 protected:
  Broker& begin(const std::string& more = "") {
    BrokerOptions options;
    options.listener_lines = "cafile " + (folder / "ca.pem") + "\ncertfile " + (folder / "broker.pem") + "\nkeyfile " +
                             (folder / "broker.key") + "\n" + more;
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
    EXPECT_TRUE(daemon.logs("no broker at localhost"));
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
  expect_refused(Daemon(folder, broker->port(), site()), "no broker at");
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

}  // namespace
}  // namespace overwinter::rig
