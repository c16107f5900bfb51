# SPDX-License-Identifier: GPL-3.0-or-later
# cpack --config build-release/CPackConfig.cmake: Debian packages of the program (basefog), of what
# building against its library needs (libbasefog-dev), and of the shared library where it was built.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME basefog)
set(CPACK_PACKAGE_CONTACT "The basefog developers <basefog@example.invalid>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY ${PROJECT_DESCRIPTION})
set(CPACK_RESOURCE_FILE_LICENSE ${PROJECT_SOURCE_DIR}/LICENSE)
set(CPACK_STRIP_FILES ON)
set(CPACK_PRE_BUILD_SCRIPTS ${PROJECT_SOURCE_DIR}/scripts/cmake/debian_docs.cmake)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_ALL program development)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME basefog)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION graphics)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PROGRAM_DESCRIPTION "basefog takes the scans of a roll, says for each frame how far its
exposure is off in stops and how sure that is, matches the frames to a log,
works out the bias of the camera's meter, and says what to dial next.")

set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libbasefog-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEVELOPMENT_DESCRIPTION "What the program basefog is made of: headers, the library, and the
files by which CMake and pkg-config find it.")
if(BASEFOG_SHARED)
  # The headers include nothing but the standard library's.
  get_target_property(abi basefog_shared SOVERSION)
  list(APPEND CPACK_COMPONENTS_ALL library)
  set(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME libbasefog${abi})
  set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libs)
  set(CPACK_DEBIAN_LIBRARY_PACKAGE_SHLIBDEPS ON)
  set(CPACK_DEBIAN_LIBRARY_PACKAGE_GENERATE_SHLIBS ON)
  set(CPACK_DEBIAN_LIBRARY_DESCRIPTION "What the program basefog is made of, as a shared library for
programs that read film scans.")
  set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS "libbasefog${abi} (= ${PROJECT_VERSION})")
  include(CPack)
  return()
endif()
# Who links the static library links what it uses.
file(READ ${PROJECT_SOURCE_DIR}/scripts/setup setup)
string(REGEX MATCH "packages=\\(([^)]*)\\)" setup "${setup}")
string(REGEX MATCHALL "[a-z0-9.+-]+-dev" libraries "${CMAKE_MATCH_1}")
list(REMOVE_ITEM libraries libcli11-dev)  # the program's alone
list(JOIN libraries ", " CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS)
include(CPack)
