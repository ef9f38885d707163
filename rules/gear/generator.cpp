// A generator that is run under load each month so that it starts when it is needed.
// It is run outdoors only, 20 ft (6 m) from openings: its exhaust kills. The maker's manual comes first.
#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <optional>

#include "rules/gear/explanation_printer.h"
#include "rules/gear/generator_run.h"
#include "rules/gear/kinds.h"
#include "rules/gear/model.h"

namespace overwinter {
namespace {

enum Quantity : std::uint8_t {
  running,
  load,
  oil_temperature,
  exercise_complete,
  exercise_verdict_word,
  last_exercise,
  running_time,
  time_until_oil_change,
};
enum Parameter : std::uint8_t { rated_power, type, oil_changed_on, oil_hours };
enum Act : std::uint8_t { oil_changed };

constexpr std::string_view types[] = {"portable", "standby"};
constexpr std::string_view verdicts[] = {"complete", "run_only", "short", "none"};  // in the order of ExerciseVerdict

// How long exercise_complete stays true after the end of its run has been noticed. Whoever watches it sees it become
// true once a run: it falls back then, or when the next run begins if that is sooner.
constexpr Span complete_shows_for = one_hour;
// Oil is changed at least this often (common practice, no source).
constexpr Span oil_lasts = 12 * one_month;  // by the calendar
// A pace of use is told from this much of it.
constexpr Span pace_needs = 7 * one_day;

constexpr const char* no_source = "no source tells whether it runs";

class GeneratorModel final : public Model {
 public:
  void update(Surroundings& around) override;
  void act(Surroundings&, std::uint8_t act, Instant) override {
    if (act == oil_changed) run_.since_oil_change = Span{0};
  }
  void explain(const Surroundings& around, std::uint8_t quantity, Instant, Explanation& out) const override;

  Instant next_wake() const override { return wake_; }
  bool follows_the_link() const override { return true; }
  void save(ArchiveWriter& out) const override {
    out(run_, counted_, verdict_, shows_until_, last_exercise_, oil_changed_seen_, wake_);
  }
  void load(ArchiveReader& in) override {
    in(run_, counted_, verdict_, shows_until_, last_exercise_, oil_changed_seen_, wake_);
  }

 private:
  static Generator type_of(const Surroundings& around) {
    return around.parameter(type).value_or(0) == 0 ? Generator::portable : Generator::standby;
  }
  void note_running(Surroundings& around);
  void note_proof(const Surroundings& around);
  void judge(Surroundings& around);
  void end_run(Surroundings& around);
  void tell_oil(Surroundings& around);

