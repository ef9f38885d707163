// Prints a winter at Alder Bend as captured messages, for `overwinter replay`.
#include <fmt/format.h>

#include <charconv>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <string>
#include <string_view>

#include "tests/winter/alder_bend.h"

namespace {

constexpr std::string_view usage =
    "alder_bend_winter [--seed N] [--days N] [--minutes N] [-o FILE]\n"
    "Prints a winter of messages as JSON Lines, the same for the same numbers.\n"
    "  --seed N     another winter (7)\n"
    "  --days N     from the lay-up, 1 to 172 (172)\n"
    "  --minutes N  between two messages of a topic, 5 to 60 (10)\n";

bool read_number(std::string_view text, int low, int high, int& into) {
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), into);
  return error == std::errc() && end == text.data() + text.size() && into >= low && into <= high;
}

}  // namespace

int main(int count, char** arguments) {
  overwinter::WinterOptions options;
  std::string file;
  for (int i = 1; i < count; ++i) {
    const std::string_view key = arguments[i];
    if (key == "--help") {
      std::cout << usage;
      return 0;
    }
    const std::string_view value = i + 1 < count ? arguments[++i] : "";
    int number = 0;
    bool fine = !value.empty();
    if (key == "--seed") {
      fine = read_number(value, 0, 1'000'000'000, number);
      options.seed = static_cast<std::uint64_t>(number);
    } else if (key == "--days") {
      fine = read_number(value, 1, 172, options.days);
    } else if (key == "--minutes") {
      fine = read_number(value, 5, 60, number);
      options.every = number * overwinter::one_minute;
    } else if (key == "-o") {
      file = value;
    } else {
      fine = false;
    }
    if (!fine) {
      std::cerr << usage;
      return 2;
    }
  }
  const std::string lines = overwinter::alder_bend_winter(options);
  std::ofstream out;
  if (!file.empty()) out.open(file, std::ios::binary);
  std::ostream& to = file.empty() ? std::cout : out;
  to << lines;
  to.flush();
  if (!to) {
    std::cerr << "error: the output could not be written\n";
    return 1;
  }
  return 0;
}
