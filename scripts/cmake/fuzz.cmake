# SPDX-License-Identifier: GPL-3.0-or-later
# The fuzzer of whatever reads a file: scripts/test --fuzz, or
# cmake -C scripts/cmake/fuzz.cmake -B build-fuzz -G Ninja && ninja -C build-fuzz fuzz
set(CMAKE_CXX_COMPILER clang++ CACHE STRING "")
set(CMAKE_C_COMPILER clang CACHE STRING "")
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS "-fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=undefined"
    CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O1 -g1" CACHE STRING "")
# The sanitizers guard the same places.
set(BASEFOG_HARDENED OFF CACHE BOOL "")
set(BASEFOG_BUILD_TESTS ON CACHE BOOL "")
set(BASEFOG_FUZZ ON CACHE BOOL "")
