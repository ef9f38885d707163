#include "daemon/password.h"

#include <filesystem>
#include <fstream>

namespace overwinter {
namespace {

constexpr std::size_t longest_password = 65'535;  // MQTT 5.0, 3.1.3.6: binary data

}  // namespace

Result<std::string> read_password(const BrokerSpec& spec, const std::string& credentials) {
  std::string file = spec.password_file;
  std::error_code none;
  if (file.empty() && !credentials.empty() && std::filesystem::exists(credentials + "/mqtt-password", none)) {
    file = credentials + "/mqtt-password";
    // A unit always names its credential; one that is empty says that the broker asks for no password.
    if (std::filesystem::file_size(file, none) == 0) return std::string();
  }
  if (file.empty()) return std::string();
  std::ifstream in(file, std::ios::binary);
  std::string password;
  if (!in || !std::getline(in, password)) {
    return fault("the password file " + file + " cannot be read or is empty",
                 "may this user read it? it holds the password alone, on one line");
  }
  if (!password.empty() && password.back() == '\r') password.pop_back();
  if (password.empty())
    return fault("the password file " + file + " has an empty first line", "write the password there");
  if (password.size() > longest_password || password.find('\0') != std::string::npos) {
    return fault("the password file " + file + " holds no password: its first line is no text of at most 65535 bytes",
                 "it holds the password alone, on one line");
  }
  return password;
}

}  // namespace overwinter
