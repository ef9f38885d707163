#include "rules/language/source.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace overwinter {
namespace {

bool is_continuation(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

constexpr std::size_t longest_quote = 80;

}  // namespace

std::uint32_t count_code_points(std::string_view text) {
  return static_cast<std::uint32_t>(std::ranges::count_if(text, [](char c) { return !is_continuation(c); }));
}

Place place_in(std::string_view text, Extent extent) {
  Place place;
  place.line = 1;
  place.column = 1 + count_code_points(text.substr(0, extent.begin));
  place.length = std::max<std::uint32_t>(1, count_code_points(slice(text, extent)));
  return place;
}

tl::unexpected<Fault> fault_at(std::string_view text, Extent extent, std::string message, std::string hint) {
  return tl::unexpected<Fault>(Fault{place_in(text, extent), std::move(message), std::move(hint), Severity::error});
}

std::string quote(std::string_view text) {
  if (text.size() <= longest_quote) return fmt::format("`{}`", text);
  std::size_t cut = longest_quote;
  while (cut > 0 && is_continuation(text[cut])) --cut;
  return fmt::format("`{} …`", text.substr(0, cut));
}

std::string render_fault(const Fault& fault, std::string_view line) {
  std::string out;
  if (!fault.where.file.empty()) out += fault.where.file + ":";
  if (fault.where.line > 0) out += fmt::format("{}:{}:", fault.where.line, fault.where.column);
  if (!out.empty()) out += ' ';
  out += fmt::format("{}: {}", fault.severity == Severity::error ? "error" : "warning", fault.text);
  if (fault.where.line > 0 && !line.empty()) {
    out += '\n';
    for (const char c : line) out += static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? ' ' : c;
    // One column past the end is a place too: something is missing there.
    const std::uint32_t width = count_code_points(line) + 1;
    const std::uint32_t column = std::clamp(fault.where.column, 1U, width);
    const std::uint32_t last = std::min(fault.where.length, width - column);
    out += '\n' + std::string(column - 1, ' ') + '^' + std::string(last > 1 ? last - 1 : 0, '~');
  }
  if (!fault.hint.empty()) out += "\nhint: " + fault.hint;
  return out;
}

}  // namespace overwinter
