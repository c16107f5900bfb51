# SPDX-License-Identifier: GPL-3.0-or-later
# The parts of OpenCV that are named as components, as targets opencv_core and so on. OpenCV's own
# configuration asks for all its parts, which on Debian are 249 packages more.
find_path(OpenCV_INCLUDE_DIR opencv2/core.hpp PATH_SUFFIXES opencv4)
mark_as_advanced(OpenCV_INCLUDE_DIR)
foreach(component ${OpenCV_FIND_COMPONENTS})
  find_library(OpenCV_${component}_LIBRARY opencv_${component})
  mark_as_advanced(OpenCV_${component}_LIBRARY)
  if(NOT OpenCV_${component}_LIBRARY)
    continue()
  endif()
  set(OpenCV_${component}_FOUND TRUE)
  if(NOT TARGET opencv_${component})
    add_library(opencv_${component} UNKNOWN IMPORTED)
    set_target_properties(opencv_${component} PROPERTIES
      IMPORTED_LOCATION ${OpenCV_${component}_LIBRARY}
      INTERFACE_INCLUDE_DIRECTORIES ${OpenCV_INCLUDE_DIR})
    if(NOT component STREQUAL core)
      set_property(TARGET opencv_${component} PROPERTY INTERFACE_LINK_LIBRARIES opencv_core)
    endif()
  endif()
endforeach()
include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(OpenCV REQUIRED_VARS OpenCV_INCLUDE_DIR HANDLE_COMPONENTS)
