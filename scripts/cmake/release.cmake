# SPDX-License-Identifier: GPL-3.0-or-later
# cmake -C scripts/cmake/release.cmake -B build-release -G Ninja: what is installed.
set(CMAKE_BUILD_TYPE Release CACHE STRING "")
set(BASEFOG_BUILD_TESTS OFF CACHE BOOL "")
# No path of the machine that built it, so that two builds are the same to the byte (scripts/package).
get_filename_component(source_folder ${CMAKE_CURRENT_LIST_DIR}/../.. REALPATH)
set(CMAKE_CXX_FLAGS "-ffile-prefix-map=${source_folder}=/usr/src/basefog" CACHE STRING "")
