# The flags of every target of ours. overwinter_flags carries them; it never reaches a system header.
add_library(overwinter_flags INTERFACE)
target_include_directories(overwinter_flags INTERFACE ${PROJECT_SOURCE_DIR})
target_link_libraries(overwinter_flags INTERFACE tl::expected)  # Result is one: every layer sees it

# Contraction to fused multiply-add would make a number depend on the machine that computed it.
target_compile_options(overwinter_flags INTERFACE -ffp-contract=off)

target_compile_options(overwinter_flags INTERFACE
  -Wall -Wextra -Wpedantic -Wconversion -Wsign-conversion -Wshadow -Wswitch-enum -Wold-style-cast
  -Woverloaded-virtual -Wnon-virtual-dtor)
if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
  target_compile_options(overwinter_flags INTERFACE -Wduplicated-cond -Wlogical-op)
  # With the sanitizers' checks in the way, g++ 12 sees null dereferences inside the standard library.
  if(NOT OVERWINTER_SANITIZE)
    target_compile_options(overwinter_flags INTERFACE -Wnull-dereference)
  endif()
  # g++ 12 sees these inside std::string where there is none (GCC bugs 105329, 105651, from memory); the sanitizers
  # watch for the real ones.
  target_compile_options(overwinter_flags INTERFACE -Wno-restrict -Wno-array-bounds -Wno-stringop-overflow)
  # Lets ccache handle precompiled headers.
  target_compile_options(overwinter_flags INTERFACE -fpch-preprocess)
endif()
if(OVERWINTER_WARNINGS_AS_ERRORS)
  target_compile_options(overwinter_flags INTERFACE -Werror)
endif()

if(OVERWINTER_SANITIZE)
  separate_arguments(sanitize UNIX_COMMAND "${OVERWINTER_SANITIZE}")
  target_compile_options(overwinter_flags INTERFACE ${sanitize} -fno-omit-frame-pointer)
  target_compile_definitions(overwinter_flags INTERFACE _GLIBCXX_ASSERTIONS)
  target_link_options(overwinter_flags INTERFACE ${sanitize})
endif()
if(OVERWINTER_FUZZ)
  if(NOT CMAKE_CXX_COMPILER_ID STREQUAL "Clang")
    message(FATAL_ERROR "OVERWINTER_FUZZ needs clang: the fuzz preset names it")
  endif()
  target_compile_options(overwinter_flags INTERFACE -fsanitize=fuzzer-no-link)
endif()
