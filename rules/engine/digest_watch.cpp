#include "rules/engine/digest_watch.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

#include "rules/engine/entity_view.h"
#include "rules/limits.h"
#include "rules/quantity/characters.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

constexpr double practically_all = 0.995;

// How a piece of gear, or a place, was watched through the week.
struct Watched {
  double share = 1;                // the least known of the inputs of its alarms
  std::uint32_t least = no_index;  // its slot
  bool has_source = false;         // of any of them
  bool by_hand = false;            // that least one is read by hand
  bool read = false;               // and it was
  bool has_sensor = false;         // of its own
  Instant last_by_hand{};          // of its own, the newest that a person read; Instant{}: none
  const char* unjudged = nullptr;  // heard or read, and why nothing can be said of it all the same

  bool by_hand_alone() const { return !has_sensor && last_by_hand != Instant{}; }
};

// Worth telling, and not over before the week began; until now where it lasts.
std::optional<Gap> gap_of_the_week(const World& world) {
  const bool lasts = !world.link_up && world.now - world.link_since >= limits::gap_worth_telling;
  const Gap gap = lasts ? Gap{world.link_since, world.now} : world.gap;
  return gap.until > world.board.week_began() ? std::optional(gap) : std::nullopt;
}

// The most that a sensor can have told of: in a gap none falls silent, and none is heard.
double share_heard(const World& world) {
  const std::optional<Gap> gap = gap_of_the_week(world);
  const Instant began = world.board.week_began();
  if (!gap || world.now <= began) return 1;
  return 1 - to_seconds(gap->until - std::max(gap->from, began)) / to_seconds(world.now - began);
}

// Nothing: no alarm of it rests on a measured quantity, or it is out of service.
std::optional<Watched> watched(const World& world, std::uint32_t entity) {
  Watched found;
  bool wanted = false;
  if (world.entities[entity].out_of_service()) return std::nullopt;
  for (const std::uint32_t alarm : world.wiring.entity_alarms[entity]) {
    for (const std::uint32_t slot : world.plan->alarms[alarm].measured_slots) {
      const Slot& spec = world.plan->slots[slot];
      wanted = true;
      if (spec.sensor == no_index && !spec.by_hand && !world.board[slot].has_value) continue;
      found.has_source = true;
      const LastReading& hand = world.series[slot].hand;
      if (spec.entity == entity) {
        found.has_sensor = found.has_sensor || spec.sensor != no_index;
        if (hand.present) found.last_by_hand = std::max(found.last_by_hand, hand.at);
      }
      const bool by_hand = spec.sensor == no_index;  // at a tie it is what a person can mend
      const double known = world.board.share_known(slot);
      const double share = by_hand ? known : std::min(known, share_heard(world));
      if (share > found.share || (share == found.share && !by_hand)) continue;
      found.share = share;
      found.least = slot;
      found.by_hand = by_hand;
      found.read = world.board[slot].has_value;
    }
  }
  if (!wanted) return std::nullopt;
  // A place without a sensor only says where things stand; gear without one is gear that nobody watches.
  const KindSpec* kind = world.entity(entity).kind;
  if (!found.has_source && (kind == &place_kind() || kind == &site_kind())) return std::nullopt;
  if (!found.has_source) found.share = 0;
  const bool undecided = std::ranges::any_of(world.wiring.entity_alarms[entity], [&](std::uint32_t alarm) {
    return world.alarms[alarm].unknown_since != Instant{};
  });
  if (const Model* model = world.models[entity].get(); model != nullptr && undecided) {
    found.unjudged = model->unjudged_because(EntityView::to_ask(world, entity));
  }
  return found;
}

std::string was_seen(const std::string& name, double share, bool whole_week) {
  if (share <= 0) return as_sentence(name + (whole_week ? " was not seen this week. " : " was not seen yet. "));
  const double whole = std::floor(share * 100);
  return as_sentence(name + " was seen for " +
                     (whole < 1 ? "less than 1" : "only " + std::to_string(static_cast<int>(whole))) + " % of " +
                     (whole_week ? "the week. " : "that time. "));
}

// What no sensor saw, and a person went and looked at.
std::string was_gauged(const World& world, const std::string& name, Instant at) {
  return as_sentence(name + " was read by hand on " + print_date(at, world.plan->units, world.plan->zone, world.now) +
                     ". ");
}

std::string percent(double share) { return std::to_string(static_cast<int>(std::floor(share * 100))) + " %"; }

