// What the service says of itself, beside its log: notices about "service".
#include <fmt/format.h>

#include <algorithm>

#include "daemon/printable.h"
#include "daemon/service_loop.h"
#include "daemon/story.h"
#include "rules/engine/world.h"

namespace overwinter {
namespace {

constexpr Span clock_told_after = one_hour;  // a board without a clock chip waits some minutes for its network
constexpr std::size_t topics_named = 10, commands_named = 5;
// Readings that leave early are told when they are no older: a site that says much for years needs no word of it.
constexpr Span told_if_younger = 7 * one_day;

std::string names_of(std::vector<std::string> topics) {
  std::ranges::sort(topics);
  const std::size_t more = topics.size() - std::min(topics.size(), topics_named);
  topics.resize(topics.size() - more);
  return fmt::format("{}{}", fmt::join(topics, ", "), more > 0 ? fmt::format(" and {} more", more) : "");
}

}  // namespace

// Committed before it is sent, like all notices.
void Service::tell_of_itself(const std::optional<Notice>& notice) {
  if (!notice) return;
  std::string payload;
  append_notice(payload, *notice);
  std::vector<OutboxEntry> outbox{{0, plan_->topic_root + "/notice", std::move(payload), {}, {}}};
  commit({}, outbox, true);
  for (const OutboxEntry& entry : outbox) teller_->send(entry);
}

void Service::tell_moved_aside() {
  if (moved_aside_.empty()) return;
  tell_of_itself(of_itself_.begins(
      *plan_, now(), "journal", "A damaged journal was moved aside",
      fmt::format(
          "What was known before is gone, and trends begin anew. Look at the computer's disk; restore a copy if "
          "there is one: {}.",
          std::exchange(moved_aside_, {}))));
}

void Service::tell_part_unread() {
  tell_of_itself(of_itself_.begins(
      *plan_, now(), "journal", "Part of the journal cannot be read",
      "Some of what was heard since the last saved state is missing. What people recorded in that time may have to be "
      "recorded again. Look at the computer's disk: worn out or failing."));
}

// The inputs since the last saved state were read by a site file that was edited meanwhile.
void Service::tell_refused_anew(const RefusedAnew& refused) {
  for (const RefusedAnew::Command& command : refused.all()) {
    log_.limited(
        LogLevel::warning, "commands that the new site file refuses",
        fmt::format("accepted {}, and the new site file refuses it: {} {}: {}", local_date_and_time(*plan_, command.at),
                    command.name, printable(command.payload), printable(command.why)),
        read_clocks().steady);
  }
  std::vector<std::string> said = refused.in_words();
  if (said.empty()) return;
  const std::size_t commands = said.size(), more = commands - std::min(commands, commands_named);
  said.resize(commands - more);
  tell_of_itself(of_itself_.begins(
      *plan_, now(), "refused_anew", "Some of what was said is not known any more",
      fmt::format("The new site file refuses {} that the one before had taken. Say it again: {}{}. Gear that only has "
                  "another name keeps what was said where its entry says `was` with the former id.",
                  commands == 1 ? "a command" : fmt::format("{} commands", commands), fmt::join(said, ", "),
                  more > 0 ? fmt::format(" and {} more, see the log", more) : "")));
}

// The broker may take a subscription and say no more; what it refuses openly can be told at once.
void Service::on_subscribed(const std::vector<std::string>& refused) {
  if (!caretaker_) return;
  if (refused.empty()) {
    tell_of_itself(of_itself_.is_over(*plan_, now(), "subscriptions", "The broker lets it hear all topics again."));
    return;
  }
  const std::string topics = names_of(refused);
  log_.error(fmt::format("the broker refuses to let it hear {}; see its access list", topics));
  tell_of_itself(of_itself_.begins(
      *plan_, now(), "subscriptions", "The broker refuses to let it hear",
      fmt::format("What comes on some topics is not heard. Allow it in the broker's access list: {}.", topics)));
}

void Service::look_at_the_clock() {
  if (!untrusted_since_) {
    tell_of_itself(of_itself_.is_over(*plan_, now(), "clock", "The time is certain again."));
    return;
  }
  if (read_clocks().steady - *untrusted_since_ < clock_told_after) return;
  tell_of_itself(of_itself_.begins(
      *plan_, now(), "clock", "The time is not certain",
      "The computer's clock was set, or it began anew, and no time service confirms it: dates may be wrong and "
      "reminders late. See that it has a network and a time service; or set it right and restart the service."));
}

// Told once, until it has been alone for an hour. A broker of MQTT 5 says so; else it is a guess, for a bad network
// ends connections as well.
void Service::tell_of_rival(bool is_certain) {
  if (!is_certain && of_itself_.stands("client_id")) return;
  const std::string message = fmt::format(
      "{} Then neither hears all. Is a second overwinterd running for this site? Stop one of them; else look at {}the "
      "log of the broker {}:{} for the client id {}.",
      is_certain ? "The broker gave its connection to another program that came with the same client id."
                 : "Its connections end within seconds, as if another program came with the same client id.",
      is_certain ? "" : "the network, and at ", plan_->broker.host, plan_->broker.port, client_id());
  log_.seldom(LogLevel::error, "rival", message, read_clocks().steady);
  if (!caretaker_) return;
  tell_of_itself(of_itself_.begins(
      *plan_, now(), "client_id",
      is_certain ? "Another program takes its place at the broker" : "Another program may take its place at the broker",
      message));
}

void Service::look_for_rival() {
  if (!rival_.is_alone(read_clocks().steady)) return;
  tell_of_itself(of_itself_.is_over(*plan_, now(), "client_id", "It has kept its connection for an hour."));
}

// Once, until there is room again.
void Service::tell_left_early(Instant newest) {
  left_early_at_ = now();
  if (*left_early_at_ - newest > told_if_younger || of_itself_.stands("journal_size")) return;
  const Journal::Share loudest = journal_->loudest_topic();
  const std::string message = fmt::format(
      "It may have {} MB. Readings up to {} are kept as hourly values already; what was told, said and done is kept. "
      "Of the last {} messages {} came on {}: does it say too much?",
      options_.journal_bytes / 1'000'000, local_date_and_time(*plan_, newest), loudest.of, loudest.inputs,
      printable(loudest.topic));
  log_.warning("the journal is full of readings: " + message);
  tell_of_itself(
      of_itself_.begins(*plan_, *left_early_at_, "journal_size", "The journal is full of readings", message));
}

void Service::tell_room_again() {
  if (!left_early_at_ || now() - *left_early_at_ < one_day) return;
  left_early_at_.reset();
  tell_of_itself(of_itself_.is_over(*plan_, now(), "journal_size", "For a day no reading had to leave it early."));
}

}  // namespace overwinter
