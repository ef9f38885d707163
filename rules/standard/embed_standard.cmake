# Writes OUTPUT, a C++ file that holds the texts of the YAML files in FOLDER, in order of name.
# Run as: cmake -DFOLDER=... -DOUTPUT=... -P embed_standard.cmake
file(GLOB files "${FOLDER}/*.yaml")
list(SORT files)
list(LENGTH files count)

set(entries "")
foreach(file IN LISTS files)
  get_filename_component(name "${file}" NAME)
  file(READ "${file}" text)
  string(APPEND entries "    StandardFile{\"${name}\", R\"overwinter(${text})overwinter\"},\n")
endforeach()

file(WRITE "${OUTPUT}.new" "// Made by rules/standard/embed_standard.cmake from rules/standard/*.yaml.
#include \"rules/standard/standard_files.h\"

#include <array>

namespace overwinter {
namespace {

constexpr std::array<StandardFile, ${count}> files{{
${entries}}};

}  // namespace

std::span<const StandardFile> standard_files() { return files; }

}  // namespace overwinter
")
file(RENAME "${OUTPUT}.new" "${OUTPUT}")
