// Which site file a command is about.
#pragma once

#include <memory>
#include <string>

#include "daemon/console.h"
#include "rules/engine/plan.h"

namespace overwinter {

// What the person gave; else the environment's OVERWINTER_SITE; else /etc/overwinter/site.yaml.
std::string chosen_site(const std::string& given);

// The plan; nullptr when the file is not valid, and why on console.err. Warnings are for `validate` and stay silent.
std::shared_ptr<const Plan> load_sound_site(const std::string& path, const Console& console);

// The same for a command that goes to the broker: a site that names none is not valid either.
std::shared_ptr<const Plan> load_site_with_broker(const std::string& path, const Console& console);

}  // namespace overwinter
