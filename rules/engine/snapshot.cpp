#include "rules/engine/snapshot.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "rules/archive.h"
#include "rules/engine/act.h"
#include "rules/engine/entity_view.h"
#include "rules/engine/other_sources.h"
#include "rules/engine/readings.h"
#include "rules/engine/settle.h"
#include "rules/engine/shared_jump.h"
#include "rules/engine/silence.h"
#include "rules/engine/stuck.h"

namespace overwinter {
namespace {

constexpr std::string_view magic = "overwinter snapshot ";  // and its layout

using Sections = std::map<std::string, std::string>;

// The layout of the snapshot that begins with this; nothing: it is none, or of another age.
std::optional<std::uint32_t> layout_of(std::string_view beginning) {
  for (std::uint32_t layout = oldest_layout; layout <= present_layout; ++layout) {
    if (beginning == std::string(magic) + std::to_string(layout)) return layout;
  }
  return {};
}

// State that belongs to no single rule or gear.
struct Whole {
  std::uint64_t plan = 0;  // its fingerprint
  Instant now{}, started{}, link_since{};
  Gap gap;
  bool link_up = true, journal_writable = true;
  std::uint64_t clamped = 0;
  SeasonState season;
  DigestState digest;
  std::deque<AnsweredCommand> answered;
  bool reloaded = false;
  std::vector<OrphanAlarm> orphans;

  template <class A>
  void archive(A& a) {
    a(plan, now, started, link_since, gap, link_up, journal_writable, clamped, season, digest, answered, reloaded,
      orphans);
  }
};

template <class T>
std::string pack(const T& value) {
  ArchiveWriter out;
  out(value);
  return out.take();
}

std::string slot_key(const Plan& plan, std::uint32_t slot, std::string_view entity) {
  return std::string(entity) + "/" + std::string(plan.slot_name(slot));
}

// Reads a section into `value`; false if there is none. A damaged one turns `ok` off.
template <class T>
bool unpack(Sections& sections, std::uint32_t layout, const std::string& key, T& value, bool& ok) {
  const auto found = sections.find(key);
  if (found == sections.end()) return false;
  ArchiveReader in(found->second, layout);
  in(value);
  ok = ok && in.finished();
  sections.erase(found);
  return true;
}

struct Restorer {
  World& world;
  Sections& sections;
  std::uint32_t layout;
  bool ok = true;
  OtherSources others = {};
  std::vector<std::uint32_t> misread = {};  // of their slots: it was the same sensor, taken in another unit

  // Under the present name, else under the former one.
  template <class T>
  bool take(const std::string& kind, const std::string& rest, const std::string& id, const std::string& was, T& value) {
    return unpack(sections, layout, kind + "/" + id + rest, value, ok) ||
           (!was.empty() && unpack(sections, layout, kind + "/" + was + rest, value, ok));
  }

  void slots() {
    const Plan& plan = *world.plan;
    for (std::uint32_t i = 0; i < plan.slots.size(); ++i) {
      const Entity& e = plan.entities[plan.slots[i].entity];
      const std::string rest = "/" + std::string(plan.slot_name(i));
      bool other_source = false;
      LastReading former;  // of the sensor that was
      if (plan.slots[i].role == Slot::Role::measured) {
        world.series[i].began = world.now;
        SeriesState series;
        if (take("series", rest, e.id, e.was, series)) {
          if (layout < 9) series.source = world.series[i].source;  // which it did not tell: the sensor stayed
          other_source = series.source != world.series[i].source;
          if (other_source) {  // a new series; what a person measured stays true
            former = series.sensor;
            const std::uint32_t sensor = plan.slots[i].sensor;
            if (sensor != no_index && was_taken_in_another_unit(plan.sensors[sensor], series.source))
              misread.push_back(i);
            const LastReading hand = series.hand;
            const std::uint64_t source = world.series[i].source;
            series = SeriesState{};
            series.hand = hand;
            series.source = source;
            series.began = world.now;
          }
          world.series[i] = std::move(series);
        }
      }
      if (plan.slots[i].role == Slot::Role::parameter) continue;
      const char* unread = world.board[i].because;
      for (const std::string& id : {e.id, e.was}) {
        const auto found = sections.find("slot/" + id + rest);
        if (id.empty() || found == sections.end()) continue;
        ArchiveReader in(found->second, layout);
        world.board.archive_slot(in, i);
        ok = ok && in.finished();
        sections.erase(found);
        break;
      }
      if (other_source) start_anew(i, former, unread);
    }
  }

