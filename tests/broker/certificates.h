// Certificates made on the spot (RFC 5280; names by RFC 6125, 6.4), in the test's folder.
#pragma once

#include <string>

#include "tests/broker/rig.h"

namespace overwinter::rig {

void make_authority(const Folder& folder, const std::string& name);  // NAME.pem, NAME.key
// broker.pem, broker.key: for the host NAME, by the authority "ca". days: -1: it ended yesterday.
void make_certificate(const Folder& folder, const std::string& name, int days);
// For a listener of the broker that shows it.
std::string tls_lines(const Folder& folder);
// A file of users for the broker, with one of them.
void make_user(const Folder& folder, const std::string& file, const std::string& user, const std::string& password);

}  // namespace overwinter::rig
