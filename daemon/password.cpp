#include "daemon/password.h"

#include <filesystem>
#include <fstream>

namespace overwinter {

Result<std::string> read_password(const BrokerSpec& spec, const std::string& credentials) {
  std::string file = spec.password_file;
  if (file.empty() && !credentials.empty() && std::filesystem::exists(credentials + "/mqtt-password")) {
    file = credentials + "/mqtt-password";
  }
  if (file.empty()) return std::string();
  std::ifstream in(file, std::ios::binary);
  std::string password;
  if (!in || !std::getline(in, password)) {
    return fault("the password file " + file + " cannot be read or is empty",
                 "may this user read it? it holds the password alone, on one line");
  }
  if (!password.empty() && password.back() == '\r') password.pop_back();
  return password;
}

}  // namespace overwinter
