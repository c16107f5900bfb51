# SPDX-License-Identifier: GPL-3.0-or-later
# cmake -C scripts/cmake/release.cmake -B build-release -G Ninja: what is installed.
set(CMAKE_BUILD_TYPE Release CACHE STRING "")
set(BASEFOG_BUILD_TESTS OFF CACHE BOOL "")
