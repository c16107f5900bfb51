# SPDX-License-Identifier: GPL-3.0-or-later
# What Debian wants in a package beyond what is installed (its Policy, chapter 12): the copyright, a
# changelog, manual pages packed. CPack runs it in between.
string(TIMESTAMP date "%a, %d %b %Y %H:%M:%S +0000" UTC)  # of SOURCE_DATE_EPOCH where it is set
set(changelog "basefog (${CPACK_PACKAGE_VERSION}) unstable; urgency=medium

  * What changes for users stands in DEVELOPERS.md, under Changes.

 -- ${CPACK_PACKAGE_CONTACT}  ${date}
")
set(copyright "Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/
Upstream-Name: basefog

Files: *
Copyright: 2026 The basefog developers
License: GPL-3.0-or-later
 This program is free software: you can redistribute it and/or modify it under the terms of the GNU
 General Public License as published by the Free Software Foundation, either version 3 of the
 License, or (at your option) any later version.
 .
 On Debian systems the full text is in /usr/share/common-licenses/GPL-3.
")
set(parts program:basefog development:libbasefog-dev)
if(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME)
  list(APPEND parts library:${CPACK_DEBIAN_LIBRARY_PACKAGE_NAME})
endif()
foreach(part ${parts})
  string(REPLACE ":" ";" part ${part})
  list(GET part 0 component)
  list(GET part 1 package)
  set(usr ${CPACK_TEMPORARY_DIRECTORY}/${component}/usr)
  file(WRITE ${usr}/share/doc/${package}/copyright "${copyright}")
  file(WRITE ${usr}/share/doc/${package}/changelog "${changelog}")
  file(GLOB pages ${usr}/share/man/man*/*.[0-9])
  execute_process(COMMAND gzip -9n ${usr}/share/doc/${package}/changelog ${pages}
                  COMMAND_ERROR_IS_FATAL ANY)
endforeach()
