#include "tests/broker/certificates.h"

#include <gtest/gtest.h>

#include <cstdlib>

namespace overwinter::rig {
namespace {

constexpr const char* key = "-newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes";

void run(const Folder& folder, const std::string& words) {
  const std::string line = "cd '" + (folder / "") + "' && " + words + " 2>>made.log";
  ASSERT_EQ(std::system(line.c_str()), 0) << line;
}

}  // namespace

void make_authority(const Folder& folder, const std::string& name) {
  run(folder, std::string("openssl req -x509 ") + key + " -keyout " + name + ".key -out " + name +
                  ".pem -subj '/CN=" + name + "' -days 30");
}

void make_certificate(const Folder& folder, const std::string& name, int days) {
  folder.write("names", "subjectAltName=DNS:" + name + "\n");
  run(folder, std::string("openssl req ") + key + " -keyout broker.key -out broker.csr -subj '/CN=" + name + "'");
  run(folder,
      "openssl x509 -req -in broker.csr -CA ca.pem -CAkey ca.key -CAcreateserial -extfile names -out broker.pem "
      "-days " +
          std::to_string(days));
}

std::string tls_lines(const Folder& folder) {
  return "cafile " + (folder / "ca.pem") + "\ncertfile " + (folder / "broker.pem") + "\nkeyfile " +
         (folder / "broker.key") + "\n";
}

void make_user(const Folder& folder, const std::string& file, const std::string& user, const std::string& password) {
  folder.write(file, "");
  run(folder, "mosquitto_passwd -b " + file + " " + user + " " + password);
}

}  // namespace overwinter::rig
