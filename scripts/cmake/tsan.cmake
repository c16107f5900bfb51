# SPDX-License-Identifier: GPL-3.0-or-later
# Thread sanitizer: cmake -C scripts/cmake/tsan.cmake -B build-tsan -G Ninja
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O1 -g1" CACHE STRING "")
# GCC 12 calls its own <regex> maybe-uninitialized once sanitizers are on, and warns that it does not
# follow std::atomic_thread_fence.
set(CMAKE_CXX_FLAGS "-Wno-maybe-uninitialized -Wno-tsan -fsanitize=thread" CACHE STRING "")
set(BASEFOG_WARNINGS_AS_ERRORS ON CACHE BOOL "")
set(BASEFOG_HARDENED OFF CACHE BOOL "")
set(BASEFOG_BUILD_TESTS ON CACHE BOOL "")