  // What a person read stays the present where it was, or where the former sensor spoke last before it: an older hand
  // reading is overtaken, and nobody read it anew.
  void start_anew(std::uint32_t slot, const LastReading& former, const char* unread) {
    const LastReading& hand = world.series[slot].hand;
    const SlotState& was = world.board[slot];
    const bool stood = was.has_value && was.by_hand;
    const bool newer = hand.present && former.present && hand.at > former.at;
    others.slots.push_back(slot);
    if (stood) return;
    world.board.begin_anew(slot, unread);
    if (newer) world.board.set_reading(slot, hand.value, plus_minus_of(world, slot, true), hand.at, true);
  }

  // What was said of a former source (silent, stuck, jumped) is not true of the new one.
  void watch_anew() {
    if (others.slots.empty()) return;
    for (std::uint32_t i = 0; i < world.plan->entities.size(); ++i) {
      watch_silence(world, i);
      settle_stuck(world, i);
      settle_jumped(world, i);
    }
  }

  void entities() {
    for (std::uint32_t i = 0; i < world.plan->entities.size(); ++i) {
      const Entity& e = world.plan->entities[i];
      take("entity", "", e.id, e.was, world.entities[i]);
      take("name", "", e.id, e.was, world.entities[i].told_as);
      std::string stood_in;  // the id of its place
      const bool is_told = take("place", "", e.id, e.was, stood_in);
      if (world.models[i] == nullptr) continue;
      for (const std::string& id : {e.id, e.was}) {
        const auto found = sections.find("model/" + id + "/" + std::string(e.kind->name));
        if (id.empty() || found == sections.end()) continue;
        ArchiveReader in(found->second, layout);
        world.models[i]->load(in);
        ok = ok && in.finished();
        sections.erase(found);
        break;
      }
      const bool is_elsewhere =
          is_told && e.place != no_index && world.plan->present_gear(stood_in) != world.entity(e.place).id;
      if (is_elsewhere) tell_of_thermometer(i);
    }
    for (const std::uint32_t slot : others.slots) {
      const Slot& of = world.plan->slots[slot];
      if (world.models[of.entity]) world.models[of.entity]->new_sensor(of.index, world.now);
      if (world.plan->slot_name(slot) != "temperature") continue;
      for (std::uint32_t i = 0; i < world.plan->entities.size(); ++i) {
        if (i != of.entity && world.entity(i).place == of.entity) tell_of_thermometer(i);
      }
    }
    for (const std::uint32_t slot : misread) {
      if (world.plan->slot_name(slot) == "temperature") tell_gear_of_wrong_unit(world.plan->slots[slot].entity);
    }
  }

  void tell_gear_of_wrong_unit(std::uint32_t place) {
    for (std::uint32_t i = 0; i < world.plan->entities.size(); ++i) {
      if (world.plan->entities[i].place == place && world.models[i]) world.models[i]->place_temperature_was_misread();
    }
  }

  // That of its place is another: gear without one of its own goes by it.
  void tell_of_thermometer(std::uint32_t gear) {
    const Entity& e = world.entity(gear);
    const auto own = e.kind->quantity("temperature");
    if (own && world.plan->slots[e.quantity_slot(*own)].sensor == no_index) tell_of_air(gear);
  }

  // The air that its trends go by is known otherwise.
  void tell_of_air(std::uint32_t gear) {
    const auto temperature = world.entity(gear).kind->quantity("temperature");
    if (temperature && world.models[gear]) world.models[gear]->new_sensor(*temperature, world.now);
    others.gear.push_back(gear);
  }

  void altitude() {
    constexpr double little = 100;  // m: 1.2 kPa of air, or 0.17 psi of a gauge, a sixth of what is told as a leak
    double former = world.plan->altitude;
    unpack(sections, layout, "altitude", former, ok);
    if (std::abs(former - world.plan->altitude) <= little) return;
    for (std::uint32_t i = 0; i < world.plan->entities.size(); ++i) {
      if (world.entity(i).place != i) tell_of_air(i);
    }
  }

