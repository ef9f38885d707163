#include "daemon/service_notices.h"

#include <fmt/format.h>

namespace overwinter {
namespace {

// High, so that it leaves at once: while it stands, something is not watched or not kept.
Notice notice_of(const Plan& plan, Instant now, const std::string& what, Instant since, const char* event) {
  Notice notice;
  notice.id =
      fmt::format("service/{}/{}/{}/{}/{}", what, plan.site_id, format_rfc3339(since), event, format_rfc3339(now));
  notice.at = now;
  notice.about = "service";
  notice.event = event;
  notice.gear = plan.site_id;
  notice.priority = Priority::high;
  return notice;
}

}  // namespace

std::optional<Notice> ServiceNotices::begins(const Plan& plan, Instant now, const std::string& what,
                                             const std::string& title, const std::string& message) {
  const auto [found, is_new] = standing_.try_emplace(what, Trouble{title, message, now});
  if (!is_new && found->second.message == message) return std::nullopt;
  found->second.message = message;
  Notice notice = notice_of(plan, now, what, found->second.since, "raised");
  notice.title = title;
  notice.message = message;
  return notice;
}

std::optional<Notice> ServiceNotices::is_over(const Plan& plan, Instant now, const std::string& what,
                                              const std::string& message) {
  const auto found = standing_.find(what);
  if (found == standing_.end()) return std::nullopt;
  Notice notice = notice_of(plan, now, what, found->second.since, "cleared");
  notice.title = "Over: " + found->second.title;
  notice.message = message;
  standing_.erase(found);
  return notice;
}

}  // namespace overwinter
