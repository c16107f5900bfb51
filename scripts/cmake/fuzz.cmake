# SPDX-License-Identifier: GPL-3.0-or-later
# The fuzzer of the log reader: cmake -C scripts/cmake/fuzz.cmake -B build-fuzz -G Ninja
set(CMAKE_CXX_COMPILER clang++ CACHE STRING "")
set(CMAKE_C_COMPILER clang CACHE STRING "")
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O2 -g1" CACHE STRING "")
set(BASEFOG_BUILD_TESTS ON CACHE BOOL "")
set(BASEFOG_FUZZ ON CACHE BOOL "")