  // A condition whose window begins anew is not known for a while: neither is what stands over, nor is anything raised.
  void keep_windows(std::vector<Window>& windows, const Program& of, bool same_source) const {
    if (same_source && windows.size() == of.histories.size() && !others.are_behind(world, of)) return;
    windows.clear();
    for (const HistoryCall& call : of.histories) windows.push_back(Window::begun_anew(call, world.now));
  }
  void keep_text_windows(std::vector<Window>& windows, const MessageTemplate& of, bool same_source) const {
    const std::size_t wanted = of.history_count();
    if (!same_source || windows.size() != wanted || others.are_behind(world, of)) windows.assign(wanted, Window{});
  }

  void alarms() {
    const Plan& plan = *world.plan;
    for (std::uint32_t i = 0; i < plan.alarms.size(); ++i) {
      const RuleSpec& rule = plan.rules[plan.alarms[i].rule];
      const Entity& e = plan.entities[plan.alarms[i].entity];
      AlarmState state;
      bool found = false;
      for (const std::string& name : {rule.name, rule.was}) {
        if (!found && !name.empty()) found = take("alarm/" + name, "", e.id, e.was, state);
      }
      if (!found) continue;
      const AlarmState& fresh = world.alarms[i];
      const bool same = state.raise_source == fresh.raise_source && state.clear_source == fresh.clear_source;
      keep_windows(state.raise_windows, plan.alarms[i].raise, same);
      keep_windows(state.clear_windows, plan.alarms[i].clear, same);
      keep_text_windows(state.title_windows, plan.alarms[i].title, state.title_source == fresh.title_source);
      keep_text_windows(state.message_windows, plan.alarms[i].message, state.message_source == fresh.message_source);
      if (!same) state.raising = state.clearing = Delay{};
      state.raise_source = fresh.raise_source;
      state.clear_source = fresh.clear_source;
      state.title_source = fresh.title_source;
      state.message_source = fresh.message_source;
      world.alarms[i] = std::move(state);
    }
  }

  void reminders() {
    const Plan& plan = *world.plan;
    for (std::uint32_t i = 0; i < plan.reminders.size(); ++i) {
      const ReminderDef& def = plan.reminder_defs[plan.reminders[i].def];
      const Entity& e = plan.entities[plan.reminders[i].entity];
      ReminderState state;
      bool found = false;
      for (const std::string& name : {def.name, def.was}) {
        if (!found && !name.empty()) found = take("reminder/" + name, "", e.id, e.was, state);
      }
      if (!found) continue;
      const ReminderState& fresh = world.reminders[i];
      keep_windows(state.due_windows, plan.reminders[i].due_when, state.due_source == fresh.due_source);
      keep_windows(state.done_windows, plan.reminders[i].done_when, state.done_source == fresh.done_source);
      keep_windows(state.good_windows, plan.reminders[i].good_day_when, state.good_source == fresh.good_source);
      keep_text_windows(state.message_windows, plan.reminders[i].message, state.message_source == fresh.message_source);
      state.due_source = fresh.due_source;
      state.done_source = fresh.done_source;
      state.good_source = fresh.good_source;
      state.message_source = fresh.message_source;
      world.reminders[i] = std::move(state);
    }
  }