// Of gear with a sensor that was seen too little.
std::string tell_unseen(const World& world, const std::string& name, const Watched& w, bool whole_week) {
  if (w.last_by_hand < world.board.week_began()) return was_seen(name, w.share, whole_week);
  return was_gauged(world, name, w.last_by_hand) + was_seen("its sensor", w.share, whole_week);
}

// Gear that nothing but a person sees, and nobody saw this week. Its readings stand until the next, and it may have
// changed since.
struct Unvisited {
  std::size_t gear = 0;
  Instant first{}, last{};  // read by hand

  void take(Instant at) {
    first = gear == 0 ? at : std::min(first, at);
    last = gear == 0 ? at : std::max(last, at);
    ++gear;
  }
};

std::string tell_unvisited(const World& world, const Unvisited& unvisited, const std::string& things) {
  const auto date = [&world](Instant t) { return print_date(t, world.plan->units, world.plan->zone, world.now); };
  const std::string first = date(unvisited.first), last = date(unvisited.last);
  return things + " last read by hand " + (first == last ? "on " + last : "from " + first + " to " + last) + ".";
}

// Of a week in which everything was seen, or stands as it was read, and nothing is wrong.
std::string tell_seen_week(const World& world, std::size_t gear, const Unvisited& unvisited, double least,
                           bool all_heard) {
  std::string text;  // who was never heard may be in any state
  if (all_heard) text = unvisited.gear == 0 ? "All is well. " : "Nothing is known to be wrong. ";
  const std::size_t seen = gear - unvisited.gear;
  if (seen == 0) return text + tell_unvisited(world, unvisited, counted(unvisited.gear, "thing was", "things were"));
  text += counted(seen, "thing was", "things were") + " watched " +
          (least > practically_all ? "all week" : "for at least " + percent(least) + " of the week");
  if (unvisited.gear == 0) return text + ".";
  return text + "; " + tell_unvisited(world, unvisited, counted(unvisited.gear, "was", "were"));
}

// A long list of what was not seen begins with a short sentence that says what it is.
std::string with_a_first_sentence(const std::string& text, std::size_t lacking) {
  if (fits_a_first_sentence(text)) return text;
  const std::string what =
      lacking == 0
          ? "What no sensor watched was read by hand. "
          : counted(lacking, "thing was not watched as it", "things were not watched as they") + " should be. ";
  return what + text;
}

// All that is watched, one piece of gear after the other, and what is to be said of those that could not be seen.
struct WatchedWeek {
  bool is_whole = false;  // nine tenths of seven days at least
  std::size_t gear = 0, lacking = 0;
  Unvisited unvisited;
  bool any_source = false;
  double least = 1;
  std::size_t seen = 0;  // of the gear, this week, and nothing is lacking
  double least_seen = 1;
  std::string unseen, unread, read, unwatched;
  std::set<std::uint32_t> unread_quantities;  // slots that `unread` names

  void take(const World& world, std::uint32_t entity, const Watched& w) {
    const bool is_site = world.entity(entity).kind == &site_kind();  // its rules read what is of others: it is no thing
    any_source = any_source || w.has_source;
    if (w.has_source && !is_site) ++gear;
    const bool is_unvisited = !is_site && w.by_hand_alone() && w.last_by_hand < world.board.week_began();
    if (is_unvisited) unvisited.take(w.last_by_hand);
    least = std::min(least, w.share);
    if (w.has_source && !is_site && !is_unvisited && w.unjudged == nullptr && w.share >= limits::well_known_share) {
      ++seen;
      least_seen = std::min(least_seen, w.share);
    }
    const bool was_read = w.by_hand && w.read;
    if ((w.share < limits::well_known_share && !was_read) || w.unjudged != nullptr) ++lacking;
    say(world, is_site ? "what the rules of the whole site read" : world.entity(entity).name, w);
  }
  std::string in_words() const {
    std::string text = unseen;
    if (!read.empty()) text += "Read by hand this week, and watched since: " + read + ". ";
    if (!unread.empty()) text += "Not read by hand yet: " + unread + "; take a reading at the next visit. ";
    if (!unwatched.empty()) text += "Not watched, for it has no source of readings: " + unwatched + ". ";
    return text;
  }

