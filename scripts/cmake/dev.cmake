# SPDX-License-Identifier: GPL-3.0-or-later
# cmake -C scripts/cmake/dev.cmake -B build -G Ninja: what scripts/test builds.
set(CMAKE_BUILD_TYPE RelWithDebInfo CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELWITHDEBINFO "-O2 -g1" CACHE STRING "")
set(BASEFOG_WARNINGS_AS_ERRORS ON CACHE BOOL "")
set(BASEFOG_BUILD_TESTS ON CACHE BOOL "")
set(CMAKE_EXPORT_COMPILE_COMMANDS ON CACHE BOOL "")