  // Alarms that the plan no longer has.
  void orphans() {
    for (const auto& [key, bytes] : sections) {
      constexpr std::string_view prefix = "alarm/";
      if (!key.starts_with(prefix)) continue;
      const std::size_t slash = key.find('/', prefix.size());
      if (slash == std::string::npos) continue;
      OrphanAlarm orphan;
      orphan.rule = key.substr(prefix.size(), slash - prefix.size());
      orphan.gear = key.substr(slash + 1);
      ArchiveReader in(bytes, layout);
      in(orphan.state);
      ok = ok && in.finished();
      if (orphan.state.active()) world.orphans.push_back(std::move(orphan));
    }
  }
};

void apply_acts(World& world) {
  for (std::uint32_t i = 0; i < world.entities.size(); ++i) {
    const Entity& e = world.plan->entities[i];
    for (const ActSpec& spec : e.kind->acts) {
      const auto found = world.entities[i].acts.find(std::string(spec.name));
      if (found != world.entities[i].acts.end()) (void)apply_act(world, i, spec, found->second);
    }
  }
}

}  // namespace

std::string take_snapshot(const World& world) {
  const Plan& plan = *world.plan;
  Sections sections;
  sections["whole"] = pack(Whole{plan.fingerprint, world.now, world.started, world.link_since, world.gap, world.link_up,
                                 world.journal_writable, world.clamped, world.season, world.digest, world.answered,
                                 world.reloaded, world.orphans});
  sections["timers"] = pack(world.timers);
  sections["altitude"] = pack(plan.altitude);
  if (!world.begun) sections["not begun"] = {};
  for (std::uint32_t i = 0; i < plan.slots.size(); ++i) {
    if (plan.slots[i].role == Slot::Role::parameter) continue;
    const std::string key = slot_key(plan, i, plan.entities[plan.slots[i].entity].id);
    ArchiveWriter out;
    const_cast<Board&>(world.board).archive_slot(out, i);  // the visitor is one function for both directions
    sections["slot/" + key] = out.take();
    if (plan.slots[i].role == Slot::Role::measured) sections["series/" + key] = pack(world.series[i]);
  }
  for (std::uint32_t i = 0; i < plan.entities.size(); ++i) {
    const Entity& e = plan.entities[i];
    sections["entity/" + e.id] = pack(world.entities[i]);
    sections["name/" + e.id] = pack(world.entities[i].told_as);
    if (e.place != no_index && e.place != i) sections["place/" + e.id] = pack(plan.entities[e.place].id);
    if (world.models[i] == nullptr) continue;
    ArchiveWriter out;
    world.models[i]->save(out);
    sections["model/" + e.id + "/" + std::string(e.kind->name)] = out.take();
  }
  for (std::uint32_t i = 0; i < plan.alarms.size(); ++i) {
    sections["alarm/" + plan.rules[plan.alarms[i].rule].name + "/" + plan.entities[plan.alarms[i].entity].id] =
        pack(world.alarms[i]);
  }
  for (std::uint32_t i = 0; i < plan.reminders.size(); ++i) {
    sections["reminder/" + plan.reminder_defs[plan.reminders[i].def].name + "/" +
             plan.entities[plan.reminders[i].entity].id] = pack(world.reminders[i]);
  }
  ArchiveWriter out;
  out(std::string(magic) + std::to_string(present_layout), sections);
  return out.take();
}

Result<std::unique_ptr<World>> restore_world(std::shared_ptr<const Plan> plan, std::string_view bytes) {
  ArchiveReader in(bytes);
  std::string beginning;
  Sections sections;
  in(beginning);
  const std::optional<std::uint32_t> layout = layout_of(beginning);
  if (!in.ok() || !layout) {
    return fault("these bytes are no snapshot of this version", "start without it; the site file alone is enough");
  }
  in(sections);
  Whole whole;
  bool ok = in.finished();
  if (ok) ok = unpack(sections, *layout, "whole", whole, ok) && ok;
  ok = ok && whole.now >= Instant{} && whole.now != never;
  if (!ok) return fault("the snapshot is damaged", "start without it; the site file alone is enough");
  auto world = std::make_unique<World>(std::move(plan), whole.started);
  world->now = whole.now;
  world->link_since = whole.link_since;
  world->gap = whole.gap;
  world->link_up = whole.link_up;
  world->journal_writable = whole.journal_writable;
  world->clamped = whole.clamped;
  world->season = whole.season;
  world->digest = whole.digest;
  world->answered = std::move(whole.answered);
  world->reloaded = whole.reloaded;
  world->orphans = std::move(whole.orphans);
  world->begun = sections.erase("not begun") == 0;
  world->board.begin_step(whole.now);
  Restorer restorer{*world, sections, *layout};
  restorer.slots();
  take_up_jumps(*world);
  restorer.watch_anew();
  restorer.entities();
  restorer.altitude();
  restorer.alarms();
  restorer.reminders();
  restorer.orphans();
  apply_acts(*world);
  const bool same_plan = whole.plan == world->plan->fingerprint;
  if (same_plan) unpack(sections, *layout, "timers", world->timers, restorer.ok);
  if (!restorer.ok) return fault("the snapshot is damaged", "start without it; the site file alone is enough");
  if (same_plan) return world;
  expect_hand_readings_anew(*world);
  arm_reloaded(*world);
  return world;
}

}  // namespace overwinter
