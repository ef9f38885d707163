// What the service has to say of itself: one notice when a trouble begins, one when it is over. None of it is an alarm
// of the site: no rule raises it, and nothing of it outlives the program. Pure.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "daemon/notices.h"
#include "rules/engine/plan.h"

namespace overwinter {

class ServiceNotices {
 public:
  // `what`: a word for the trouble ("site_file"). Nothing: it stands already, in the same words.
  std::optional<Notice> begins(const Plan& plan, Instant now, const std::string& what, const std::string& title,
                               const std::string& message);
  bool stands(const std::string& what) const { return standing_.contains(what); }
  // Nothing: it did not stand.
  std::optional<Notice> is_over(const Plan& plan, Instant now, const std::string& what, const std::string& message);

 private:
  struct Trouble {
    std::string title, message;
    Instant since{};
  };
  std::map<std::string, Trouble> standing_;
};

}  // namespace overwinter