  // Beside those that were told of; of a week in which nothing was wrong.
  std::string rest_in_words() const {
    if (seen == 0) return {};
    const std::string watched_for = least_seen > practically_all ? (is_whole ? "all week" : "all that time")
                                                                 : "for at least " + percent(least_seen) + " of " +
                                                                       (is_whole ? "the week" : "that time");
    return " " + counted(seen, "other thing was", "other things were") + " watched " + watched_for +
           " and nothing was wrong.";
  }

 private:
  static void list(std::string& names, const std::string& name) { names += (names.empty() ? "" : ", ") + name; }
  // What nobody read yet: the thing itself, or, where something else of it was seen or read, the quantity that was not;
  // once, for two things may lack the same thermometer.
  void say_unread(const World& world, const std::string& name, const Watched& w) {
    if (!w.has_sensor && w.last_by_hand == Instant{}) return list(unread, name);
    if (unread_quantities.insert(w.least).second) list(unread, name_of_quantity(world, w.least));
  }
  void say(const World& world, const std::string& name, const Watched& w) {
    if (!w.has_source) {
      list(unwatched, name);
    } else if (w.unjudged != nullptr && w.by_hand_alone()) {
      unseen += as_sentence(name + " was read, but cannot be judged: " + w.unjudged + ". ");
    } else if (w.share < limits::well_known_share && w.by_hand && w.read) {
      list(read, name);
    } else if (w.share < limits::well_known_share && w.by_hand) {
      say_unread(world, name, w);
    } else if (w.share < limits::well_known_share) {
      unseen += tell_unseen(world, name, w, is_whole);
    } else if (w.unjudged != nullptr) {
      unseen += as_sentence(name + " is heard, but cannot be judged: " + w.unjudged + ". ");
    }
  }
};

// Raised in it, or ended in it after it stood from before.
bool any_alarm_this_week(const World& world) {
  const auto ended = [&world](const AlarmState& a) {
    return a.raised != Instant{} && a.cleared >= std::max(a.raised, world.board.week_began());
  };
  return world.digest.alarms_raised > 0 || std::ranges::any_of(world.alarms, ended);
}

}  // namespace

std::string name_of_quantity(const World& world, std::uint32_t slot) {
  return world.entity(world.plan->slots[slot].entity).name + " " + in_words(std::string(world.plan->slot_name(slot)));
}

bool fits_a_first_sentence(std::string_view text) {
  return characters(text.substr(0, text.find(". "))) < limits::notice_sentence_characters;  // and its period
}

std::string tell_watch(const World& world, bool any_open, bool all_heard) {
  WatchedWeek week;
  week.is_whole =
      to_seconds(world.now - world.board.week_began()) >= limits::well_known_share * to_seconds(7 * one_day);
  for (std::uint32_t e = 0; e < world.entities.size(); ++e) {
    if (const std::optional<Watched> w = watched(world, e)) week.take(world, e, *w);
  }
  if (!week.any_source) return "Nothing was watched this week: no gear has a source that a rule uses.";
  const std::string since =
      print_date_and_time(world.board.week_began(), world.plan->units, world.plan->zone, world.now);
  std::string text = week.in_words();
  const bool gap_is_told = gap_of_the_week(world).has_value();  // that says more
  if (!week.is_whole && !gap_is_told && (any_open || !text.empty())) text = "Watched since " + since + ". " + text;
  text = with_a_first_sentence(text, week.lacking);
  if (!text.empty()) {
    text.pop_back();
    const bool nothing_was_wrong = !any_open && all_heard && !gap_is_told && !any_alarm_this_week(world);
    return nothing_was_wrong ? text + week.rest_in_words() : text;
  }
  if (any_open) return {};
  const std::size_t gear = std::max(week.gear, std::size_t{1});
  return week.is_whole ? tell_seen_week(world, gear, week.unvisited, week.least, all_heard)
                       : "Nothing wrong was seen so far. " + counted(gear, "thing has", "things have") +
                             " been watched since " + since + ", which is no whole week yet.";
}

std::string tell_gap(const World& world) {
  const std::optional<Gap> gap = gap_of_the_week(world);
  if (!gap) return {};
  const auto date = [&world](Instant t) { return print_date(t, world.plan->units, world.plan->zone, world.now); };
  const bool lasts = gap->until == world.now;
  return "Nothing could be heard " +
         (lasts ? "since " + date(gap->from) : "from " + date(gap->from) + " to " + date(gap->until)) +
         ": the program, its computer or the broker was down.";
}

}  // namespace overwinter
