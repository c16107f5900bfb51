# SPDX-License-Identifier: GPL-3.0-or-later
# Address and undefined-behaviour sanitizers: cmake -C scripts/cmake/asan.cmake -B build-asan -G Ninja
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O1 -g1" CACHE STRING "")
# GCC 12 calls its own <regex> maybe-uninitialized once sanitizers are on.
set(CMAKE_CXX_FLAGS "-Wno-maybe-uninitialized -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer" CACHE STRING "")
set(BASEFOG_WARNINGS_AS_ERRORS ON CACHE BOOL "")
# The sanitizers guard the same places.
set(BASEFOG_HARDENED OFF CACHE BOOL "")
set(BASEFOG_BUILD_TESTS ON CACHE BOOL "")
