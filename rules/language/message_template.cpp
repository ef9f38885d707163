#include "rules/language/message_template.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "rules/language/meaning.h"
#include "rules/language/parser.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr std::string_view blanks = " \t\r\n";

std::string_view trimmed(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(blanks);
  if (begin == std::string_view::npos) return text.substr(0, 0);
  return text.substr(begin, text.find_last_not_of(blanks) - begin + 1);
}

// Where the brace ends that begins before `from`: the next `}` outside of double quotes.
std::size_t find_close(std::string_view text, std::size_t from) {
  bool in_word = false;
  for (std::size_t i = from; i < text.size(); ++i) {
    if (text[i] == '"') in_word = !in_word;
    if (text[i] == '}' && !in_word) return i;
  }
  return std::string_view::npos;
}

struct Brace {
  std::string_view expression;
  std::string_view unit;  // named by ` in UNIT`, or empty
};

// ` in UNIT` counts only as the last thing in a brace.
Brace split_unit(std::string_view inside) {
  const std::string_view text = trimmed(inside);
  const std::size_t space = text.find_last_of(blanks);
  if (space == std::string_view::npos) return {text, {}};
  const std::string_view before = trimmed(text.substr(0, space));
  const bool in =
      before.size() > 3 && before.ends_with("in") && blanks.find(before[before.size() - 3]) != std::string_view::npos;
  if (!in) return {text, {}};
  return {trimmed(before.substr(0, before.size() - 2)), text.substr(space + 1)};
}

bool is_plus_minus(const Program& program) {
  if (program.code.size() != 1 || program.code.front().op != Op::reference) return false;
  switch (program.references.front().facet) {
    case Facet::plus_minus:
    case Facet::expected_plus_minus:
    case Facet::expected_now_plus_minus:
      return true;
    case Facet::value:
    case Facet::expected:
    case Facet::expected_now:
    case Facet::deviation:
    case Facet::at:
    case Facet::since_read:
    case Facet::quality:
      return false;
  }
  return false;
}

class TemplateCompiler {
 public:
  TemplateCompiler(std::string_view text, const Scope& scope, FunctionTable functions)
      : text_(text), scope_(scope), functions_(functions) {}

  // All faults, each brace's own; empty: message() is whole.
  Faults run() {
    if (count_code_points(text_) > limits::expression_characters) {
      return {
          fail(text_, "the message is too long", fmt::format("at most {} characters", limits::expression_characters))};
    }
    for (std::size_t at = 0; at < text_.size();) {
      const char c = text_[at];
      if (c != '{') {
        // A closing brace may be doubled like an opening one.
        literal_ += c;
        at += c == '}' && text_.substr(at).starts_with("}}") ? 2U : 1U;
      } else if (text_.substr(at).starts_with("{{")) {
        literal_ += c;
        at += 2;
      } else {
        const std::size_t close = find_close(text_, at + 1);
        if (close == std::string_view::npos) {
          faults_.push_back(
              fail(text_.substr(at, 1), "a `{` is not closed", "write `}` after the expression; `{{` is a brace"));
          break;
        }
        brace(text_.substr(at + 1, close - at - 1), at);
        at = close + 1;
      }
    }
    flush();
    return std::move(faults_);
  }

  MessageTemplate take_message() { return std::move(message_); }

 private:
  void flush() {
    if (literal_.empty()) return;
    MessageTemplate::Part part;
    part.text = std::exchange(literal_, {});
    message_.parts.push_back(std::move(part));
  }

  void brace(std::string_view inside, std::size_t open) {
    flush();
    MessageTemplate::Part part;
    const std::string_view whole = trimmed(inside);
    if (whole.empty()) {
      faults_.push_back(
          fail(text_.substr(open, inside.size() + 2), "an empty brace", "write an expression in it; `{{` is a brace"));
      return;
    }
    if (whole == "name" || whole == "detail") {
      part.kind = whole == "name" ? MessageTemplate::Kind::name : MessageTemplate::Kind::detail;
    } else {
      value(split_unit(inside), part);
    }
    message_.parts.push_back(std::move(part));
  }

  void value(const Brace& brace, MessageTemplate::Part& part) {
    part.kind = MessageTemplate::Kind::value;
    Faults others;
    Result<Program> program = compile(brace.expression, scope_, functions_, Wanted::any, &others);
    if (!program) {
      faults_.push_back(moved(named_nearly(program.error(), brace.expression), brace.expression));
      for (const Fault& other : others) faults_.push_back(moved(other, brace.expression));
      return;
    }
    part.program = std::move(*program);
    part.plus_minus = uncertainty(brace.expression);
    part.is_uncertainty = is_plus_minus(part.program);
    if (brace.unit.empty()) return;
    const Result<Unit> unit = parse_unit(brace.unit, UnitContext::expression);
    if (!unit) {
      faults_.push_back(fail(brace.unit, unit.error().text, unit.error().hint));
      return;
    }
    if (!unit_fits(*unit, part.program.type)) {
      std::string hint;
      for (const std::string_view usual : usual_units(part.program.type)) {
        hint += fmt::format("{}`{}`", hint.empty() ? "it can be shown in " : ", ", usual);
      }
      faults_.push_back(fail(brace.unit,
                             fmt::format("{} cannot be shown in {}", describe(part.program.type), quote(brace.unit)),
                             hint.empty() ? "leave the unit out" : std::move(hint)));
      return;
    }
    part.text = brace.unit;
    part.unit = *unit;
  }