  GeneratorRun run_;
  bool counted_ = false;  // the present run, or the last one, counts
  ExerciseVerdict verdict_ = ExerciseVerdict::none;
  Instant shows_until_ = Instant{};
  Instant last_exercise_ = never;  // never: none seen
  std::optional<double> oil_changed_seen_;
  Instant wake_ = Instant{};
};

void GeneratorModel::update(Surroundings& around) {
  if (run_.is_over(around.now())) end_run(around);
  note_running(around);
  judge(around);
  if (run_.is_over(around.now())) end_run(around);
  note_proof(around);  // what holds from now on

  const Instant now = around.now();
  if (!around.has_source(running)) {
    for (const std::uint8_t q : {exercise_complete, exercise_verdict_word, last_exercise, running_time}) {
      around.unset(q, no_source);
    }
  } else {
    around.set(exercise_complete, counted_ && (run_.open || now < shows_until_) ? 1 : 0);
    around.set(exercise_verdict_word, static_cast<double>(verdict_));
    if (last_exercise_ == never) {
      around.unset(last_exercise, "no run that counts has been seen");
    } else {
      around.set(last_exercise, to_seconds(last_exercise_));
    }
    around.set(running_time, to_seconds(run_.total));
  }
  tell_oil(around);

  wake_ = next_local(now, std::chrono::milliseconds(0), around.zone());
  if (run_.open && run_.stopped != never) wake_ = std::min(wake_, run_.stopped + run_gap);
  if (!counted_) wake_ = std::min(wake_, run_.counts_at(exercise_profile(type_of(around))));
  if (counted_ && !run_.open && now < shows_until_) wake_ = std::min(wake_, shows_until_);
  if (const auto hours = around.parameter(oil_hours); hours && run_.running && !run_.by_hand) {
    const Span lasts = span_from_seconds(*hours), ran = run_.since_oil_change;
    if (ran >= Span{} && ran < lasts) wake_ = std::min(wake_, now + (lasts - ran));  // negative: a damaged snapshot
  }
  wake_ = std::max(wake_, now + Span{1});
}

void GeneratorModel::note_running(Surroundings& around) {
  const Measured told = around.measured(running);
  const Instant heard_since = told.by_hand ? Instant{} : around.heard_since();
  if (!told.known || heard_since == never) {  // what nobody could hear counts for nothing
    if (run_.running) run_.tell_running(false, run_.by_hand, run_.by_hand ? run_.counted_to : around.now());
  } else if (told.fresh || (told.value != 0) != run_.running) {
    const Instant at = std::max(std::min(told.at, around.now()), heard_since);
    if (told.value != 0 && !run_.running && run_.is_over(at)) end_run(around);
    const bool was_open = run_.open;
    run_.tell_running(told.value != 0, told.by_hand, at);
    if (run_.open && !was_open) counted_ = false;
  }
  if (run_.running && !run_.by_hand) run_.count(around.now());
}

// Whether it is loaded and hot at present. A sensor tells that all the time, a person's reading of an earlier run does
// not.
void GeneratorModel::note_proof(const Surroundings& around) {
  if (!run_.open) return;
  const ExerciseProfile profile = exercise_profile(type_of(around));
  const auto of_this_run = [&](const Measured& m) { return m.known && (!m.by_hand || m.at >= run_.started); };
  const Measured watts = around.measured(::overwinter::load);
  const auto rated = around.parameter(rated_power);
  const bool load_told = of_this_run(watts);
  run_.is_loaded = load_told && rated && watts.value >= profile.load.value * *rated;
  run_.load_known = run_.load_known || load_told;
  const Measured oil = around.measured(oil_temperature);
  run_.is_hot = of_this_run(oil) && oil.value >= profile.hot_oil.celsius();
  run_.oil_known = run_.oil_known || of_this_run(oil);
}

void GeneratorModel::judge(Surroundings& around) {
  if (!run_.open || counted_) return;
  if (exercise_verdict(type_of(around), run_.exercise()) != ExerciseVerdict::complete) return;
  counted_ = true;
  verdict_ = ExerciseVerdict::complete;
  last_exercise_ = run_.counted_to;
}

void GeneratorModel::end_run(Surroundings& around) {
  if (!counted_) {
    verdict_ = exercise_verdict(type_of(around), run_.exercise());
    if (verdict_ == ExerciseVerdict::run_only && run_.load_known && !around.parameter(rated_power)) {
      around.ask(fmt::format("it ran {:.0f} min, and without a rated_power no load proves that it was enough",
                             to_seconds(run_.ran) / 60));
    }
  } else if (!run_.load_known && !run_.oil_known) {
    around.ask(
        fmt::format("it ran {:.0f} min and that counts as its exercise; load not known", to_seconds(run_.ran) / 60));
  }
  shows_until_ = around.now() + complete_shows_for;
  run_.close();
}

// By the calendar, or at the pace of running since the change, whichever comes first.
void GeneratorModel::tell_oil(Surroundings& around) {
  const auto changed = around.parameter(oil_changed_on);
  if (changed && oil_changed_seen_ && *changed > *oil_changed_seen_) run_.since_oil_change = Span{0};
  oil_changed_seen_ = changed;
  if (!changed) return around.unset(time_until_oil_change, "not known when the oil was changed");
  const double since = to_seconds(around.now()) - *changed;
  double left = to_seconds(later_by_calendar(instant_from_seconds(*changed), oil_lasts, around.zone()) - around.now());
  const auto hours = around.parameter(oil_hours);
  const double ran = to_seconds(run_.since_oil_change);
  if (hours && ran >= *hours) {
    left = std::min(left, 0.0);
  } else if (hours && ran > 0 && since >= to_seconds(pace_needs)) {
    left = std::min(left, (*hours - ran) * since / ran);
  }
  around.set(time_until_oil_change, left);
}

void GeneratorModel::explain(const Surroundings& around, std::uint8_t quantity, Instant, Explanation& out) const {
  const auto minutes = [](Seconds s) { return s.value / 60; };
  const ExerciseProfile profile = exercise_profile(type_of(around));
  if (quantity == exercise_complete || quantity == exercise_verdict_word) {
    const ExerciseRun last = run_.exercise();
    out.calculation.push_back(
        fmt::format("ran {:.1f} min; {:.0f} min asked", minutes(last.running), minutes(profile.running)));
    if (last.loaded && !around.parameter(rated_power)) {
      out.missing.emplace_back("rated_power: not given; without it no load proves the run");
    } else if (last.loaded) {
      out.calculation.push_back(fmt::format("{:.1f} min at {:.0f} % of the rated power or more; {:.0f} min asked",
                                            minutes(*last.loaded), 100 * profile.load.value, minutes(profile.loaded)));
    }
    if (last.hot) {
      const std::string hot = ExplanationPrinter{around}.temperature(profile.hot_oil.celsius());
      out.calculation.push_back(fmt::format("{:.1f} min with the oil at {} or more; {:.0f} min asked instead",
                                            minutes(*last.hot), hot, minutes(profile.hot)));
    }
    if (!last.loaded && !last.hot) out.missing.emplace_back("load and oil_temperature: not known");
    if (around.assumed(type)) out.assumed.emplace_back("type: portable (default)");
    if (!around.has_source(running)) out.missing.emplace_back("running: no source");
  } else if (quantity == time_until_oil_change) {
    out.calculation.push_back(
        fmt::format("ran {:.1f} h since the oil change", to_seconds(run_.since_oil_change) / 3600));
    if (const auto hours = around.parameter(oil_hours); hours && around.assumed(oil_hours)) {
      out.assumed.push_back(fmt::format("oil lasts {:.0f} h of running, 12 months at most (default)", *hours / 3600));
    }
    if (!around.parameter(oil_changed_on)) out.missing.emplace_back("oil.changed: not given");
  }
}

KindSpec make_kind() {
  const Type duration = Type::duration();
  const Type power = Type::number(dimension::power);
  KindSpec kind;
  kind.name = "generator";
  kind.sources = {"NFPA 110, 8.4.2: 30 min at 30 % of the rated power (emergency sets; for others common practice)"};
  kind.text = "A portable or standby generator: whether its monthly exercise has been done, and when its oil is due.";
  kind.quantities = {
      {.name = "running", .type = Type::boolean(), .measured = true, .text = "Whether the engine runs."},
      {.name = "load",
       .type = power,
       .measured = true,
       .text = "Electric power drawn from it. Its sensor may live off the engine: its silence is told only where the "
               "site file gives it a stale_after.",
       .plus_minus = 100,
       .minimum = -1000,
       .maximum = 200e3,
       .while_running = true},
      {.name = "oil_temperature",
       .type = Type::temperature(),
       .measured = true,
       .text = "Temperature of its oil. Its silence: as that of load.",
       .plus_minus = 6,
       .minimum = -60,
       .maximum = 200,
       .while_running = true},
      {.name = "exercise_complete",
       .type = Type::boolean(),
       .text = "True from when the present run counts as exercise until an hour after it ended, or the next begins.",
       .rests_on = {"running", "load", "oil_temperature"}},
      {.name = "exercise_verdict",
       .type = Type::word(verdicts),
       .text = "Of the last run that ended, or that counts already: complete, run_only (long enough, no proof of load "
               "or heat), short, none (no run seen).",
       .rests_on = {"running", "load", "oil_temperature"}},
      {.name = "last_exercise",
       .type = Type::instant(),
       .text = "When the last run that counts came to count.",
       .rests_on = {"running", "load", "oil_temperature"}},
      {.name = "running_time", .type = duration, .text = "Running seen in all.", .rests_on = {"running"}},
      {.name = "time_until_oil_change",
       .type = duration,
       .text = "12 months from the change, or when oil.hours are used up at the pace since then; negative: overdue.",
       .rests_on = {"running"}},
  };
  kind.parameters = {
      {.name = "rated_power",
       .type = power,
       .text = "By its plate; without it no load is known to be enough.",
       .minimum = 50,
       .maximum = 1e6},
      {.name = "type",
       .type = Type::word(types),
       .text = "portable: 20 min asked, 15 of them at 25 % of the rated power; standby: 30 min at 30 %.",
       .otherwise = 0},
      {.name = "oil.changed", .type = Type::instant(), .text = "When the oil was last changed."},
      {.name = "oil.hours",
       .type = duration,
       .text = "Running that an oil filling lasts, by its maker; a first filling often 20 h.",
       .otherwise = 50 * 3600.0,
       .minimum = 3600,
       .maximum = to_seconds(400 * one_day),
       .needs_one_of = {"oil.changed"}},
  };
  kind.acts = {{.name = "oil_changed", .values = {}, .dated = "oil.changed", .done = "oil changed"}};
  kind.make_model = [] { return std::unique_ptr<Model>(std::make_unique<GeneratorModel>()); };
  return kind;
}

}  // namespace

const KindSpec& generator_kind() {
  static const KindSpec kind = make_kind();
  return kind;
}

}  // namespace overwinter
