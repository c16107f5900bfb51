# SPDX-License-Identifier: GPL-3.0-or-later
# cpack --config build-release/CPackConfig.cmake: Debian packages of the program (basefog) and of
# what building against its library needs (libbasefog-dev).
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME basefog)
set(CPACK_PACKAGE_CONTACT "The basefog developers <basefog@example.invalid>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY ${PROJECT_DESCRIPTION})
set(CPACK_RESOURCE_FILE_LICENSE ${PROJECT_SOURCE_DIR}/LICENSE)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_ALL program development)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME basefog)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION graphics)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)

# The library is static: who links it links what it uses.
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libbasefog-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
file(STRINGS ${PROJECT_SOURCE_DIR}/scripts/setup setup_lines REGEX "^  lib[a-z0-9 .+-]+-dev")
list(JOIN setup_lines " " libraries)
string(REGEX MATCHALL "[a-z0-9.+-]+" libraries "${libraries}")
list(JOIN libraries ", " CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS)
include(CPack)