  // Only a quantity alone prints with its uncertainty.
  std::optional<Reference> uncertainty(std::string_view expression) const {
    const Result<Syntax> syntax = parse(expression);
    if (!syntax || syntax->nodes.size() != 1 || syntax->nodes[0].kind != NodeKind::path) return std::nullopt;
    const Result<Meaning> meaning = resolve_path(*syntax, syntax->nodes[0], scope_, functions_);
    return meaning ? meaning->plus_minus : std::nullopt;
  }

  // A brace knows two words that no condition does.
  Fault named_nearly(Fault fault, std::string_view word) const {
    std::vector<std::string_view> names = scope_.names({});
    for (const std::string_view own : {"name", "detail"}) names.push_back(own);
    const auto nearest = nearest_word(word, names);
    if (nearest && (*nearest == "name" || *nearest == "detail")) {
      fault.hint = *nearest == word ? "leave out what stands beside it" : fmt::format("did you mean `{}`?", *nearest);
    }
    return fault;
  }

  // A fault of a part, its column counted in the whole.
  Fault moved(Fault fault, std::string_view part) const {
    fault.where.column += count_code_points(text_.substr(0, offset_of(part)));
    return fault;
  }

  std::size_t offset_of(std::string_view part) const { return static_cast<std::size_t>(part.data() - text_.data()); }

  Fault fail(std::string_view part, std::string text, std::string hint) const {
    const auto begin = static_cast<std::uint32_t>(offset_of(part));
    return fault_at(text_, {begin, static_cast<std::uint32_t>(begin + part.size())}, std::move(text), std::move(hint))
        .value();
  }

  std::string_view text_;
  const Scope& scope_;
  FunctionTable functions_;
  MessageTemplate message_;
  std::string literal_;
  Faults faults_;
};

std::string render_value(const MessageTemplate::Part& part, const Readings& readings, std::span<Window> windows,
                         const RenderContext& context) {
  static const TimeZone utc;
  const Program& program = part.program;
  const Cell cell = evaluate(program, readings, windows, context.now);
  if (!cell.known) return "unknown";
  if (part.is_uncertainty) {
    return part.text.empty() ? print_uncertainty(cell.value, program.type, program.shown, context.units)
                             : print_uncertainty_in_unit(cell.value, part.unit, part.text);
  }
  const Cell plus_minus = part.plus_minus ? readings.read(*part.plus_minus) : Cell::unknown();
  const double uncertainty = plus_minus.known ? plus_minus.value : 0;
  if (!part.text.empty())
    return print_in_unit(cell.value, uncertainty, program.type, program.shown, part.unit, part.text);
  if (uncertainty > 0) {
    return print_with_uncertainty(cell.value, uncertainty, program.type, program.shown, context.units);
  }
  return print_value(cell.value, program.type, program.shown, context.units,
                     context.zone != nullptr ? *context.zone : utc, context.now);
}

}  // namespace

std::size_t MessageTemplate::history_count() const {
  std::size_t count = 0;
  for (const Part& part : parts) count += part.program.histories.size();
  return count;
}

std::size_t MessageTemplate::least_of_first_sentence() const {
  std::size_t characters = 0;
  bool ended = false;  // by a mark; a blank behind it begins the next sentence
  for (const Part& part : parts) {
    if (part.kind != Kind::text) {
      ++characters;
      ended = false;
      continue;
    }
    for (const char c : part.text) {
      if (ended && c == ' ') return characters;
      ended = c == '.' || c == '!' || c == '?';
      if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) ++characters;
    }
  }
  return characters;
}

Result<MessageTemplate> compile_template(std::string_view text, const Scope& scope, FunctionTable functions,
                                         Faults* others) {
  TemplateCompiler compiler(text, scope, functions);
  const Faults faults = compiler.run();
  if (faults.empty()) return compiler.take_message();
  if (others != nullptr) others->insert(others->end(), faults.begin() + 1, faults.end());
  return tl::unexpected(faults.front());
}

std::string render(const MessageTemplate& message, const Readings& readings, std::span<Window> windows,
                   const RenderContext& context) {
  std::string out;
  for (const MessageTemplate::Part& part : message.parts) {
    switch (part.kind) {
      case MessageTemplate::Kind::text:
        out += part.text;
        break;
      case MessageTemplate::Kind::name:
        out += out.empty() ? as_sentence(std::string(context.name)) : std::string(context.name);
        break;
      case MessageTemplate::Kind::detail:
        while (context.detail.empty() && out.ends_with(' ')) out.pop_back();  // as if it did not stand there
        out += out.empty() ? as_sentence(std::string(context.detail)) : std::string(context.detail);
        break;
      case MessageTemplate::Kind::value: {
        const std::size_t count = std::min(part.program.histories.size(), windows.size());
        out += render_value(part, readings, windows.first(count), context);
        windows = windows.subspan(count);
        break;
      }
    }
  }
  return out;
}

void feed(const MessageTemplate& message, const Readings& readings, std::span<Window> windows, Instant now) {
  for (const MessageTemplate::Part& part : message.parts) {
    const std::size_t count = std::min(part.program.histories.size(), windows.size());
    if (count == 0) continue;
    (void)evaluate(part.program, readings, windows.first(count), now);
    windows = windows.subspan(count);
  }
}

}  // namespace overwinter
