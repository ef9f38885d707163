#include "daemon/tls_files.h"

#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <utility>

namespace overwinter {
namespace {

bool can_be_read(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  return in && in.peek() != std::ifstream::traits_type::eof();
}

}  // namespace

Result<void> check_tls_files(const BrokerSpec& spec) {
  const std::pair<std::string_view, const std::string*> named[] = {
      {"ca_file", &spec.ca_file}, {"certificate_file", &spec.certificate_file}, {"key_file", &spec.key_file}};
  for (const auto& [key, file] : named) {
    if (file->empty() || can_be_read(*file)) continue;
    std::error_code none;
    const bool there = std::filesystem::exists(*file, none);
    return fault(fmt::format("the {} {} {}", key, *file, there ? "cannot be read or is empty" : "does not exist"),
                 there ? "may this user read it? it holds PEM text" : "it is looked for beside the site file");
  }
  return {};
}

}  // namespace overwinter
