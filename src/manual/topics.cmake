# SPDX-License-Identifier: GPL-3.0-or-later
# The manual's topics live as files of their own, topics/NAME.SECTION.txt, and are built in.
file(GLOB topics CONFIGURE_DEPENDS ${CMAKE_CURRENT_LIST_DIR}/topics/*.txt)
set_property(DIRECTORY APPEND PROPERTY
  CMAKE_CONFIGURE_DEPENDS ${topics} report/review.schema.json report/frame.schema.json)
# The schema of a review is one file for its readers; what it says of a frame has one of its own here.
file(READ report/frame.schema.json frame)
string(REGEX REPLACE "\n$" "" frame "${frame}")
string(REPLACE "\n" "\n    " frame "${frame}")
file(READ report/review.schema.json BASEFOG_REVIEW_SCHEMA)
string(REPLACE "\"@frame.schema.json@\"" "${frame}" BASEFOG_REVIEW_SCHEMA "${BASEFOG_REVIEW_SCHEMA}")
file(WRITE ${PROJECT_BINARY_DIR}/generated/report/review.schema.json "${BASEFOG_REVIEW_SCHEMA}")
foreach(topic ${topics})
  get_filename_component(file ${topic} NAME)
  string(REGEX MATCH "^([a-z-]+)\\.([0-9])" topic_page ${file})
  file(READ ${topic} text)
  string(APPEND BASEFOG_TOPICS
    "    {\"${CMAKE_MATCH_1}\", \"${CMAKE_MATCH_2}\", R\"topic(${text})topic\"},\n")
  list(APPEND manual_pages ${topic_page})
endforeach()
configure_file(manual/topics.hpp.in ${PROJECT_BINARY_DIR}/generated/manual/topics.hpp @ONLY)
